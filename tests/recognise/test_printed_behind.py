"""What lies behind the front of a stage belongs to the hall whose printed area includes it."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def stage(printed: str) -> Sheet:
    """The room of 4.0 × 3.0 m with a front of 0.1 m from wall to wall, 0.8 m before its left wall."""
    return two_rooms().line(800, 0, 800, 3000).line(900, 0, 900, 3000).word(printed, 1500, 1200)


@pytest.mark.parametrize(
    ("printed", "areas"), [("12.00 m²", [9.0, 12.0]), ("9.30 m²", [9.0, 9.3]), ("11.70 m²", [9.0, 9.3])]
)
def test_a_part_behind_a_front_is_of_the_room_whose_printed_area_includes_it(printed: str, areas: list[float]) -> None:
    """3.1 × 3.0 and 0.8 × 3.0 m, the front between them 0.3 m²: without it the sum is 11.7 m², which nobody measures.
    By itself the part behind it, into which no way leads, is no room."""
    assert sorted(round(area_m2(r), 2) for r in rooms(propose(stage(printed).drawing())[0])) == areas


def test_a_room_with_a_word_of_its_own_stays() -> None:
    sheet = stage("12.00 m²").word("Store", 400, 1500)
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}
    assert found == {"Kitchen": 9.3, "Store": 2.4, "Hall": 9.0}
