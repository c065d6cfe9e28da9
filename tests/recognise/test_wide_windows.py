"""Windows in feet, and those of several lights: lines all along a gap from one wall end to the one in line with it."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def with_window(first: float, last: float, *mullions: float) -> Sheet:
    """A room of 6000 × 4000 in walls of 150 whose lower one is open from ``first`` to ``last``, with the lines of a
    window there and mullions of 25, all on a layer that says nothing."""
    sheet = Sheet()
    lower = [(first, 0), (first, -150), (-150, -150), (-150, 4150), (6150, 4150), (6150, -150), (last, -150), (last, 0)]
    sheet.ring(*lower, (6000, 0), (6000, 4000), (0, 4000), (0, 0), layer="A-WALL")
    for y in (-140, -75, -10):
        sheet.line(first, y, last, y, "lines")
    for x in mullions:
        sheet.box(x, -150, x + 25, 0, layer="A-WALL")
    return sheet.word("Living", 3000, 2000)


@pytest.mark.parametrize("sheet", [with_window(1500, 4548), with_window(1500, 3330, 2400)])
def test_a_wide_window_and_one_with_a_mullion_close_the_room(sheet: Sheet) -> None:
    job = propose(sheet.drawing())[0]
    assert [round(area_m2(r), 1) for r in rooms(job)] == [24.0]
    assert {o.kind for s in job.storeys for o in s.openings} == {"window"}


def test_a_wide_gap_without_lines_stays_open() -> None:
    sheet = with_window(1500, 4900)
    sheet.segments = [row for row in sheet.segments if row[-1] != "lines"]
    assert not [r for r in rooms(propose(sheet.drawing())[0]) if r.confidence == "sure"]


def test_windows_between_piers_close_the_room_where_the_row_of_piers_starts_at_a_wall() -> None:
    """Three windows of 3200 between piers of 300 × 150 in a room of 12000 × 4000."""
    sheet = Sheet()
    lower = [(900, 0), (900, -150), (-150, -150), (-150, 4150), (12150, 4150), (12150, -150), (11100, -150), (11100, 0)]
    sheet.ring(*lower, (12000, 0), (12000, 4000), (0, 4000), (0, 0), layer="A-WALL")
    for x in (900, 4400, 7900):
        for y in (-140, -75, -10):
            sheet.line(x, y, x + 3200, y, "lines")
    for x in (4100, 7600):
        sheet.box(x, -150, x + 300, 0, layer="A-WALL")
    job = propose(sheet.word("Hall", 6000, 2000).drawing())[0]
    assert [round(area_m2(r), 1) for r in rooms(job)] == [48.0]
    assert sorted((o.kind, round(o.width_mm)) for s in job.storeys for o in s.openings) == [("window", 3200)] * 3


def test_panes_and_lines_that_are_not_told_for_panes_show_a_window_together() -> None:
    """A front of 5000 with mullions of 50, of which only the lights beside the first one are told for glass."""
    sheet = with_window(500, 5500)
    sheet.segments = [row for row in sheet.segments if row[-1] != "lines"]
    for y in (-140, -75, -10):
        sheet.line(500, y, 3500, y, "A-GLAZ")
        sheet.line(3500, y, 5500, y, "lines")
    job = propose(sheet.drawing())[0]
    assert [round(area_m2(r), 1) for r in rooms(job)] == [24.0]
    assert [(o.kind, o.confidence) for s in job.storeys for o in s.openings] == [("window", "sure")]


def test_windows_between_the_elbows_of_a_bay_s_walls_close_the_room() -> None:
    """A room of 6000 × 4000 in walls of 300, whose lower one is open between 2000 and 4000 for a bay 1000 deep: at its
    corners stand elbows of 500 × 500 of a wall of 150 that touch no other wall, and windows between them all."""
    sheet = Sheet().word("Living", 3000, 2000)
    outer = [(4000, 0), (4000, -300), (6300, -300), (6300, 4300), (-300, 4300), (-300, -300), (2000, -300), (2000, 0)]
    sheet.ring(*outer, (0, 0), (0, 4000), (6000, 4000), (6000, 0), layer="A-WALL")
    for x, way in ((2000, 1), (4000, -1)):
        sheet.line(x - 50 * way, -650, x - 50 * way, -300, "lines").line(
            x - 100 * way, -650, x - 100 * way, -300, "lines"
        )
        legs = [
            (x, -650),
            (x - 150 * way, -650),
            (x - 150 * way, -1150),
            (x + 350 * way, -1150),
            (x + 350 * way, -1000),
        ]
        sheet.ring(*legs, (x, -1000), layer="A-WALL")
    for y in (-1100, -1050):
        sheet.line(2350, y, 3650, y, "lines")
    # 6.0 × 4.0 m, the bay of 2.0 × 1.0 m; its walls stop 0.3 m below the inner face of the house's
    assert [round(area_m2(r), 1) for r in rooms(propose(sheet.drawing())[0])] == [26.0]


@pytest.mark.parametrize(("hung", "kind"), [(False, "window"), (True, "door")])
def test_a_pane_on_the_layer_of_doors_within_a_frame_of_glazing_is_a_window(hung: bool, kind: str) -> None:
    """The lower wall of a room runs through; a frame of 1200 × 150 lies over it, and along its middle a line on the
    layer of doors; with a leaf that hangs at its jamb it is a glazed door."""
    sheet = Sheet().box(-150, -150, 6150, 4150).box(0, 0, 6000, 4000).word("Living", 3000, 2000)
    sheet.box(2000, -150, 3200, 0, layer="A-GLAZ").line(2000, -75, 3200, -75, "A-DOOR")
    if hung:
        sheet.line(2000, 0, 2000, 1200, "A-DOOR")
        sheet.arcs.append((3200, 0, 2000, 1200, 0.41421356, "A-DOOR"))
    (opening,) = (o for s in propose(sheet.drawing())[0].storeys for o in s.openings)
    assert (opening.kind, round(opening.width_mm)) == (kind, 1200)
