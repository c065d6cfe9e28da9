"""Symbols with letters in them are no piers, whatever wall they hang on."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def wired(letters: tuple[str, ...]) -> Sheet:
    """Two rooms of 4000 × 3000 and 3000 × 3000, all on one layer, in whose corners and at whose walls stand boxes of
    400 × 400 with letters in them."""
    plain = two_rooms()
    sheet = Sheet()
    for x0, y0, x1, y1, _ in plain.segments:
        sheet.line(x0, y0, x1, y1, "0")
    sheet.arcs += [(*row[:5], "0") for row in plain.arcs]
    sheet.word("Kitchen", 1500, 1500, "0").word("Hall", 5500, 1500, "0")
    for text, (x, y) in zip(letters, ((0, 0), (2000, 2600), (4100, 2600), (6700, 1000)), strict=True):
        sheet.box(x, y, x + 400, y + 400, "0").word(text, x + 200, y + 200, "0")
    return sheet


def found(sheet: Sheet) -> dict[str, float]:
    return {r.name.split(" / ")[-1]: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}


def test_boxes_with_letters_are_a_part_of_the_room_that_they_stand_in() -> None:
    assert found(wired(("SB", "3S", "SB", "L"))) == {"Kitchen": 12.0, "Hall": 9.0}


@pytest.mark.parametrize("letters", [("C1", "C2", "C3", "C4"), ("P1", "P 2", "P3", "P4")])
def test_boxes_that_are_numbered_as_columns_stay(letters: tuple[str, ...]) -> None:
    # Less two columns each, 0.4 m × 0.4 m.
    assert found(wired(letters)) == {"Kitchen": 11.68, "Hall": 8.68}
