"""What is assumed, what overlaps and how high a ceiling is, each at the case that tells it from its like."""

from __future__ import annotations

import pytest

from takeoff.plan.assumptions import assumptions
from takeoff.plan.check import check
from takeoff.plan.model import Field, Job, Opening, Plane, Reveal, Room, Side, Storey, Strip
from takeoff.plan.shape import ceiling_height, floor_height

CORNERS = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))


def window(name: str, **given: object) -> Opening:
    usual = {"kind": "window", "offset_mm": 500, "width_mm": 1000, "sill_mm": 900, "head_mm": 2100}
    return Opening(id=name, room="R", side="s0", **(usual | given))


def house(*openings: Opening, **room: object) -> Job:
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))
    room = Room(id="R", outline=outline, **room)
    return Job(storeys=(Storey(id="g", height_source="site", rooms=(room,), openings=openings),))


def kinds(*openings: Opening) -> list[str]:
    return [value.kind for value in assumptions(house(*openings))]


def test_a_door_on_the_floor_has_no_sill_to_ask_for() -> None:
    assert kinds(window("d", kind="door", sill_mm=0, sill_source="assumed")) == []
    assert kinds(window("d", kind="door", sill_mm=20, sill_source="assumed")) == ["door-sill"]


def test_the_depth_of_a_strip_that_is_not_coated_is_not_asked_for() -> None:
    bare = Strip(depth_mm=100, coat=False, depth_source="assumed")
    assert kinds(window("w", reveal=Reveal(start=bare, end=bare, head=bare, sill=bare))) == []
    assert kinds(window("w", reveal=Reveal(start=Strip(depth_mm=100, depth_source="assumed")))) == ["window-reveal"]


@pytest.mark.parametrize(("confidence", "severity"), [("sure", "error"), ("question", "check")])
def test_openings_over_each_other_are_an_error_only_where_both_are_sure(confidence: str, severity: str) -> None:
    found = check(house(window("a"), window("b", offset_mm=1000, confidence=confidence)))
    assert [f.severity for f in found if f.code == "openings-overlap"] == [severity]


def test_of_two_planes_the_lower_is_the_ceiling_and_the_higher_the_floor() -> None:
    planes = (Plane(z_mm=2400), Plane(z_mm=2000, slope_x=0.25))
    job = house(ceiling=Field(planes=planes), floor=Field(planes=(Plane(z_mm=0), Plane(z_mm=100))))
    (storey,) = job.storeys
    assert ceiling_height(storey, storey.rooms[0], 400, 1000) == 2100
    assert ceiling_height(storey, storey.rooms[0], 3000, 1000) == 2400
    assert floor_height(storey.rooms[0], 400, 1000) == 100
