"""Every room of invented plans in every style, with noise, and no room that is not there."""

from __future__ import annotations

import os

import invented
import pytest
import shapely
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose

PLANS = int(os.environ.get("INVENTED_PLANS", "12"))
"""A dozen by default; 60 or more where asked."""


def shape(sides: tuple[object, ...]) -> shapely.Polygon:
    """Arcs by fine chords, as the truth has them."""
    return invented._fine(tuple((s.x_mm, s.y_mm, s.bulge) for s in sides), 60)  # type: ignore[attr-defined]


@pytest.mark.parametrize("seed", range(PLANS))
def test_invented_plan_is_found_room_by_room(seed: int) -> None:
    plan = invented.plan(seed)
    job, _ = propose(invented.drawing(plan))
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
