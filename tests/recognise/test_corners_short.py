"""Corners of walls that are not quite closed."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def areas(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def test_a_corner_that_is_short_by_some_centimetres_closes() -> None:
    sheet = Sheet().box(-300, -300, 7400, 3300).word("Hall", 3000, 1500)
    sheet.line(0, 0, 7100, 0).line(7100, 0, 7100, 2995).line(7050, 3000, 0, 3000).line(0, 3000, 0, 0)
    assert areas(sheet) == [21.3]
