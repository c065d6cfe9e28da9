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


def beside_a_corner(*words: str, hinge: bool, way: float = 1000.0) -> Sheet:
    """A dining room of 5000 × 3000 above a drawing room of 4000 × 3000: the wall of 200 between them ends so far short
    of the line of the drawing room's right wall, and 200 above its corner."""
    sheet, end = Sheet(), 4000.0 - way
    for word, (x, y) in zip(words or ("Dining", "Drawing"), ((2500, 5000), (1500, 1500)), strict=False):
        sheet.word(word, x, y)
    sheet.ring((-300, -300), (4300, -300), (4300, 2500), (5300, 2500), (5300, 6500), (-300, 6500))
    sheet.line(0, 0, 4000, 0).line(4000, 0, 4000, 2800).line(4000, 2800, 5000, 2800).line(5000, 2800, 5000, 6200)
    sheet.line(5000, 6200, 0, 6200).line(0, 6200, 0, 3200).line(0, 3200, end, 3200).line(end, 3200, end, 3000)
    sheet.line(end, 3000, 0, 3000).line(0, 3000, 0, 0)
    if hinge:
        sheet.line(800, 4000, 800, 4800, "A-DOOR")
        sheet.arcs.append((1600, 4000, 800, 4800, 0.41421356237, "A-DOOR"))
    return sheet


def test_where_no_leaf_is_drawn_a_way_between_a_wall_s_end_and_a_corner_is_a_doorway() -> None:
    found = {r.name: round(area_m2(r), 1) for r in rooms(propose(beside_a_corner(hinge=False).drawing())[0])}
    # The line runs from the wall's end to the corner: the drawing room has 4 m × 3 m, less a sliver.
    assert found == {"Dining": 15.7, "Drawing": 11.9}


def test_where_leaves_are_drawn_such_a_way_as_wide_as_a_leaf_is_a_doorway_between_two_names() -> None:
    job, _ = propose(beside_a_corner(hinge=True).drawing())
    assert [r.name for r in rooms(job)] == ["Dining", "Drawing"]


def test_a_part_without_a_name_and_without_a_leaf_stays_with_its_room() -> None:
    job, _ = propose(beside_a_corner("Dining", hinge=True).drawing())
    assert [r.name for r in rooms(job)] == ["Dining"]


def test_where_an_area_is_printed_such_a_way_stays_open() -> None:
    job, _ = propose(beside_a_corner("Dining", "Drawing", hinge=True).word("27.9 m²", 2500, 4500).drawing())
    assert [r.name for r in rooms(job)] == ["Dining / Drawing"]


def test_a_wider_way_parts_two_names_but_not_what_is_wider_than_a_pair_of_leaves() -> None:
    # From (2300, 3000) to (4000, 2800) are 1712 mm, from (1900, 3000) 2110 mm.
    parted, whole = (propose(beside_a_corner(hinge=True, way=way).drawing())[0] for way in (1700.0, 2100.0))
    assert [r.name for r in rooms(parted)] == ["Dining", "Drawing"]
    assert [r.name for r in rooms(whole)] == ["Dining / Drawing"]


def column_at_door(*words: str, hinge: bool) -> Sheet:
    """Two rooms of 3000 × 3000; the wall of 200 between them ends 900 before a column of 400 × 400 that stands free in
    line with it, 30 off the outer wall."""
    sheet = Sheet().box(-300, -300, 6500, 3300)
    for word, x in zip(words, (1500, 4700), strict=False):
        sheet.word(word, x, 2500)
    sheet.ring(*((0, 0), (6200, 0), (6200, 3000), (3200, 3000), (3200, 1330), (3000, 1330), (3000, 3000), (0, 3000)))
    sheet.box(2900, 30, 3300, 430)
    if hinge:
        sheet.line(800, 1000, 800, 1800, "A-DOOR")
        sheet.arcs.append((1600, 1000, 800, 1800, 0.41421356237, "A-DOOR"))
    return sheet


def test_a_way_between_a_column_and_a_wall_s_end_is_a_doorway_where_no_leaf_is_drawn_and_between_two_names() -> None:
    named = ("Kitchen", "Hall")
    assert len(rooms(propose(column_at_door(hinge=False).drawing())[0])) == 2
    assert sorted(r.name for r in rooms(propose(column_at_door(*named, hinge=True).drawing())[0])) == [
        "Hall",
        "Kitchen",
    ]
    assert len(rooms(propose(column_at_door("Kitchen", hinge=True).drawing())[0])) == 1


def round_a_corner(way: float, *, nib: bool = True) -> Sheet:
    """A kitchen of 3000 × 4000 and a living room of 4000 × 4000 beside it. The wall of 200 between them stops so far
    below another of 100 that comes out of it to the left at y = 3000, from which it goes on up to the top; without a
    ``nib`` the wall above stands behind the corner, 100 to the right, so that no face goes straight on."""
    sheet = Sheet().box(-300, -300, 7500, 4300)
    off, top = 0.0 if nib else 100.0, 3000.0 - way
    sheet.line(0, 0, 3000, 0).line(3000, 0, 3000, top).line(3000, top, 3200, top).line(3200, top, 3200, 0)
    sheet.line(3200, 0, 7200, 0).line(7200, 0, 7200, 4000).line(7200, 4000, 3200 + off, 4000)
    sheet.line(3200 + off, 4000, 3200 + off, 3000).line(3200 + off, 3000, 2000, 3000).line(2000, 3000, 2000, 3100)
    sheet.line(2000, 3100, 3000, 3100).line(3000, 3100, 3000, 4000).line(3000, 4000, 0, 4000).line(0, 4000, 0, 0)
    for x in (800, 1900, 5000):
        sheet.line(x, -300, x, -1100, "A-DOOR")
        sheet.arcs.append((x, -1100, x + 800, -300, 0.41421356237, "A-DOOR"))
    return sheet


def test_a_wall_goes_on_round_the_corner_of_another_one_as_between_two_wall_ends() -> None:
    # The kitchen: 3 m × 4 m less the leg of 1 m × 0.1 m; a way of 1500 is parted, one of 1700 is none.
    assert sorted(round(area_m2(r), 1) for r in rooms(propose(round_a_corner(1500).drawing())[0])) == [11.9, 16.0]
    assert len(rooms(propose(round_a_corner(1700).drawing())[0])) == 1
    assert len(rooms(propose(round_a_corner(1500, nib=False).drawing())[0])) == 1
