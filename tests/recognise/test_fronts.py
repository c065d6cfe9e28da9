"""Glazed fronts: one straight side and one opening from wall to wall."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Room, RoomId, Side, SideId
from takeoff.recognise import propose
from takeoff.recognise.openings.opening_hosts import SideIndex

QUARTER = 0.41421356237


def shopfront(column: bool = False, panes: bool = True, door: bool = False) -> Sheet:
    """A room of 6000 × 4000 whose lower side is glass: mullions of 60 every 1500 whose inner faces
    lie in the room's side, and panes 30 behind them; with a column of 400 in the middle, or with a pair of leaves for
    the second pane if asked."""
    sheet = Sheet().ring((0, 0), (0, 4000), (6000, 4000), (6000, 0), (6300, 0), (6300, 4300), (-300, 4300), (-300, 0))
    for x in (0, 1500, 3000, 4500, 6000):
        if column and x == 3000:
            sheet.box(2800, -150, 3200, 250, layer="A-COLS")
        else:
            sheet.box(x - 30, -150, x + 30, 0, layer="A-GLAZ")
    if door:
        for hinge, out in ((1530, 1), (2970, -1)):
            sheet.line(hinge, -150, hinge, -870, "A-DOOR")
            sheet.arcs.append((hinge, -870, hinge + out * 720, -150, out * QUARTER, "A-DOOR"))
    if panes:
        for x in (0, 3000, 4500) if door else (0, 1500, 3000, 4500):
            left = 200 if column and x == 3000 else 30
            right = 200 if column and x == 1500 else 30
            sheet.box(x + left, -55, x + 1500 - right, -30, layer="A-GLAZ")
    return sheet.word("Shop", 3000, 2000)


def test_a_front_of_panes_and_mullions_is_one_straight_side_with_one_window() -> None:
    job, _ = propose(shopfront().drawing())
    (room,) = rooms(job)
    assert len(room.outline) == 4
    assert area_m2(room) == pytest.approx(24.0, abs=0.01)
    (window,) = job.storeys[0].openings
    assert (window.kind, window.confidence, window.width_mm) == ("window", "sure", pytest.approx(6000, abs=1))


def test_a_pair_of_leaves_between_two_mullions_is_a_door_beside_the_glass() -> None:
    """Between mullions from x = 1470 to 1530 and from 2970 to 3030 two leaves of 720 hang at their outer sides, without
    a pane: the bays on both sides stay windows, of 1500 from the wall and of 3000."""
    sheet = shopfront(door=True)
    job, _ = propose(sheet.drawing())
    (room,) = rooms(job)
    assert area_m2(room) == pytest.approx(24.0, abs=0.01)
    found = sorted((o.kind, round(o.width_mm, -2)) for o in job.storeys[0].openings)
    assert found == [("door", 1400), ("window", 1500), ("window", 3000)]


def test_a_row_of_mullions_alone_ends_the_room_at_their_faces() -> None:
    job, _ = propose(shopfront(panes=False).drawing())
    (room,) = rooms(job)
    assert len(room.outline) == 4
    assert area_m2(room) == pytest.approx(24.0, abs=0.01)
    assert [round(o.width_mm) for o in job.storeys[0].openings] == [6000]


def test_a_column_in_a_front_parts_it_into_bays() -> None:
    job, _ = propose(shopfront(column=True).drawing())
    (room,) = rooms(job)
    assert area_m2(room) == pytest.approx(24.0 - 0.4 * 0.25, abs=0.01)
    assert [round(o.width_mm) for o in job.storeys[0].openings] == [2800, 2800]


def test_glass_that_stands_in_a_room_is_no_window_and_no_wall() -> None:
    sheet = Sheet().box(-300, -300, 4300, 3300).box(0, 0, 4000, 3000).word("Hall", 3000, 2500)
    sheet.box(1000, 1000, 1050, 1700, layer="A-GLAZ")
    job, _ = propose(sheet.drawing())
    (room,) = rooms(job)
    assert (room.inner, job.storeys[0].openings) == ((), ())


def test_glass_in_front_of_a_solid_wall_is_no_window() -> None:
    sheet = Sheet().box(-300, -300, 4300, 3300).box(0, 0, 4000, 3000).word("Hall", 3000, 2500)
    job, _ = propose(sheet.box(0, 1000, 50, 1700, layer="A-GLAZ").drawing())
    assert job.storeys[0].openings == ()


def test_a_glass_wall_between_two_rooms_is_one_window() -> None:
    sheet = Sheet().box(-300, -300, 8300, 3300).box(0, 0, 8000, 3000)
    sheet.box(3990, 0, 4010, 3000, layer="A-GLAZ").word("Meeting", 2000, 1500).word("Office", 6000, 1500)
    job, _ = propose(sheet.drawing())
    assert {r.name: round(area_m2(r), 2) for r in rooms(job)} == {"Meeting": 11.97, "Office": 11.97}
    (window,) = job.storeys[0].openings
    assert window.width_mm == pytest.approx(3000)


@pytest.mark.parametrize("radial", [True, False])
def test_a_door_in_a_curved_wall_lies_along_its_arc(radial: bool) -> None:
    """A round room of radius 3000 in a wall of 200; a gap at the right, its jambs radial or parallel."""
    sheet, ends = Sheet(), []
    for radius in (3000.0, 3200.0):
        half = 0.15 if radial else math.asin(450 / radius)
        x, y = radius * math.cos(half), radius * math.sin(half)
        bulge = math.tan((math.pi - half) / 4)
        sheet.arcs += [(x, y, -radius, 0.0, bulge, "A-WALL"), (-radius, 0.0, x, -y, bulge, "A-WALL")]
        ends.append((x, y))
    (x0, y0), (x1, y1) = ends
    sheet.line(x0, y0, x1, y1).line(x0, -y0, x1, -y1)
    sheet.box(3050, -440, 3090, 440, layer="A-DOOR")
    job, findings = propose(sheet.word("Rotunda", -1000, 0).drawing())
    (room,) = rooms(job)
    assert (room.confidence, findings) == ("sure", ())
    assert area_m2(room) == pytest.approx(math.pi * 9, rel=1e-3)
    (door,) = job.storeys[0].openings
    along = 6000 * (0.15 if radial else math.asin(0.15))
    assert (door.kind, door.width_mm) == ("door", pytest.approx(along, abs=1))
    assert abs(next(s for s in room.outline if s.id == door.side).bulge) > 0.5


def test_an_opening_on_a_curved_side_is_measured_along_the_arc() -> None:
    outline = (Side(id=SideId("s1"), x_mm=3000, y_mm=0, bulge=1.0), Side(id=SideId("s2"), x_mm=-3000, y_mm=0))
    room = Room(id=RoomId("r1"), outline=outline)
    ends = [3000 * cmath.exp(1j * angle) for angle in (1.0, 1.3)]
    line = np.array([[ends[1].real, ends[1].imag, ends[0].real, ends[0].imag]])
    ((place,),) = SideIndex([room], (0.0, 0.0)).places([(line, 12.0)])
    assert (place.side.id, place.offset_mm, place.width_mm) == ("s1", pytest.approx(3000.0), pytest.approx(900.0))
