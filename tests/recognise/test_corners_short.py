"""Corners of walls that are not quite closed."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose
from takeoff.recognise.walls.bounding_lines import prepare
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.opening_evidence import swings


def areas(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def test_a_corner_that_is_short_by_some_centimetres_closes() -> None:
    sheet = Sheet().box(-300, -300, 7400, 3300).word("Hall", 3000, 1500)
    sheet.line(0, 0, 7100, 0).line(7100, 0, 7100, 2995).line(7050, 3000, 0, 3000).line(0, 3000, 0, 0)
    assert areas(sheet) == [21.3]


def test_a_face_that_was_left_broken_where_a_wall_was_rubbed_out_goes_on() -> None:
    # Two rooms of 3000 × 3000 with a doorway of 900 in the wall of 100 between them; the lower face of the left one
    # stops for 150 at x = 1000.
    sheet = Sheet().box(-300, -300, 6400, 3300).word("Left", 1500, 1500).word("Right", 4600, 1500)
    sheet.line(0, 0, 1000, 0).line(1150, 0, 3000, 0).line(3000, 3000, 0, 3000).line(0, 3000, 0, 0)
    sheet.line(3100, 0, 6100, 0).line(6100, 0, 6100, 3000).line(6100, 3000, 3100, 3000)
    for y0, y1 in ((0, 1000), (1900, 3000)):
        sheet.line(3000, y0, 3000, y1).line(3100, y0, 3100, y1)
    sheet.line(3000, 1000, 3100, 1000).line(3000, 1900, 3100, 1900)
    sheet.segments = [(*row[:4], "0") for row in sheet.segments]
    assert areas(sheet) == [9.0, 9.0]


def test_a_wall_whose_end_at_a_corner_is_not_drawn_closes_the_doorway_beside_it() -> None:
    # A hall of 6000 × 2000 below, rooms of 3000 × 2900 and 2900 × 2900 above it. The wall of 100 between these has its
    # right face from the top down to y = 2100, that below the left room its lower face along y = 2000 up to x = 3100:
    # nothing is drawn across their common end, beside which a door of 900 stands.
    sheet = (
        Sheet().box(-300, -300, 6300, 5300).word("Left", 1500, 3500).word("Right", 4500, 3500).word("Hall", 3000, 1000)
    )
    sheet.line(0, 2100, 3000, 2100).line(3000, 2100, 3000, 5000).line(3000, 5000, 0, 5000).line(0, 5000, 0, 2100)
    sheet.line(3100, 2100, 3100, 5000).line(3100, 5000, 6000, 5000).line(6000, 5000, 6000, 2100)
    sheet.line(6000, 2100, 4000, 2100).line(4000, 2100, 4000, 2000).line(4000, 2000, 6000, 2000)
    sheet.line(6000, 2000, 6000, 0).line(6000, 0, 0, 0).line(0, 0, 0, 2000).line(0, 2000, 3100, 2000)
    sheet.line(4000, 2100, 4000, 3000, "A-DOOR")
    sheet.arcs.append((4000, 3000, 3100, 2100, 0.41421356237, "A-DOOR"))
    assert areas(sheet) == [8.41, 8.7, 12.0]


def hung(bulge: float) -> Sheet:
    """Two rooms with a leaf of 900 from its hinge (4000, 1000) to (3100, 1000), an arc from there to (4000, 1900)."""
    plan = two_rooms(door=False)
    plan.segments = [(*row[:4], "0") for row in plan.segments]
    plan.line(4000, 1000, 3100, 1000, "0")
    plan.arcs.append((4000, 1900, 3100, 1000, bulge, "0"))
    return plan


@pytest.mark.parametrize("bulge", [0.47, 0.32])
def test_a_swing_about_another_point_than_its_centre_is_a_door(bulge: float) -> None:
    # The arc is rounder or flatter than a quarter circle: it turns by 4 · atan(0.47), some 101°, about a centre that
    # lies 105 mm off the hinge, or by 71° about one that is 256 mm off.
    plan = hung(bulge)
    job = propose(plan.drawing())[0]
    (door,) = job.storeys[0].openings
    assert (door.kind, door.confidence, round(door.width_mm)) == ("door", "sure", 900)
    assert areas(plan) == [9.0, 12.0]


def test_a_leaf_hangs_where_it_ends_and_not_at_the_centre_of_a_flat_swing() -> None:
    # The centre lies 106 mm off the hinge: from the chord, 1273 mm long, 742 mm away and not 636 mm.
    drawing = hung(0.37).drawing()
    lines = prepare(drawing, guess(drawing))
    found, _ = swings(lines)
    assert (found.hinge + lines.origin).round().tolist() == [[4000.0, 1000.0]]
    assert found.radius.round().tolist() == [900.0]


def test_a_swing_written_in_two_pieces_is_a_door() -> None:
    plan = two_rooms(door=False)
    plan.segments = [(*row[:4], "0") for row in plan.segments]
    # About (4000, 1000), each piece turns by 45°: bulge tan(45° / 4) = 0.1989; they meet 636.4 to the left and above.
    plan.line(4000, 1000, 3100, 1000, "0")
    plan.arcs.append((4000, 1900, 3363.6, 1636.4, 0.19891, "0"))
    plan.arcs.append((3363.6, 1636.4, 3100, 1000, 0.19891, "0"))
    (door,) = propose(plan.drawing())[0].storeys[0].openings
    assert (door.kind, door.confidence, round(door.width_mm)) == ("door", "sure", 900)
