"""What is assumed, what overlaps and how high a ceiling is, each at the case that tells it from its like."""

from __future__ import annotations

import pytest

from takeoff.plan.assumptions import assumptions
from takeoff.plan.check import check
from takeoff.plan.model import Field, Job, Opening, Plane, Region, Reveal, Ring, Room, Side, Storey, Strip
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


def square(x: float, y: float, wide: float) -> Ring:
    return ((x, y, 0), (x + wide, y, 0), (x + wide, y + wide, 0), (x, y + wide, 0))


def said(*openings: Opening, **room: object) -> list[tuple[str, str]]:
    return [(f.code, f.text) for f in check(house(*openings, **room)) if f.code.startswith("opening-")]


def test_a_sill_is_below_the_floor_where_the_higher_part_of_a_stepped_floor_is() -> None:
    step = Region(id="f", op="raise", outline=square(1000, -500, 4000), planes=(Plane(z_mm=150),))
    stepped = Field(planes=(Plane(z_mm=0),), regions=(step,))
    # the window runs from 500 to 1500 along its wall: half of it stands over the step of 150 mm
    ((code, text),) = said(window("w", sill_mm=100), floor=stepped)
    assert code == "opening-below-floor"
    assert "50 mm" in text
    assert said(window("w", sill_mm=150), floor=stepped) == []


def test_a_head_is_above_the_ceiling_where_the_lower_part_of_a_stepped_ceiling_is() -> None:
    boxing = Region(id="b", op="lower", outline=square(1000, -500, 4000), planes=(Plane(z_mm=2000),))
    ((code, text),) = said(window("w"), ceiling=Field(planes=(Plane(z_mm=2400),), regions=(boxing,)))
    assert code == "opening-above-ceiling"
    assert "100 mm" in text


def two_rooms(offset_mm: float) -> list[str]:
    """Rooms on both sides of a wall of 100 mm; one has a door from x = 500 to 1300, the other where it is said."""
    near = Room(id="N", outline=tuple(Side(id=f"n{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))
    far = Room(id="F", outline=tuple(Side(id=f"f{k}", x_mm=x, y_mm=y + 3100) for k, (x, y) in enumerate(CORNERS)))
    door = {"kind": "door", "width_mm": 800, "sill_mm": 0, "head_mm": 2040}
    one = Opening(id="one", room="F", side="f0", offset_mm=500, **door)
    # the near room's side runs from x = 4000 back to 0
    other = Opening(id="two", room="N", side="n2", offset_mm=offset_mm, **door)
    storey = Storey(id="g", height_source="site", rooms=(near, far), openings=(one, other))
    return [f.code for f in check(Job(storeys=(storey,))) if f.code == "opening-twice"]


def test_doors_of_two_rooms_are_one_drawn_twice_only_where_they_share_some_width() -> None:
    assert two_rooms(4000 - 1300) == ["opening-twice"]  # from 500 to 1300, as the first
    assert two_rooms(4000 - 2000) == ["opening-twice"]  # from 1200 to 2000: 100 mm shared
    assert two_rooms(4000 - 2100) == []  # from 1300 to 2100: side by side


def test_of_regions_within_each_other_the_smaller_one_says_the_height() -> None:
    inner = Region(id="i", op="set", outline=square(1500, 1000, 1000), planes=(Plane(z_mm=2600),))
    outer = Region(id="o", op="set", outline=square(1000, 500, 2000), planes=(Plane(z_mm=2100),))
    for regions in ((inner, outer), (outer, inner)):
        (storey,) = house(ceiling=Field(planes=(Plane(z_mm=2400),), regions=regions)).storeys
        heights = [ceiling_height(storey, storey.rooms[0], x, 1500) for x in (500, 1200, 2000)]
        assert heights == [2400, 2100, 2600]
