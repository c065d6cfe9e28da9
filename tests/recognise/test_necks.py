"""Ways between rooms that no wall end looks across are closed all the same."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def mouth(radius: float) -> Sheet:
    """A room of 4000 × 3000 and a corridor of 1000 × 4000 that opens into it at x = 4000 between two corners, with a
    swing of a radius hung 150 before its lower corner."""
    sheet = Sheet()
    sheet.box(-300, -300, 8300, 3300)
    sheet.ring((0, 0), (4000, 0), (4000, 1000), (8000, 1000), (8000, 2000), (4000, 2000), (4000, 3000), (0, 3000))
    sheet.word("Hall", 2000, 1500).word("Corridor", 6500, 1500)
    sheet.line(3850, 1000, 3850 - radius, 1000, "A-DOOR")
    sheet.arcs.append((3850, 1000 + radius, 3850 - radius, 1000, 0.41421356237, "A-DOOR"))
    return sheet


def test_the_mouth_of_a_corridor_is_closed_where_a_door_hangs_in_it() -> None:
    job, _ = propose(mouth(1000).drawing())
    assert {r.name: round(area_m2(r), 2) for r in rooms(job)} == {"Hall": 12.0, "Corridor": 4.0}
    assert [(o.kind, round(o.width_mm)) for o in job.storeys[0].openings] == [("door", 1000)]


def test_a_leaf_that_is_too_short_for_the_mouth_of_a_corridor_closes_nothing() -> None:
    assert [round(area_m2(r), 2) for r in rooms(propose(mouth(700).drawing())[0])] == [16.0]


def beside_a_corner(*, hinge: bool) -> Sheet:
    """A dining room of 5000 × 3000 above a drawing room of 4000 × 3000: the wall of 200 between them ends 1000 short of
    the line of the drawing room's right wall, and 200 above its corner."""
    sheet = Sheet().word("Dining", 2500, 5000).word("Drawing", 1500, 1500)
    sheet.ring((-300, -300), (4300, -300), (4300, 2500), (5300, 2500), (5300, 6500), (-300, 6500))
    sheet.line(0, 0, 4000, 0).line(4000, 0, 4000, 2800).line(4000, 2800, 5000, 2800).line(5000, 2800, 5000, 6200)
    sheet.line(5000, 6200, 0, 6200).line(0, 6200, 0, 3200).line(0, 3200, 3000, 3200).line(3000, 3200, 3000, 3000)
    sheet.line(3000, 3000, 0, 3000).line(0, 3000, 0, 0)
    if hinge:
        sheet.line(800, 4000, 800, 4800, "A-DOOR")
        sheet.arcs.append((1600, 4000, 800, 4800, 0.41421356237, "A-DOOR"))
    return sheet


def test_where_no_leaf_is_drawn_a_way_between_a_wall_s_end_and_a_corner_is_a_doorway() -> None:
    found = {r.name: round(area_m2(r), 1) for r in rooms(propose(beside_a_corner(hinge=False).drawing())[0])}
    # The line runs from the wall's end to the corner: the drawing room has 4 m × 3 m, less a sliver.
    assert found == {"Dining": 15.7, "Drawing": 11.9}


def test_where_leaves_are_drawn_such_a_way_stays_open() -> None:
    job, _ = propose(beside_a_corner(hinge=True).drawing())
    assert [r.name for r in rooms(job)] == ["Dining / Drawing"]


def column_at_door(*, hinge: bool) -> Sheet:
    """Two rooms of 3000 × 3000; the wall of 200 between them ends 900 before a column of 400 × 400 that stands free in
    line with it, 30 off the outer wall."""
    sheet = Sheet().box(-300, -300, 6500, 3300).word("Kitchen", 1500, 2500).word("Hall", 4700, 2500)
    sheet.ring(*((0, 0), (6200, 0), (6200, 3000), (3200, 3000), (3200, 1330), (3000, 1330), (3000, 3000), (0, 3000)))
    sheet.box(2900, 30, 3300, 430)
    if hinge:
        sheet.line(800, 1000, 800, 1800, "A-DOOR")
        sheet.arcs.append((1600, 1000, 800, 1800, 0.41421356237, "A-DOOR"))
    return sheet


def test_where_no_leaf_is_drawn_a_way_between_a_column_and_a_wall_s_end_is_a_doorway() -> None:
    assert sorted(r.name for r in rooms(propose(column_at_door(hinge=False).drawing())[0])) == ["Hall", "Kitchen"]
    assert len(rooms(propose(column_at_door(hinge=True).drawing())[0])) == 1
