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


def test_a_window_behind_the_step_of_an_insulated_wall_is_told() -> None:
    """The wall stops at 1460 and its insulation, 150 thick, at 1500, whose edge is drawn 45 too far; the glass stands
    75 inside of it, and nothing else is drawn in the gap."""
    sheet = Sheet()
    lower = [(1460, 0), (1460, -150), (1500, -150), (1500, -300), (-300, -300), (-300, 4300), (6300, 4300)]
    lower += [(6300, -300), (3500, -300), (3500, -150), (3540, -150), (3540, 0)]
    sheet.ring(*lower, (6000, 0), (6000, 4000), (0, 4000), (0, 0), layer="A-WALL")
    sheet.line(1500, -300, 1500, -345)
    sheet.line(1460, -75, 3540, -75, "A-GLAZ").line(1460, -85, 3540, -85, "A-GLAZ").word("Living", 3000, 2000)
    job = propose(sheet.drawing())[0]
    assert [o.kind for s in job.storeys for o in s.openings] == ["window"]
    # the niche as far as the step is open to the room: 6 x 4 and 2.08 x 0.15
    assert [round(area_m2(r), 1) for r in rooms(job)] == [24.3]
