"""Input that no building holds ends in a sentence that names it, not in minutes of measuring."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from takeoff.errors import InputError
from takeoff.geometry.noding import node
from takeoff.measure import measure
from takeoff.plan.model import (
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    Room,
    Side,
    Storey,
    WallTreatment,
)


def room(name: str = "R", **more: Any) -> Room:
    corners = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
    return Room(
        id=name,
        name="Kitchen",
        outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners)),
        **more,
    )


def job(*rooms: Room, openings: tuple[Opening, ...] = ()) -> Job:
    return Job(storeys=(Storey(id="g", rooms=rooms, openings=openings),))


def planes(count: int) -> tuple[Plane, ...]:
    turns = (2.0 * math.pi * k / count for k in range(count))
    return tuple(
        Plane(z_mm=2400.0, slope_x=0.1 * math.cos(t), slope_y=0.1 * math.sin(t), at_x_mm=2000.0) for t in turns
    )


def windows(count: int, every_mm: float, shape: str = "flat") -> tuple[Opening, ...]:
    sizes = {"kind": "window", "room": "R", "side": "s0", "width_mm": 2.0, "sill_mm": 900.0, "head_mm": 2100.0}
    return tuple(Opening(id=f"w{k}", offset_mm=10.0 + every_mm * k, shape=shape, **sizes) for k in range(count))


def ring(x: float, y: float, wide: float) -> tuple[tuple[float, float, float], ...]:
    return ((x, y, 0.0), (x + wide, y, 0.0), (x + wide, y + wide, 0.0), (x, y + wide, 0.0))


def parts(count: int) -> tuple[Exclusion, ...]:
    return tuple(Exclusion(id=f"e{k}", outline=ring(100.0 + k, 100.0 + k, 900.0)) for k in range(count))


BEYOND = {
    "2000 planes": (job(room(ceiling=Field(planes=planes(2000)))), "Kitchen cannot be measured.*2000 planes"),
    "2000 regions": (
        job(
            room(
                ceiling=Field(
                    planes=planes(1),
                    regions=tuple(
                        Region(id=f"p{k}", op="lower", planes=planes(1), outline=ring(1.0 * k, 0.0, 5.0))
                        for k in range(2000)
                    ),
                )
            )
        ),
        "2001 planes in 2001 parts",
    ),
    "2000 openings in one wall": (
        job(room(), openings=windows(2000, 1.9, "segmental")),
        "its wall A has 2000 openings",
    ),
    "100 openings in one place": (job(room(), openings=windows(100, 0.01, "segmental")), "its wall A has 100 openings"),
    "parts left out of a wall": (
        job(room(walls=WallTreatment(exclusions=parts(500)))),
        "its wall A has 0 openings and 1000",
    ),
    "parts left out overhead": (
        job(room(ceiling_treatment=CeilingTreatment(exclusions=parts(400)))),
        "outlines cross each other more than 100000 times",
    ),
    "2000 rooms in one place": (job(*(room(f"R{k}") for k in range(2000))), "Around Kitchen, 3001 walls"),
}


@pytest.mark.parametrize("what", BEYOND)
def test_what_no_building_holds_is_refused_with_its_place(what: str) -> None:
    beyond, words = BEYOND[what]
    with pytest.raises(InputError, match=words):
        measure(beyond)


@pytest.mark.parametrize(
    "held",
    [
        job(room(ceiling=Field(planes=planes(60)))),
        job(room(), openings=windows(300, 10.0)),
        job(room(walls=WallTreatment(exclusions=parts(20)))),
        job(*(room(f"R{k}") for k in range(100))),
    ],
    ids=["60 planes", "300 openings", "20 parts over each other", "100 rooms in one place"],
)
def test_what_is_only_much_is_measured(held: Job) -> None:
    assert all(r.coated_m2 > 0.0 for r in measure(held).rooms)


def test_linework_that_all_crosses_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("takeoff.geometry.noding.MOST_PAIRS", 100_000)
    turns = np.linspace(0.0, np.pi, 600, endpoint=False)
    ends = 1e4 * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    with pytest.raises(InputError, match="600 lines cross or touch each other more than 50000 times"):
        node(np.concatenate([ends, -ends], axis=1))
