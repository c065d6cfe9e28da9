"""Tables, sheet margins, roofs, showers and balconies: what closes as rooms do and is none of its own."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import rooms

from takeoff.plan.model import Room
from takeoff.plan.shape import sound_polygon
from takeoff.recognise import propose


def proposed(sheet: Sheet) -> list[Room]:
    return list(rooms(propose(sheet.drawing())[0]))


def areas_m2(found: list[Room]) -> list[float]:
    return sorted(round(float(sound_polygon(room).area) / 1e6, 2) for room in found)


def with_table(sheet: Sheet, row_mm: float) -> Sheet:
    """Six rows of two columns, 4 m beside the plan, words of 150 mm in each cell."""
    for row in range(7):
        sheet.line(11500, row * row_mm, 16500, row * row_mm)
    for x in (11500, 13500, 16500):
        sheet.line(x, 0, x, 6 * row_mm)
    for row, word in enumerate(("Total load", "Socket", "Fan", "Lamp", "Fixture", "Description")):
        sheet.word(word, 11700, row * row_mm + row_mm / 2).word("wall mounted", 13700, row * row_mm + row_mm / 2)
    return sheet


def test_cells_of_a_table_are_no_rooms() -> None:
    """The plan has 4 × 3 = 12 and 3 × 3 = 9 m². Rows of 900 are six letters of 150 high."""
    assert areas_m2(proposed(with_table(two_rooms(), 900.0))) == [9.0, 12.0]


def test_boxes_as_deep_as_rooms_are_no_table() -> None:
    """Rows of 2400 are sixteen letters high: what stands beside the plan may be rooms."""
    assert len(proposed(with_table(two_rooms(), 2400.0))) > 2


def test_the_margin_of_a_sheet_and_the_sheet_are_no_rooms() -> None:
    """A frame of two lines 1 m apart, folded in four places, round the plan."""
    sheet = two_rooms()
    for x0, y0, x1, y1 in ((-5000, -5000, 12000, 9000), (-4000, -4000, 11000, 8000)):
        sheet.line(x0, y0, x1, y0).line(x1, y0, x1, y1).line(x1, y1, x0, y1).line(x0, y1, x0, y0)
    sheet.line(3500, -5000, 3500, -4000).line(3500, 8000, 3500, 9000)
    sheet.line(-5000, 2000, -4000, 2000).line(11000, 2000, 12000, 2000)
    assert areas_m2(proposed(sheet)) == [9.0, 12.0]


def with_shower(gap_mm: float) -> Sheet:
    """A shower of 0.8 × 3 m at the right wall of the right room, behind two lines so far apart."""
    sheet = two_rooms()
    return sheet.line(6300, 0, 6300, 3000).line(6300 - gap_mm, 0, 6300 - gap_mm, 3000)


def test_a_shower_behind_a_thin_screen_is_of_the_bath() -> None:
    """Behind 30 mm it is the bath's: 3 × 3 = 9 m²; a wall of 100 mm has 0.8 × 3 = 2.4 m² behind it."""
    assert 9.0 in areas_m2(proposed(with_shower(30.0)))
    assert 9.0 not in areas_m2(proposed(with_shower(100.0)))


@pytest.mark.parametrize(("parapet_mm", "confidence"), [(50.0, "check"), (100.0, "sure")])
def test_a_balcony_behind_a_parapet_is_to_be_checked(parapet_mm: float, confidence: str) -> None:
    """Two rooms without names, the right one 3 × 3 m with a door in the wall of 100; walled in by 50 or by 100 to
    outside."""
    t = parapet_mm
    sheet = two_rooms()
    for drawn in (sheet.words, sheet.loops):
        drawn.clear()
    sheet.segments = [s for s in sheet.segments if s[-1] == "A-DOOR"]
    sheet.box(-100, -100, 7100, 3100)
    left = [(4000, 1900), (4000, 3000), (0, 3000), (0, 0), (4000, 0), (4000, 1000)]
    right = [(4100, t - 100), (7100 - t, t - 100), (7100 - t, 3100 - t), (4100, 3100 - t)]
    sheet.ring(*left, (4100, 1000), *right, (4100, 1900))
    balcony = max(proposed(sheet), key=lambda room: max(side.x_mm for side in room.outline))
    assert balcony.confidence == confidence


def test_a_roof_seen_from_above_is_no_plan_of_rooms() -> None:
    """Beside the plan the roof, 6 × 3.2 m = 19.2 m² in walls of 300 and a gutter of 0.5 m along it, 3.0 m²; with
    other words they are rooms."""
    assert areas_m2(proposed(with_second("RUFO", "CALHA"))) == [9.0, 12.0]
    assert areas_m2(proposed(with_second("Bedroom", "Store"))) == [3.0, 9.0, 12.0, 19.2]


def with_second(large: str, small: str) -> Sheet:
    sheet = two_rooms().box(11700, -300, 18300, 4300).box(12000, 0, 18000, 500).box(12000, 800, 18000, 4000)
    return sheet.word(large, 15000, 2000).word(small, 15000, 250)
