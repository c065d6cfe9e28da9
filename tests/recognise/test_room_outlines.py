"""Closed outlines of rooms on a layer of areas, without walls: each is one room, as it is drawn."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose
from takeoff.recognise.units.unit_by_rooms import room_sizes


def flat() -> Sheet:
    """A room of 4 × 3 m, one of two halves of 5 × 6 m joined by a passage of 0.2 × 2.4 m, and a cupboard of
    0.8 × 0.8 m, with walls of 0.2 m between them."""
    sheet = Sheet().box(0, 0, 4000, 3000, "ROOMS").box(4200, 200, 5000, 1000, "ROOMS")
    halves = [(0, 3200), (5000, 3200), (5000, 5000), (5200, 5000), (5200, 3200), (10200, 3200), (10200, 9200)]
    halves += [(5200, 9200), (5200, 7400), (5000, 7400), (5000, 9200), (0, 9200)]
    return sheet.ring(*halves, layer="ROOMS")


def found(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(room), 2) for room in rooms(propose(sheet.drawing())[0]))


def test_an_outline_is_one_room_however_narrow_its_middle_or_small_it_is() -> None:
    """0.8 × 0.8; 4 × 3; 2 × 5 × 6 and 0.2 × 2.4."""
    assert found(flat()) == [0.64, 12.0, 60.48]


def test_columns_in_an_outline_and_the_outline_of_a_storey_are_no_rooms() -> None:
    """A column of 0.65 × 0.65 m is cut out of the room of 12 m²; a line 0.3 m outside of all goes round the storey."""
    sheet = flat().box(1000, 1000, 1650, 1650, "ROOMS").box(-300, -300, 10500, 9500, "ROOMS")
    assert found(sheet) == [0.64, 11.58, 60.48]


def test_closets_tell_nothing_of_how_large_rooms_are() -> None:
    """Of 60.48, 12 and four of 0.64 m² the middle one is a closet; a quarter of their mean is 3.13 m², and between the
    two that are larger lie 36.24."""
    sheet = flat()
    for k in range(3):
        sheet.box(5200 + 1000 * k, 200, 6000 + 1000 * k, 1000, "ROOMS")
    sizes = room_sizes(propose(sheet.drawing())[0])
    assert sizes.rooms == 2
    assert sizes.area_m2 == pytest.approx(36.24)
