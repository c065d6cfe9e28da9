"""Where a wall ends: at a short line between two faces, unless something goes on past it."""

from __future__ import annotations

import numpy as np
import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.geometry.runs import straight_runs
from takeoff.recognise import propose
from takeoff.recognise.walls.gap_closures import THINNEST_MM, drawn_caps

FACES = [(0, 0), (200, 0), (0, 1000), (200, 1000)]
"""A wall of 200 mm that comes from above and stops at the line from the first point to the second."""


def ends(*more: tuple[float, float]) -> list[tuple[int, int, tuple[float, float]]]:
    """The end lines (their two points, the way the wall would go on), with lines from the second
    point to some more."""
    xy = np.array([*FACES, *more], float)
    edges = np.array([(0, 1), (0, 2), (1, 3), *((1, 4 + k) for k in range(len(more)))])
    caps = drawn_caps(xy, edges, straight_runs(xy, edges), THINNEST_MM)
    found = zip(caps.a.tolist(), caps.b.tolist(), caps.out.round(6).tolist(), strict=True)
    return [(min(a, b), max(a, b), (out[0], out[1])) for a, b, out in found]


def test_a_line_between_two_faces_that_leave_to_one_side_ends_their_wall() -> None:
    assert ends() == [(0, 1, (0.0, -1.0))]


def test_a_threshold_straight_on_from_one_face_leaves_it_an_end() -> None:
    assert ends((200, -300)) == [(0, 1, (0.0, -1.0))]


@pytest.mark.parametrize("degrees", [-20, 20, -60])
def test_a_line_that_goes_on_askew_is_no_end(degrees: float) -> None:
    way = np.radians(degrees)
    assert ends((200 + 900 * float(np.cos(way)), 900 * float(np.sin(way)))) == []


def room_with_steps(*, door: bool) -> Sheet:
    """A room of 6000 × 4000 with an opening of 2000 in its lower wall; the sides of the steps before it go straight on
    from both wall ends, 800 out. ``door``: lines of a door all along it."""
    sheet = Sheet().line(0, 0, 2000, 0).line(2000, 0, 2000, -1000).line(2000, -1000, 4000, -1000)
    sheet.line(4000, -1000, 4000, 0).line(4000, 0, 6000, 0).line(6000, 0, 6000, 4000).line(6000, 4000, 0, 4000)
    sheet.line(0, 4000, 0, 0).line(2000, -200, -200, -200).line(-200, -200, -200, 4200).line(-200, 4200, 6200, 4200)
    sheet.line(6200, 4200, 6200, -200).line(6200, -200, 4000, -200)
    if door:
        sheet.line(2000, -60, 4000, -60, "A-DOOR").line(2000, -120, 4000, -120, "A-DOOR")
    return sheet.word("Lounge", 3000, 2000)


def test_steps_whose_sides_go_straight_on_from_two_wall_ends_lie_before_the_door_between_them() -> None:
    lounge = next(r for r in rooms(propose(room_with_steps(door=True).drawing())[0]) if r.name == "Lounge")
    assert round(area_m2(lounge), 2) == 24.0


def test_without_a_door_what_goes_straight_on_is_the_side_of_a_bay() -> None:
    # 6 m × 4 m and the bay of 2 m × 1 m
    assert [round(area_m2(r), 2) for r in rooms(propose(room_with_steps(door=False).drawing())[0])] == [26.0]
