"""Every room of invented plans in every style, with noise, and no room that is not there."""

from __future__ import annotations

import os
from pathlib import Path

import invented
import invented_office
import pytest
import shapely
from test_rooms_found import area_m2, rooms

from takeoff.drawing.model import Drawing
from takeoff.readers.dxf import read
from takeoff.recognise import propose
from takeoff.recognise.units import decide

PLANS = int(os.environ.get("INVENTED_PLANS", "12"))
"""A dozen by default; 60 or more where asked."""


def shape(sides: tuple[object, ...]) -> shapely.Polygon:
    """Arcs by fine chords, as the truth has them."""
    return invented._fine(tuple((s.x_mm, s.y_mm, s.bulge) for s in sides), 60)  # type: ignore[attr-defined]


def check(plan: invented.Plan, drawing: Drawing) -> None:
    job, _ = propose(drawing)
    found = [(r, shape(r.outline)) for r in rooms(job)]
    matched, missed = set(), []
    for true in plan.rooms:
        overlap = [s.intersection(true.polygon).area / s.union(true.polygon).area for _, s in found]
        best = max(range(len(found)), default=None, key=lambda k: overlap[k])
        if best is None or abs(area_m2(found[best][0]) - true.area_m2) > 0.005 * true.area_m2:
            missed.append(true.name)
        else:
            matched.add(best)
    false = [r for k, (r, _) in enumerate(found) if k not in matched]
    assert [r.name for r in false if r.confidence == "sure"] == []
    assert missed == []
    assert false == []


@pytest.mark.parametrize("seed", range(PLANS))
def test_invented_plan_is_found_room_by_room(seed: int) -> None:
    plan = invented.plan(seed)
    check(plan, invented.drawing(plan))


@pytest.mark.parametrize("unit", ["mm", "m", "in", "none"])
def test_invented_plan_is_found_through_a_file_in_its_unit(unit: str, tmp_path: Path) -> None:
    plan = next(p for p in map(invented.plan, range(10, 60)) if p.unit == unit and p.style != "outlines")
    invented.write_dxf(plan, tmp_path / "plan.dxf")
    drawing, _ = read(tmp_path / "plan.dxf")
    drawing, _ = decide(drawing)
    assert drawing.unit_mm == pytest.approx(invented.UNITS[unit][1])
    check(plan, drawing)


@pytest.mark.parametrize("seed", range(max(2, PLANS // 6)))
@pytest.mark.parametrize("one_layer", [False, True])
def test_invented_office_floor_is_found_room_by_room(seed: int, one_layer: bool) -> None:
    plan = invented_office.office(seed, one_layer=one_layer)
    check(plan, invented.drawing(plan))
