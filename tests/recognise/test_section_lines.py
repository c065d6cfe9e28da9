"""The lines along which a building is cut for its sections part no rooms."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def found(sheet: Sheet) -> dict[str, float]:
    return {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}


def test_a_line_through_the_whole_house_parts_no_room() -> None:
    # From 1000 before the house to 1000 behind it, through both outer walls of 300, and on as another piece.
    sheet = two_rooms().line(5000, -1300, 5000, 2000).line(5000, 2000, -1300, 2000)
    assert found(sheet) == {"Kitchen": 12.0, "Hall": 9.0}


def test_a_wall_of_one_line_that_ends_at_walls_stays() -> None:
    # From the inner face of one outer wall to that of the other: 0.9 and 2.1 of the hall's 3 m.
    sheet = two_rooms().line(5000, 0, 5000, 3000).word("Store", 4500, 500)
    assert found(sheet) == {"Kitchen": 12.0, "Store": 2.7, "Hall": 6.3}


def test_a_line_of_a_section_with_a_jog_and_arrows_parts_no_room() -> None:
    """Both its ends are ends of something: of the square pieces that carry its arrows."""
    sheet = two_rooms().line(5000, -1300, 5000, 1500).line(5000, 1500, 5400, 1500).line(5400, 1500, 5400, 4300)
    sheet.line(5000, -1300, 4600, -1300).line(4600, -1300, 4700, -1200)
    sheet.line(5400, 4300, 5000, 4300).line(5000, 4300, 5100, 4200)
    assert found(sheet) == {"Kitchen": 12.0, "Hall": 9.0}
