"""The result's JSON: its keys, unrounded figures with printed ones beside the dims, and no NaN ever."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import msgspec
import pytest

from takeoff.errors import Finding, InputError, OutputError, Where
from takeoff.measure.takeoff import BehindStretch, Dim, Face, OpeningEffect, RoomTakeoff, Takeoff
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import (
    DrawingRef,
    Job,
    Opening,
    OpeningId,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
)
from takeoff.services.measured.job_result import Measured, encode, measure_job, result, schema
from takeoff.services.opened.opening import Opened
from takeoff.supply.order import Order, OrderLine

TOP_KEYS = [
    "schema",
    "source",
    "unit",
    "rooms",
    "totals",
    "materials",
    "findings",
    "totals_if_all_taken_in",
    "draft",
    "sources",
    "printed",
]
ROOM_KEYS = [
    "id",
    "name",
    "storey",
    "times",
    "confidence",
    "outline_mm",
    "height_min_mm",
    "height_max_mm",
    "floor_m2",
    "perimeter_m",
    "ceiling_m2",
    "wall_gross_m2",
    "openings_m2",
    "excluded_m2",
    "not_coated_m2",
    "wall_net_m2",
    "drop_m2",
    "reveal_m2",
    "coated_m2",
    "external_corner_m",
    "external_corner_by_kind_m",
    "internal_corner_m",
    "coat_edge_m",
    "coat_edge_by_kind_m",
    "floor_edge_m",
    "frame_joint_m",
    "frame_joint_by_kind_m",
    "bead_pieces",
    "openings",
    "faces",
    "dims",
    "source",
]


def square_job() -> Job:
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners, 1))
    door = Opening(
        id=OpeningId("D1"),
        kind="door",
        room=RoomId("r1"),
        side=SideId("s1"),
        offset_mm=500.0,
        width_mm=900.0,
        sill_mm=0.0,
        head_mm=2040.0,
        reveal=Reveal(start=Strip(depth_mm=80.0), end=Strip(depth_mm=120.0)),
        confidence="check",
    )
    storey = Storey(id=StoreyId("ground"), rooms=(Room(id=RoomId("r1"), name="Box", outline=sides),), openings=(door,))
    return with_origin(Job(storeys=(storey,)), DrawingRef(id=FIRST, name="box.dxf", unit="ft", unit_mm=304.8))


def square_takeoff(**changed: Any) -> Takeoff:
    figures: dict[str, Any] = dict.fromkeys((name for name in ROOM_KEYS if name.endswith(("_m2", "_m"))), 0.0)
    figures |= {
        "wall_gross_m2": 33.6,
        "wall_net_m2": 33.6,
        "external_corner_by_kind_m": {"room": 0.0},
        "internal_corner_m": {"wall_wall": 9.6},
        "coat_edge_by_kind_m": {"open": 0.0},
        "frame_joint_by_kind_m": {"frame": 0.0},
        "floor_m2": 12.0,
    }
    face = Face("r1/s1", 4.0, 9.6, 9.6, (BehindStretch(0.0, 4000.0, "outside", 300.0),))
    room = RoomTakeoff(
        room="r1",
        storey="ground",
        name="Box",
        times=2,
        confidence="sure",
        height_min_mm=2400.0,
        height_max_mm=2400.0,
        bead_m=0.0,
        bead_pieces=(),
        faces=(face,),
        surfaces=(),
        edges=(),
        dims=(Dim("wall_gross_m2", 1.0, (1.005, 1.0), 1.005, "a wall", "s1"),),
        **(figures | changed),
    )
    return Takeoff(rooms=(room,), totals={"wall_gross_m2": 67.2}, unsure=(), findings=())


def order() -> Order:
    packs = (("10 L", 2), ("5 L", 1))
    line = OrderLine("coat", "Coat", 21.2, "L", packs, "2 × 10 L, 1 × 5 L", 25.0, None, "")
    return Order("invented", "EUR", (line,), (), (), (), None)


def as_json(value: Takeoff) -> dict[str, Any]:
    finding = Finding("look", "check", "Look here.", Where(room="r1", x_mm=1.5))
    decoded: dict[str, Any] = json.loads(encode(result(Measured(square_job(), value, order(), (finding,), "box.dxf"))))
    return decoded


def test_keys_are_those_agreed_in_their_order() -> None:
    made = as_json(square_takeoff())
    assert list(made) == TOP_KEYS
    assert list(made["rooms"][0]) == ROOM_KEYS
    assert list(made["rooms"][0]["openings"][0]) == [
        "id",
        "kind",
        "confidence",
        "width_mm",
        "sill_mm",
        "head_mm",
        "reveal_mm",
    ]
    assert list(made["rooms"][0]["faces"][0]) == ["id", "length_m", "gross_m2", "net_m2", "behind"]
    assert list(made["rooms"][0]["faces"][0]["behind"][0]) == ["from_mm", "to_mm", "class", "thickness_mm", "claimed"]
    assert list(made["materials"][0]) == ["item", "need", "unit", "packs", "pack", "cost"]
    assert list(made["findings"][0]) == ["code", "severity", "text", "where"]


def test_figures_are_passed_on_unrounded_and_printed_beside_the_dims() -> None:
    room = as_json(square_takeoff(floor_m2=12.0000000001))["rooms"][0]
    assert room["floor_m2"] == 12.0000000001
    assert room["dims"] == [
        {
            "quantity": "wall_gross_m2",
            "times": 1.0,
            "dims_m": [1.005, 1.0],
            "product": 1.005,
            "printed": 1.01,
            "what": "a wall",
            "where": "s1",
        }
    ]


def test_outline_openings_and_packs_come_from_the_job_and_the_order() -> None:
    made = as_json(square_takeoff())
    room = made["rooms"][0]
    assert made["unit"] == "ft"
    assert made["source"] == "box.dxf"
    assert room["outline_mm"] == [[[0, 0, 0], [4000, 0, 0], [4000, 3000, 0], [0, 3000, 0]]]
    assert room["openings"] == [
        {
            "id": "D1",
            "kind": "door",
            "confidence": "check",
            "width_mm": 900,
            "sill_mm": 0,
            "head_mm": 2040,
            "reveal_mm": 120,
        }
    ]
    assert room["times"] == 2
    assert made["totals"] == {"wall_gross_m2": 67.2}
    assert made["materials"][0]["packs"] == 3
    assert made["materials"][0]["cost"] is None


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_a_figure_that_is_no_number_is_refused_with_its_place(bad: float) -> None:
    with pytest.raises(OutputError, match=r"rooms\[0\]\.floor_m2"):
        as_json(square_takeoff(floor_m2=bad))


def test_published_schema_accepts_the_result_and_refuses_another_version() -> None:
    made, published = as_json(square_takeoff()), schema()
    checker = jsonschema.Draft202012Validator(published)
    assert list(checker.iter_errors(made)) == []
    assert published["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert list(checker.iter_errors(made | {"schema": "takeoff-result/2"}))
    del made["rooms"][0]["dims"]
    assert list(checker.iter_errors(made))


def test_an_opening_that_is_not_sure_says_what_it_would_change() -> None:
    effect = OpeningEffect(
        "D1",
        "r1",
        "check",
        ("a gap of a door's width",),
        {"wall_net_m2": -1.836, "reveal_m2": 0.0, "coated_m2": -1.836, "external_corner_m": 4.98},
    )
    made = as_json(msgspec.structs.replace(square_takeoff(), unsure=(effect,)))
    assert made["findings"][-1] == {
        "code": "opening-not-measured",
        "severity": "check",
        "where": {"room": "r1", "opening": "D1"},
        "text": "Door 1 is uncertain and not deducted: accept or reject it. A gap of a door's width. If accepted: "
        "walls −1.84 m², coat −1.84 m², external corners +4.98 m.",
    }


def test_empty_takeoff_gives_an_empty_result() -> None:
    empty = msgspec.structs.replace(square_takeoff(), rooms=(), totals={})
    assert as_json(empty)["rooms"] == []


@pytest.mark.parametrize(("field", "said"), [("system", "There is no coating system"), ("convention", "is not known")])
def test_a_system_or_convention_that_is_not_there_is_refused_with_the_name_of_the_file(field: str, said: str) -> None:
    job = msgspec.structs.replace(square_job(), **{field: "none of these"})
    with pytest.raises(InputError, match=rf"^box\.json: .*{said}"):
        measure_job(Opened(Path("box.json"), "job", job, ()))
