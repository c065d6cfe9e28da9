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
