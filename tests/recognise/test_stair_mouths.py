"""A stair that opens in its whole width to a room is a part of it, unless the area printed there leaves it out."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def hall_with_stair(first: float, *words: str) -> Sheet:
    """A hall of 4000 × 3000, beside it a well of 3000 × 2000 that opens to it in its whole width, with eight treads of
    280 from wall to wall, the first of them at ``first``."""
    sheet = Sheet()
    sheet.ring(
        (-200, -200), (4200, -200), (4200, 300), (7200, 300), (7200, 2700), (4200, 2700), (4200, 3200), (-200, 3200)
    )
    sheet.ring((0, 0), (4000, 0), (4000, 500), (7000, 500), (7000, 2500), (4000, 2500), (4000, 3000), (0, 3000))
    for k in range(8):
        sheet.line(first + k * 280, 500, first + k * 280, 2500, "A-STAIR")
    sheet.word("UP", first + 1000, 1500)
    for k, word in enumerate(words):
        sheet.word(word, 2000, 1500 - k * 200)
    return sheet


def found(sheet: Sheet) -> list[tuple[str, float]]:
    return sorted((r.name, round(area_m2(r), 1)) for r in rooms(propose(sheet.drawing())[0]))


def test_an_open_stair_is_part_of_the_room_that_it_stands_in() -> None:
    # 4 × 3 + 3 × 2 = 18 m²
    assert found(hall_with_stair(4250, "Living")) == [("Living", 18.0)]
    assert found(hall_with_stair(4250, "Living", "18.0 m²")) == [("Living", 18.0)]
    assert found(hall_with_stair(4250)) == [("", 18.0)]
    assert found(hall_with_stair(4250, "Staircase", "12.0 m²")) == [("Staircase", 18.0)]


def test_a_well_that_a_printed_area_leaves_out_ends_at_the_corner_of_the_wall_before_its_first_tread() -> None:
    assert found(hall_with_stair(4250, "Living", "12.0 m²")) == [("", 6.0), ("Living", 12.0)]


def test_a_well_that_a_printed_area_leaves_out_ends_at_its_first_tread_where_no_corner_is_near() -> None:
    # 2.4 m of the well from the first tread on; the hall reaches 0.6 m into it.
    assert found(hall_with_stair(4600, "Living", "13.2 m²")) == [("", 4.8), ("Living", 13.2)]
