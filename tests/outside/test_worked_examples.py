"""Worked examples from published pages, built as jobs and measured.

Each was recomputed apart from this program before it was taken up.
"""

import math

import pytest

from takeoff.measure import measure
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, Opening, OpeningId, Reveal, Room, RoomId, Side, SideId, Storey, StoreyId, Strip
from takeoff.units.lengths import UNIT_MM, parse_length

SQUARE_YARD_M2 = (UNIT_MM["yd"] / 1000) ** 2


def box_room(name: str, width_m: float, depth_m: float, at_x_m: float = 0.0) -> Room:
    x0, x1, y1 = at_x_m * 1000, (at_x_m + width_m) * 1000, depth_m * 1000
    corners = ((x0, 0.0), (x1, 0.0), (x1, y1), (x0, y1))
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners))
    return Room(id=RoomId(name), outline=sides)


def hole(
    name: str, room: str, side: int, at_m: float, width_m: float, height_m: float, sill_m: float = 0.0,
    depth_m: float = 0.0,
) -> Opening:  # fmt: skip
    strip = Strip(depth_mm=depth_m * 1000, coat=depth_m > 0)
    return Opening(
        id=OpeningId(name), kind="window" if sill_m else "door", room=RoomId(room), side=SideId(f"s{side}"),
        offset_mm=at_m * 1000, width_mm=width_m * 1000, sill_mm=sill_m * 1000,
        head_mm=(sill_m + height_m) * 1000, reveal=Reveal(start=strip, end=strip, head=strip),
    )  # fmt: skip


def measured(height_m: float, rooms: tuple[Room, ...], *openings: Opening) -> Takeoff:
    storey = Storey(id=StoreyId("g"), height_mm=height_m * 1000, height_source="typed", rooms=rooms, openings=openings)
    return measure(Job(storeys=(storey,)))


def test_two_rooms_with_two_doors_and_four_windows():
    """sarthaks.com/2790536: rooms 3 × 4 and 4 × 5, 3 high; 96 − 4.8 − 9 = 82.2 m²."""
    rooms = (box_room("a", 3, 4), box_room("b", 4, 5, at_x_m=10))
    found = measured(
        3, rooms,
        hole("d1", "a", 0, 0.5, 1.2, 2), hole("d2", "b", 0, 0.5, 1.2, 2),
        hole("w1", "a", 1, 0.4, 1.5, 1.5, 0.9), hole("w2", "a", 1, 2.2, 1.5, 1.5, 0.9),
        hole("w3", "b", 1, 0.4, 1.5, 1.5, 0.9), hole("w4", "b", 1, 2.2, 1.5, 1.5, 0.9),
    )  # fmt: skip
    assert found.totals["wall_gross_m2"] == pytest.approx(96)
    assert found.totals["openings_m2"] == pytest.approx(4.8 + 9)
    assert found.totals["wall_net_m2"] == pytest.approx(82.2)


def test_internal_plaster_of_a_small_room():
    """civilatwork.blogspot.com, quantity of internal plastering: 31.2 → 26.43 m²; 12 mm: 0.317 m³."""
    found = measured(
        3, (box_room("a", 2.2, 3),),
        hole("w1", "a", 1, 0.2, 1.2, 1.2, 0.9), hole("w2", "a", 1, 1.6, 1.2, 1.2, 0.9),
        hole("d1", "a", 0, 0.5, 0.9, 2.1),
    )  # fmt: skip
    assert found.totals["wall_gross_m2"] == pytest.approx(31.2)
    assert found.totals["wall_net_m2"] == pytest.approx(26.43)
    # 1 mm over 1 m² is a litre in place.
    assert found.totals["wall_net_m2"] * 12 / 1000 == pytest.approx(0.317, abs=0.0005)


def test_paint_for_a_ceiling_twice_and_walls_three_times():
    """mathix.co, paint area: ceiling 14, walls 35.0936; two and three coats 133.2808 m²; 3 tins."""
    found = measured(2.5, (box_room("a", 4, 3.5),), hole("d", "a", 0, 1, 0.8, 2), hole("w", "a", 2, 1, 0.96, 0.84, 1.0))
    assert found.totals["ceiling_m2"] == pytest.approx(14)
    assert found.totals["wall_net_m2"] == pytest.approx(35.0936)
    painted = 2 * found.totals["ceiling_m2"] + 3 * found.totals["wall_net_m2"]
    assert painted == pytest.approx(133.2808)
    assert math.ceil(painted / 50) == 3


def test_a_reveal_on_three_sides():
    """mathelounge.de/191078: 1.20 × 2.10, 0.30 deep: 1.62 m²."""
    found = measured(2.5, (box_room("a", 4, 3),), hole("d", "a", 0, 1, 1.2, 2.1, depth_m=0.3))
    assert found.totals["reveal_m2"] == pytest.approx(1.62)


def test_a_ceiling_in_feet_and_inches():
    """An old mensuration text (Google Books 3eI2AAAAMAAJ p. 188): 59 ft 9 in × 24 ft 6 in is
    162.6528 square yards, 135.9984 m²."""
    width, depth = parse_length("59 ft 9 in") / 1000, parse_length("24 ft 6 in") / 1000
    found = measured(3, (box_room("a", width, depth),))
    assert found.totals["ceiling_m2"] == pytest.approx(135.9984, abs=5e-5)
    assert found.totals["ceiling_m2"] / SQUARE_YARD_M2 == pytest.approx(162.6528, abs=5e-5)


def test_partitions_in_feet_and_inches():
    """The same text: 141 ft 6 in × 11 ft 3 in is 176.875 square yards. Here as the walls of a room
    40 ft × 30 ft 9 in, which is 141 ft 6 in round."""
    width, depth = parse_length("40'") / 1000, parse_length("30'-9\"") / 1000
    found = measured(parse_length("11'-3\"") / 1000, (box_room("a", width, depth),))
    assert found.totals["perimeter_m"] * 1000 == pytest.approx(parse_length("141'-6\""))
    assert found.totals["wall_net_m2"] / SQUARE_YARD_M2 == pytest.approx(176.875)
