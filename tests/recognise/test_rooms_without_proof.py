"""Spaces for which nothing speaks are told and are no rooms; rooms of which something is odd are not sure."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, codes, rooms

from takeoff.plan.model import Job, Room
from takeoff.recognise import propose

PARTED = [(4000, 3000), (0, 3000), (0, 0), (4000, 0), (4000, 1000), (4100, 1000), (4100, 0), (7100, 0), (7100, 3000)]
PARTED += [(4100, 3000), (4100, 1900), (4000, 1900)]


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def named(job: Job) -> dict[str, Room]:
    return {r.name: r for r in rooms(job)}


def view() -> Sheet:
    """The plan of two rooms, 12.0 and 9.0 m², and 5 m over it an elevation of two closed fields."""
    sheet = two_rooms().line(-300, 8300, 7400, 8300).line(7400, 8300, 7400, 11300)
    return sheet.line(7400, 11300, -300, 11300).line(-300, 11300, -300, 8300).line(3500, 8300, 3500, 11300)


def test_an_elevation_beside_a_plan_is_told_and_has_no_rooms() -> None:
    job, findings = propose(view().drawing())
    assert areas(job) == [9.0, 12.0]
    assert len(job.storeys) == 1
    assert "views-beside-plans" in codes(findings)
    assert "several-plans" not in codes(findings)


def test_a_drawing_beside_a_plan_that_has_a_name_or_a_title_is_a_plan_too() -> None:
    said = view().word("Bedroom", 1500, 9800)
    assert len(areas(propose(said.drawing())[0])) == 4
    titled = view().word("First floor plan", 3500, 11700).word("Ground floor plan", 3500, -800)
    assert len(areas(propose(titled.drawing())[0])) == 4


def test_a_drawing_called_a_view_has_no_rooms_whatever_is_written_in_it() -> None:
    for title in ("Front view of first floor", "Section A-A", "Ansicht Nord", "Corte B", "Разрез 1-1"):
        said = view().word("Bedroom", 1500, 9800).word(title, 3500, 11700).word("Ground floor plan", 3500, -800)
        job, findings = propose(said.drawing())
        assert areas(job) == [9.0, 12.0], title
        assert "views-beside-plans" in codes(findings)
    plan = view().word("Bedroom", 1500, 9800).word("Plan of the north elevation side", 3500, 11700)
    assert len(areas(propose(plan.drawing())[0])) == 4


def test_a_plan_with_a_door_between_its_rooms_is_one_though_the_title_of_a_section_is_the_nearest() -> None:
    sheet = two_rooms()
    over = two_rooms()
    sheet.segments += [(a, b + 9000, c, d + 9000, layer) for a, b, c, d, layer in over.segments]
    sheet.arcs += [(a, b + 9000, c, d + 9000, bulge, layer) for a, b, c, d, bulge, layer in over.arcs]
    job, _ = propose(sheet.word("Wall section", 3500, 12700).drawing())
    assert areas(job) == [9.0, 9.0, 12.0, 12.0]


def test_the_cells_of_a_pattern_are_no_rooms() -> None:
    """20 beds of 2.5 × 3 m, 7.5 m² each, behind the outer wall of two rooms of 12.0 and 9.0 m²."""
    sheet = two_rooms()
    for k in range(6):
        sheet.line(-300 + 2500 * k, 3300, -300 + 2500 * k, 15300)
    for k in range(1, 5):
        sheet.line(-300, 3300 + 3000 * k, 12200, 3300 + 3000 * k)
    job, findings = propose(sheet.line(7400, 3300, 12200, 3300).drawing())
    assert areas(job) == [9.0, 12.0]
    assert "spaces-without-way-in" in codes(findings)


def test_what_lies_alone_on_its_sheet_is_read_whatever_speaks_for_it() -> None:
    sheet = view()
    sheet.words.clear()
    sheet.arcs.clear()
    sheet.segments = [s for s in sheet.segments if s[-1] != "A-DOOR"]
    assert len(areas(propose(sheet.drawing())[0])) == 4


def test_a_thing_drawn_with_the_lines_of_glass_is_no_room_though_its_name_stands_in_it() -> None:
    # A cupboard of 1.2 × 0.8 m stands free in the kitchen.
    sheet = two_rooms().box(800, 1800, 2000, 2600, "A-GLAZ").word("Fridge", 1400, 2200)
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "spaces-of-glass" in codes(findings)


def test_a_room_of_glass_with_its_area_printed_stays() -> None:
    sheet = two_rooms().box(800, 1800, 2000, 2600, "A-GLAZ").word("Booth", 1400, 2300).word("0.96 m²", 1400, 2000)
    job, findings = propose(sheet.drawing())
    assert 0.96 in areas(job)
    assert "spaces-of-glass" not in codes(findings)


def test_a_place_outdoors_is_not_sure_however_well_it_is_closed() -> None:
    sheet = two_rooms()
    sheet.words = [("Kitchen", 1500, 1500, "A-ANNO-TEXT"), ("VERANDAH", 5500, 1500, "A-ANNO-TEXT")]
    found = named(propose(sheet.drawing())[0])
    assert found["VERANDAH"].confidence == "check"
    assert "its name is one of a place outdoors" in found["VERANDAH"].evidence
    assert found["Kitchen"].confidence == "sure"


def porch(thick: float) -> Sheet:
    """Three rooms in a row, 3 m deep and 3 m wide, with a door of 900 between each two: the first in a wall of 100,
    the second, which leads to the last, in one of ``thick``."""
    a, b = 6100.0, 6100.0 + thick
    end = b + 3000
    sheet = Sheet().box(-300, -300, end + 300, 3300)
    points = [(0, 0), (3000, 0), (3000, 1000), (3100, 1000), (3100, 0), (a, 0), (a, 1000), (b, 1000), (b, 0)]
    points += [(end, 0), (end, 3000), (b, 3000), (b, 1900), (a, 1900), (a, 3000), (3100, 3000), (3100, 1900)]
    sheet.ring(*points, (3000, 1900), (3000, 3000), (0, 3000))
    for x in (3000.0, a):
        sheet.line(x, 1000, x - 900, 1000, "A-DOOR")
        sheet.arcs.append((x, 1900, x - 900, 1000, 0.41421356237, "A-DOOR"))
    return sheet


def test_what_only_a_door_in_an_outside_wall_leads_to_is_not_sure_without_a_word() -> None:
    last = max(rooms(propose(porch(400).drawing())[0]), key=lambda r: r.outline[0].x_mm)
    assert last.confidence == "check"
    assert any("a porch?" in reason for reason in last.evidence)
    assert {r.confidence for r in rooms(propose(porch(100).drawing())[0])} == {"sure"}


def beside(depth: float) -> Sheet:
    """A room of 4.0 × 3.0 m and, through a door of 900, one of 1.1 m × ``depth`` beside it; no layer says walls."""
    low, high = 1450 - depth / 2, 1450 + depth / 2
    outside = [(-300, -300), (4300, -300), (4300, low - 300), (5500, low - 300), (5500, high + 300)]
    sheet = Sheet().ring(*outside, (4300, high + 300), (4300, 3300), (-300, 3300))
    points = [(0, 0), (4000, 0), (4000, 1000), (4100, 1000), (4100, low), (5200, low), (5200, high), (4100, high)]
    sheet.ring(*points, (4100, 1900), (4000, 1900), (4000, 3000), (0, 3000)).line(4000, 1000, 3100, 1000, "A-DOOR")
    sheet.arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-DOOR"))
    sheet.segments = [(*s[:4], "lines" if s[4] == "A-WALL" else s[4]) for s in sheet.segments]
    sheet.loops.clear()
    return sheet


def test_what_a_shower_may_leave_of_a_room_is_not_sure_without_a_word() -> None:
    # 1.1 × 1.2 m are 1.32 m², 1.1 × 1.4 m are 1.54 m².
    found = {round(area_m2(r), 2): r.confidence for r in rooms(propose(beside(1200).drawing())[0])}
    assert found == {12.0: "sure", 1.32: "check"}
    found = {round(area_m2(r), 2): r.confidence for r in rooms(propose(beside(1400).drawing())[0])}
    assert found == {12.0: "sure", 1.54: "sure"}


def test_a_light_well_with_windows_alone_is_told_and_is_no_room_where_rooms_are_named() -> None:
    # A space of 2.0 × 2.4 m, 4.8 m², with a window of 1.2 m to the hall and no door, beside two rooms with names.
    sheet = two_rooms().ring((7400, -300), (9700, -300), (9700, 2700), (7400, 2700))
    sheet.box(7400, 0, 9400, 2400)
    for x in (7100.0, 7200.0, 7300.0, 7400.0):
        sheet.line(x, 600, x, 1800, "A-GLAZ")
    sheet.line(7100, 600, 7400, 600, "A-GLAZ").line(7100, 1800, 7400, 1800, "A-GLAZ")
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "spaces-without-way-in" in codes(findings)


def test_a_thing_with_its_number_in_it_is_no_room_where_rooms_are_named() -> None:
    # A desk of 1.0 × 0.8 m in a corner of the kitchen, drawn among the walls: half of its border is wall.
    sheet = two_rooms().line(0, 2200, 1000, 2200).line(1000, 2200, 1000, 3000).word("7", 500, 2600)
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 11.2]
    assert "spaces-without-way-in" in codes(findings)


def test_small_closed_lines_without_a_word_are_no_rooms_where_nothing_tells_walls_from_other_lines() -> None:
    # Rooms of 4.0 × 3.0 m with names, drawn with single lines, and 2 m off a box of 1.0 × 1.2 m, open by 0.3 m.
    sheet = Sheet()
    for k, name in enumerate(("Kitchen", "Hall", "Bedroom", "Office")):
        sheet.box(4000.0 * k, 0, 4000.0 * k + 4000, 3000, "lines").word(name, 4000.0 * k + 2000, 1500)
    sheet.line(18000, 0, 19000, 0, "lines").line(19000, 0, 19000, 1200, "lines").line(18000, 0, 18000, 1200, "lines")
    sheet.line(18000, 1200, 18350, 1200, "lines").line(18650, 1200, 19000, 1200, "lines")
    sheet.loops.clear()
    assert areas(propose(sheet.drawing())[0]) == [12.0] * 4


def test_a_leaf_that_stands_open_across_a_corridor_is_no_door_there() -> None:
    # A corridor of 0.95 × 4.0 m, 3.8 m², with doors of 760 to rooms of 5.31 and 5.61 m². The wall of 300 between these
    # ends at the corridor, and the leaf of the lower one stands open there, its tip 190 short of the other side.
    sheet = Sheet().box(-300, -300, 4300, 4300)
    points = [(0, 0), (950, 0), (950, 1040), (1050, 1040), (1050, 0), (4000, 0), (4000, 1800), (950, 1800)]
    points += [(950, 2100), (4000, 2100), (4000, 4000), (1050, 4000), (1050, 2860), (950, 2860), (950, 4000), (0, 4000)]
    sheet.ring(*points).line(950, 1800, 190, 1800, "A-DOOR").line(1050, 2100, 1810, 2100, "A-DOOR")
    sheet.arcs.append((190, 1800, 950, 1040, 0.41421356237, "A-DOOR"))
    sheet.arcs.append((1810, 2100, 1050, 2860, 0.41421356237, "A-DOOR"))
    found = {round(area_m2(r), 2): r.confidence for r in rooms(propose(sheet.drawing())[0])}
    assert {found[1.71], found[1.8]} == {"check"}
    assert {found[5.31], found[5.61]} == {"sure"}


def test_views_of_walls_beside_a_plan_are_no_rooms_though_a_remark_stands_in_one() -> None:
    """Four views of a room's walls in a row, 2.4 m high, each a closed field with a socket's number in one of them."""
    sheet = view()
    for k in range(1, 4):
        sheet.line(3800 + 900 * k, 8300, 3800 + 900 * k, 11300)
    said = sheet.word("Move the bell here", 1500, 9800)
    job, findings = propose(said.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "views-beside-plans" in codes(findings)


def stacked(upper: float) -> Sheet:
    """The plan of two rooms, a door drawn between them, and 5 m over it what a section shows: two storeys of three
    rooms each, 2.4 m high, parted by walls of 100 that stop 1.2 m above the floor, the upper storey's floor so high."""
    sheet = two_rooms().box(-300, 7800, 8300, 8400 + upper + 2400)
    for level in (8100, 8100 + upper):
        head, stop = level + 2400, level + 1200
        walls = [(5400, head), (5400, stop), (5300, stop), (5300, head)]
        walls += [(2700, head), (2700, stop), (2600, stop), (2600, head)]
        sheet.ring((0, level), (8000, level), (8000, head), *walls, (0, head))
    return sheet


def test_storeys_over_one_another_without_a_door_are_a_section_beside_a_plan_that_draws_its_doors() -> None:
    job, findings = propose(stacked(2600).drawing())
    assert areas(job) == [9.0, 12.0]
    assert "views-beside-plans" in codes(findings)


def test_rooms_that_lie_in_no_storeys_over_one_another_stay() -> None:
    """The upper three lie 10 m above the lower ones, which no storey is."""
    assert areas(propose(stacked(10000).drawing())[0]) == [*[6.24] * 6, 9.0, 12.0]
