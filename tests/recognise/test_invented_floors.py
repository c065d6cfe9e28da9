"""Whole office floors with known truth: nearly every room found, and no wrong room that is called sure."""

from __future__ import annotations

import os

import invented
import invented_floor
import pytest
import shapely
from test_invented_plans import shape
from test_rooms_found import rooms

from takeoff.recognise import propose

FLOORS = int(os.environ.get("INVENTED_PLANS", "12"))
SAME_AREA = 0.005
OVERLAP = 0.95


class Score:
    """Of one floor: how many rooms there are, which were not found, and wrong ones called sure."""

    def __init__(self, plan: invented.Plan) -> None:
        job, _ = propose(invented.drawing(plan))
        found = [
            (r, shapely.Polygon(shape(r.outline).exterior, [shape(i).exterior for i in r.inner])) for r in rooms(job)
        ]
        self.count = len(plan.rooms)
        self.missed: list[str] = []
        matched: set[int] = set()
        open_plans: set[int] = set()
        tree = shapely.STRtree([polygon for _, polygon in found])
        for true in plan.rooms:
            near = tree.query(true.polygon).tolist()
            best = max(near, default=None, key=lambda k: _overlap(found[k][1], true.polygon))
            if best is None:
                self.missed.append(true.name)
            elif _same(found[best][1], true):
                matched.add(best)
            elif _in_open_plan(found[best], true):
                open_plans.add(best)
            else:
                self.missed.append(true.name)
        self.false_sure = [
            f"{r.name} {p.area / 1e6:.1f} m²"
            for k, (r, p) in enumerate(found)
            if k not in matched | open_plans and r.confidence == "sure"
        ]


def _overlap(one: shapely.Polygon, other: shapely.Polygon) -> float:
    return float(one.intersection(other).area / one.union(other).area)


def _same(polygon: shapely.Polygon, true: invented.TrueRoom) -> bool:
    return (
        abs(polygon.area / 1e6 - true.area_m2) <= SAME_AREA * true.area_m2
        and _overlap(polygon, true.polygon) >= OVERLAP
    )


def _in_open_plan(found: tuple[object, shapely.Polygon], true: invented.TrueRoom) -> bool:
    """A room behind a plain opening too wide for a door is part of an open plan, with its label, and
    marked so."""
    room, polygon = found
    name = true.name.rsplit(" ", 1)[0]
    return (
        room.confidence != "sure"
        and " / " in room.name
        and name in room.name  # type: ignore[attr-defined]
        and polygon.intersection(true.polygon).area >= OVERLAP * true.polygon.area
    )


def told(seed: int) -> bool:
    """Whether layers part walls from furniture, by their names or without."""
    return invented_floor.choose(seed).layers["wall"] != "0"


@pytest.mark.parametrize("seed", [s for s in range(FLOORS) if told(s)])
def test_office_floor_is_found_room_by_room(seed: int) -> None:
    score = Score(invented_floor.floor(seed))
    assert score.false_sure == []
    assert score.missed == []


@pytest.mark.parametrize("seed", [s for s in range(max(FLOORS, 30)) if not told(s)])
def test_floor_on_one_layer_has_hardly_a_wrong_room_that_is_called_sure(seed: int) -> None:
    score = Score(invented_floor.floor(seed))
    assert len(score.false_sure) <= 0.05 * score.count


@pytest.mark.parametrize(
    "seed",
    [
        s
        for s in range(FLOORS)
        if invented_floor.choose(s).walls == "bodies" and told(s) and invented_floor.choose(s).front == "punched"
    ],
)
def test_floor_laid_round_a_circle_is_found_with_its_curved_walls(seed: int) -> None:
    style = invented_floor.choose(seed)
    style.bent = True
    score = Score(invented_floor.floor(seed, style))
    assert score.false_sure == []
    assert score.missed == []
