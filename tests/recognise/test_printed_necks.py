"""Where a wall stops short, areas that are printed on both its sides tell where one room ends and the next begins."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def two_parts(*below_and_beside: tuple[str, float, float]) -> Sheet:
    """A space of 8000 × 3000 whose upper left 3000 × 1400 a wall of 100 parts off from below; that part opens to the
    right in its whole width of 1400, between a corner of the wall and the wall above."""
    sheet = Sheet().box(-300, -300, 8300, 3300)
    sheet.ring((0, 0), (8000, 0), (8000, 3000), (0, 3000), (0, 1600), (3000, 1600), (3000, 1500), (0, 1500))
    for text, x, y in below_and_beside:
        sheet.word(text, x, y)
    return sheet


def found(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


CHANGING = (("116", 1200, 2600), ("4.20", 1200, 2200))


def test_areas_printed_on_both_sides_of_a_way_part_two_rooms() -> None:
    # 3 m × 1.4 m; the rest is 8 m × 3 m less that and less the wall, 3 m × 0.1 m.
    assert found(two_parts(*CHANGING, ("114", 6000, 1200), ("19.50", 6000, 800))) == [4.2, 19.5]


def test_one_printed_area_parts_off_what_it_fits_where_the_other_side_is_named() -> None:
    assert found(two_parts(*CHANGING, ("Hall", 6000, 1200))) == [4.2, 19.5]


def test_areas_that_fit_no_way_part_nothing() -> None:
    other = (("116", 1200, 2600), ("5.20", 1200, 2200))
    assert found(two_parts(*other, ("114", 6000, 1200), ("18.50", 6000, 800))) == [23.7]


def test_a_size_that_fits_closely_parts_two_named_rooms_whatever_the_other_says() -> None:
    niche = (("Puja", 1200, 2600), ("3.00 x 1.40 m", 1200, 2200))
    assert found(two_parts(*niche, ("Living", 6000, 1200), ("8.00 x 2.80 m", 6000, 800))) == [4.2, 19.5]
