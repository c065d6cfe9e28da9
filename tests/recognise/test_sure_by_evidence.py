"""Rooms that are sure by what is drawn and written of them, and what speaks against it."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_no_rooms import row
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Room
from takeoff.recognise import propose


def named(sheet: Sheet) -> dict[str, Room]:
    return {r.name: r for r in rooms(propose(sheet.drawing())[0])}


def test_ways_in_line_with_their_walls_leave_rooms_sure_where_a_plan_has_several() -> None:
    found = named(row())
    assert {r.confidence for r in found.values()} == {"sure"}
    assert "closed across a plain gap in the wall, 900 mm wide" in found["Hall"].evidence


def test_a_bare_figure_that_is_the_outlines_own_area_is_its_printed_area() -> None:
    # 4.0 × 3.0 m; of the hall, 9.0 m², the figure says something else.
    found = named(two_rooms(door=False).word("12.00", 1500, 1200).word("9.40", 5500, 1200))
    assert (found["Kitchen"].printed_area_m2, found["Kitchen"].confidence) == (12.0, "sure")
    assert (found["Hall"].printed_area_m2, found["Hall"].confidence) == (None, "check")


def test_a_lift_is_not_sure_however_well_it_is_closed() -> None:
    sheet = two_rooms()
    sheet.words = [("Kitchen", 1500, 1500, "A-ANNO-TEXT"), ("LIFT 2", 5500, 1500, "A-ANNO-TEXT")]
    found = {r.confidence: r for r in rooms(propose(sheet.drawing())[0])}
    assert "its name is one of a shaft or a lift" in found["check"].evidence
    assert found["sure"].name == "Kitchen"


def test_a_lift_is_not_sure_though_its_printed_area_agrees() -> None:
    found = named(two_rooms().word("9.00 m²", 5500, 1200))
    assert {r.confidence for r in found.values()} == {"sure"}
    sheet = two_rooms().word("9.00 m²", 5500, 1200)
    sheet.words[1] = ("LIFT 2", 5500, 1500, "A-ANNO-TEXT")
    assert named(sheet)["LIFT 2"].confidence == "check"


def corridor() -> Sheet:
    """Three named rooms of 3000 × 3000 in a row over a passage of 9200 × 1500 without a name, 13.8 m²; a door of 900
    with its leaf from each into the passage, through a wall of 100."""
    sheet = Sheet().box(-300, -1900, 9500, 3300).line(0, -1600, 9200, -1600)
    for x in (0.0, 9200.0):
        sheet.line(x, -1600, x, -100)
    for k, name in enumerate(("Kitchen", "Bedroom", "Study")):
        x = 3100.0 * k
        sheet.line(x, 0, x, 3000).line(x + 3000, 0, x + 3000, 3000).line(x, 3000, x + 3000, 3000)
        sheet.word(name, x + 1500, 1500)
        for low, high in ((x, x + 1000), (x + 1900, x + 3000)):
            sheet.line(low, 0, high, 0)
        for jamb in (x + 1000, x + 1900):
            sheet.line(jamb, -100, jamb, 0)
        end = x + 4100 if k < 2 else 9200.0
        sheet.line(x + 1900, -100, end, -100)
        sheet.line(x + 1000, 0, x + 1000, 900, "A-DOOR")
        sheet.arcs.append((x + 1900, 0, x + 1000, 900, 0.41421356237, "A-DOOR"))
    return sheet.line(0, -100, 1000, -100)


def test_a_passage_without_a_name_is_sure_by_its_doors() -> None:
    passage = named(corridor())[""]
    assert (round(area_m2(passage), 2), passage.confidence) == (13.8, "sure")


def behind_a_terrace(depth: float) -> Sheet:
    """A room of 4000 × 3000 within walls of 300, its only door, of 900, onto a terrace behind a parapet of one line on
    three sides, and two rooms with a door between them 2 m off; no word anywhere. ``depth``: of the terrace."""
    sheet = two_rooms()
    sheet.words.clear()
    sheet.segments = [(a, b + 5300, c, d + 5300, layer) for a, b, c, d, layer in sheet.segments]
    sheet.arcs = [(a, b + 5300, c, d + 5300, bulge, layer) for a, b, c, d, bulge, layer in sheet.arcs]
    sheet.loops = [(tuple((x, y + 5300, bulge) for x, y, bulge in loop), layer) for loop, layer in sheet.loops]
    sheet.line(-300, -300, 4300, -300).line(4300, -300, 4300, 1000).line(4300, 1900, 4300, 3300)
    sheet.line(4300, 3300, -300, 3300).line(-300, 3300, -300, -300)
    sheet.line(0, 0, 4000, 0).line(4000, 0, 4000, 1000).line(4000, 1900, 4000, 3000).line(4000, 3000, 0, 3000)
    sheet.line(0, 3000, 0, 0).line(4000, 1000, 4300, 1000).line(4000, 1900, 4300, 1900)
    sheet.line(4000, 1000, 3100, 1000, "A-DOOR")
    sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-DOOR"))
    return (
        sheet.line(4300, 0, 4300 + depth, 0)
        .line(4300 + depth, 0, 4300 + depth, 3000)
        .line(4300, 3000, 4300 + depth, 3000)
    )


def test_what_only_a_terrace_leads_to_is_not_sure_without_a_word() -> None:
    at_terrace = [r for r in rooms(propose(behind_a_terrace(5000).drawing())[0]) if r.outline[0].y_mm < 4000]
    found = {round(area_m2(r), 1): r for r in at_terrace}
    assert found[12.0].confidence == "check"
    assert any("a part of a terrace?" in reason for reason in found[12.0].evidence)


def test_what_only_a_plain_gap_leads_to_is_not_sure_without_a_word_where_doors_are_drawn() -> None:
    # Beside the house a yard of 3100 × 4600 within walls of 300: a gap of 900, as wide as the doors, leads to it.
    sheet = corridor()
    sheet.words.clear()
    sheet.line(-3400, -1600, -3400, 3000).line(-3700, -1900, -3700, 3300)
    sheet.line(-3700, 3300, -300, 3300).line(-3400, 3000, -300, 3000)
    for y, left in ((-1900.0, -3700.0), (-1600.0, -3400.0)):
        sheet.line(left, y, -2300, y).line(-1400, y, -300, y)
    for jamb in (-2300.0, -1400.0):
        sheet.line(jamb, -1900, jamb, -1600)
    found = {round(area_m2(r), 2): r.confidence for r in rooms(propose(sheet.drawing())[0])}
    assert found == {9.0: "sure", 13.8: "sure", 14.26: "check"}


def test_what_is_smaller_than_rooms_are_is_not_sure_without_a_word() -> None:
    # In a room of 4000 × 3000 a box of 1300 × 1000 in its corner, 1.3 m², behind walls of 100 and a leaf
    # of 700; one of 1500 × 1000 is sure.
    found = {round(area_m2(r), 2): r for r in rooms(propose(with_box(1300).drawing())[0])}
    assert {area: r.confidence for area, r in found.items()} == {1.3: "check", 10.46: "sure"}
    assert found[1.3].evidence[-1].startswith("nothing names it")
    found = {round(area_m2(r), 2): r for r in rooms(propose(with_box(1500).drawing())[0])}
    assert {area: r.confidence for area, r in found.items()} == {1.5: "sure", 10.24: "sure"}


def with_box(wide: float) -> Sheet:
    """A room of 4000 × 3000 within walls of 300 and a box of wide × 1000 in its lower left corner behind walls of 100,
    with a leaf of 700 in its upper wall, which opens into the room."""
    sheet = Sheet().box(-300, -300, 4300, 3300)
    sheet.line(0, 1100, 0, 3000).line(0, 3000, 4000, 3000).line(4000, 3000, 4000, 0).line(4000, 0, wide + 100, 0)
    sheet.line(0, 0, wide, 0).line(0, 0, 0, 1000).line(wide, 0, wide, 1000).line(wide + 100, 0, wide + 100, 1100)
    for y in (1000.0, 1100.0):
        sheet.line(0, y, 200, y).line(900, y, wide + (100 if y > 1000 else 0), y)
    sheet.line(200, 1000, 200, 1100).line(900, 1000, 900, 1100)
    sheet.line(200, 1100, 200, 1800, "A-DOOR")
    sheet.arcs.append((900, 1100, 200, 1800, 0.41421356237, "A-DOOR"))
    return sheet
