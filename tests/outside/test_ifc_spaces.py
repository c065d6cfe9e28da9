"""Real models against what their authors' files say: spaces, heights, openings, storeys.

Sources: duplex.ifc with its truth files (areas and heights of the space solids, sizes of doors and
windows), CC BY 4.0, BSI (2020) Duplex Apartment Test Files, buildingSMART International; pavilion.ifc
and sample-building.ifc, MIT.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from takeoff.errors import Finding, InputError
from takeoff.measure import measure
from takeoff.plan.check import check
from takeoff.plan.model import Job
from takeoff.readers.ifc import read
from takeoff.recognise.modelled import propose_modelled

PLANS = Path(__file__).parents[2] / ".." / "shared" / "plans"
DUPLEX = PLANS / "duplex" / "duplex.ifc"
PAVILION = PLANS / "pavilion" / "pavilion.ifc"
DATA_ONLY = PLANS / "quantities-fixture" / "sample-building.ifc"

pytestmark = pytest.mark.skipif(not DUPLEX.exists(), reason="../shared/plans is not there")

Proposed = tuple[Job, tuple[Finding, ...]]


def proposed(path: Path) -> Proposed:
    drawings, found = read(path)
    job, more = propose_modelled(drawings)
    return job, (*found, *more)


@pytest.fixture(scope="module")
def duplex() -> Proposed:
    return proposed(DUPLEX)


@pytest.fixture(scope="module")
def pavilion() -> Proposed:
    return proposed(PAVILION)


def truth(storey: int) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((DUPLEX.parent / f"duplex_L{storey}.truth.json").read_text())
    return found


@pytest.mark.parametrize("storey", [1, 2])
def test_every_space_of_the_duplex_is_a_room_with_its_area_and_height(duplex: Proposed, storey: int) -> None:
    job, _ = duplex
    figures = {r.room: r for r in measure(job).rooms}
    ours = {r.number: r for r in job.storeys[storey - 1].rooms}
    said = truth(storey)
    assert job.storeys[storey - 1].name == said["storey"]
    assert sorted(ours) == sorted(s["name"] for s in said["spaces"])
    for space in said["spaces"]:
        room = ours[space["name"]]
        measured = figures[room.id]
        assert (room.name, room.confidence, room.times) == (space["long"], "sure", 1)
        # The truth is written to 0.001 m².
        assert measured.floor_m2 == pytest.approx(space["geom_area_m2"], rel=1e-3)
        assert measured.height_max_mm == pytest.approx(1000 * space["height_m"], abs=1)
        border = sum(e for e in perimeter(room))
        assert border == pytest.approx(space["geom_perimeter_m"], rel=1e-3)


def perimeter(room: Any) -> list[float]:
    ends = [(s.x_mm, s.y_mm) for s in room.outline]
    return [
        ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / 1000
        for (x0, y0), (x1, y1) in zip(ends, ends[1:] + ends[:1], strict=True)
    ]


def test_doors_and_windows_of_the_duplex_are_found_by_kind_width_and_height(duplex: Proposed) -> None:
    job, _ = duplex
    # Two doors of the upper storey stand in the lower storey's list too: by name each is one door.
    said = {o["name"].rsplit(":", 1)[1]: o for storey in (1, 2) for o in truth(storey)["openings"]}
    # Where a stair's space meets the one above it without a wall, the way between them has no mark.
    ways = [o for s in job.storeys for o in s.openings if not o.mark]
    assert {o.kind for o in ways} == {"open"}
    openings = {o.mark: o for s in job.storeys for o in s.openings if o.mark}
    assert sorted(openings) == sorted(said)
    assert len(openings) + len(ways) == sum(len(s.openings) for s in job.storeys)
    for mark, o in openings.items():
        assert (o.kind, o.confidence) == (said[mark]["cls"].removeprefix("Ifc").lower(), "sure")
        # Two windows reach 5 mm past their kitchen, into the living room that it is open to.
        assert o.width_mm == pytest.approx(1000 * said[mark]["width_m"], abs=5.1)
        # Doors begin at the finished floor, 13 or 19 mm above the level that their holes begin at.
        height = o.head_mm - o.sill_mm
        assert height == pytest.approx(1000 * said[mark]["height_m"], abs=20 if o.kind == "door" else 1)
    exact = sum(abs(o.width_mm - 1000 * said[mark]["width_m"]) < 1 for mark, o in openings.items())
    assert exact >= 0.9 * len(said)


def test_two_windows_in_the_roof_are_rooflights_over_the_hallways(duplex: Proposed) -> None:
    job, _ = duplex
    lights = [light for s in job.storeys for light in s.rooflights]
    names = {r.id: r.name for s in job.storeys for r in s.rooms}
    assert [names[light.room] for light in lights] == ["Hallway", "Hallway"]


def test_the_duplex_measures_without_errors_and_says_what_is_doubtful(duplex: Proposed) -> None:
    job, findings = duplex
    assert [f.text for f in check(job) if f.severity == "error"] == []
    assert not [f for f in findings if f.severity == "error"]
    codes = Counter(f.code for f in findings)
    assert codes["quantity-differs"] == 1
    assert codes["open-between-storeys"] == 1
    (left_out,) = [f for f in findings if f.code == "space-left-out"]
    assert "R301 Roof" in left_out.evidence


def test_the_pavilion_is_called_an_open_plan_and_no_room_is_sure(pavilion: Proposed) -> None:
    job, findings = pavilion
    assert {"spaces-missing", "open-plan", "storeys-missing"} <= {f.code for f in findings}
    assert "sure" not in {r.confidence for s in job.storeys for r in s.rooms}
    assert [f.text for f in check(job) if f.severity == "error"] == []


def test_a_model_that_holds_data_only_is_refused() -> None:
    with pytest.raises(InputError, match="it holds data only"):
        read(DATA_ONLY)
