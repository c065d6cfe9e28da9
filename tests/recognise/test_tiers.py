"""Steps that rows of seats stand on, and what no way leads to at all."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def hall(deep: float, count: int, names: tuple[str, ...] = ()) -> list[float]:
    """The areas found in a hall 7.5 m long that is parted by lines into so many strips of one depth."""
    sheet = Sheet().box(0, 0, deep * count, 7500)
    for k in range(1, count):
        sheet.line(deep * k, 0, deep * k, 7500)
    for k, name in enumerate(names):
        sheet.word(name, deep * (k + 0.5), 3000)
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def test_steps_of_a_hall_are_one_room() -> None:
    # 12 × 0.80 × 7.50 m
    assert hall(800, 12) == [72.0]
    assert hall(800, 12, ("Auditorium",)) == [72.0]


def test_the_floor_before_the_first_step_and_behind_the_last_is_of_the_hall() -> None:
    # 1.5 m behind, 8 steps of 0.8 m and 2.1 m before them are 10.0 × 7.5 m; an office of 4.0 × 7.5 m is behind a wall.
    sheet = Sheet().box(-300, -300, 14500, 7800).box(0, 0, 10000, 7500).box(10200, 0, 14200, 7500)
    for k in range(9):
        sheet.line(1500 + 800 * k, 0, 1500 + 800 * k, 7500)
    assert sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])) == [30.0, 75.0]


def test_rooms_in_a_row_stay_apart_however_narrow() -> None:
    assert hall(2500, 5) == [18.75] * 5  # bays
    assert hall(1200, 4) == [9.0] * 4  # too few for steps
    assert hall(1200, 5, ("Store 1", "Store 2", "Store 3", "Store 4", "Store 5")) == [9.0] * 5


@pytest.mark.parametrize(("wide", "confidence"), [(9000, "sure"), (30000, "check")])
def test_what_is_larger_than_rooms_and_has_no_way_in_is_to_be_checked(wide: float, confidence: str) -> None:
    sheet = Sheet().box(0, 0, wide, 9000).box(-200, -200, wide + 200, 9200).word("Extension", 3000, 3000)
    (room,) = rooms(propose(sheet.drawing())[0])
    assert room.confidence == confidence
