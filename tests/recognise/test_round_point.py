"""A point in a room finds the room: doors without leaves shut, what stands in it left out, the print believed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from takeoff.drawing.model import Drawing, Label, Layer, Linework
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.one_room import names_in_none, rooms_at
from takeoff.recognise.presets import Settings
from takeoff.recognise.round_point.known_ground import known_ground
from takeoff.recognise.round_point.reached_ground import field, reached

Box = tuple[float, float, float, float]


def box(x0, y0, x1, y1) -> list[Box]:
    return [(x0, y0, x1, y0), (x1, y0, x1, y1), (x1, y1, x0, y1), (x0, y1, x0, y0)]


def plan(rows, labels=()) -> Drawing:
    return Drawing(
        name="p.dxf",
        layers=(Layer("0"),),
        lines=Linework(np.array(rows, float)),
        labels=tuple(Label(text=t, x=x, y=y, height=150.0, layer=0) for t, x, y in labels),
        unit="mm",
    )


def two_rooms(way_mm: float) -> list[Box]:
    """4.0 x 3.0 m and 3.0 x 3.0 m, walls of 200 mm, between them one of 100 mm with a way from its foot."""
    top = [(4000, way_mm, 4000, 3000), (4100, way_mm, 4100, 3000), (4000, way_mm, 4100, way_mm)]
    inner = [(0, 0, 7100, 0), (7100, 0, 7100, 3000), (7100, 3000, 4100, 3000), (4000, 3000, 0, 3000), (0, 3000, 0, 0)]
    return [*box(-200, -200, 7300, 3200), *inner, *top]


def found(drawing: Drawing, x: float, y: float, **more):
    return rooms_at(known_ground(drawing, Settings()), x, y, **more)


def area_m2(room) -> float:
    return sound_polygon(room).area / 1e6


@pytest.mark.parametrize(("x", "area"), [(1500.0, 12.0), (5500.0, 9.0)])
def test_way_without_a_leaf_ends_a_room_at_the_face_of_its_wall(x: float, area: float) -> None:
    first = found(plan(two_rooms(900.0)), x, 1500.0)[0]
    assert area_m2(first.room) == pytest.approx(area, abs=1e-3)


def test_cupboard_and_bath_along_the_walls_belong_to_the_room() -> None:
    cupboard, bath = box(0, 1000, 600, 2600), box(2300, 0, 4000, 700)
    first = found(plan([*two_rooms(900.0), *cupboard, *bath]), 2000.0, 2000.0)[0]
    assert area_m2(first.room) == pytest.approx(12.0, abs=1e-3)


def test_point_on_a_table_finds_the_room_round_it() -> None:
    first = found(plan([*two_rooms(900.0), *box(1500, 1000, 2500, 1800)]), 2000.0, 1400.0)[0]
    assert area_m2(first.room) == pytest.approx(12.0, abs=1e-3)


def test_printed_area_decides_between_two_outlines() -> None:
    # a way of 2.0 m: one room of 12.0 m2, or one with the other room and the way in the wall between, 21.2 m2
    rows = two_rooms(2000.0)
    parts = found(plan(rows, [("Living", 1500, 1700), ("12.0 m²", 1500, 1300)]), 1500.0, 1500.0)[0].room
    assert (area_m2(parts), parts.name, parts.printed_area_m2) == (pytest.approx(12.0), "Living", 12.0)
    whole = found(plan(rows, [("Living", 1500, 1700), ("21.2 m²", 1500, 1300)]), 1500.0, 1500.0)[0].room
    assert (area_m2(whole), whole.printed_area_m2) == (pytest.approx(21.2), 21.2)


def test_every_outline_that_may_be_meant_is_offered_once() -> None:
    areas = [area_m2(one.room) for one in found(plan(two_rooms(2000.0)), 1500.0, 1500.0)]
    assert sorted(round(a, 1) for a in areas if a > 5) == [12.0, 21.2]


def test_room_that_is_known_bounds_others() -> None:
    drawing = plan(two_rooms(2000.0))
    (other,) = [one.room for one in found(drawing, 5500.0, 1500.0) if round(area_m2(one.room), 1) == 9.0]
    first = found(drawing, 1500.0, 1500.0, taken=[other])[0].room
    assert shapely.area(sound_polygon(first).intersection(sound_polygon(other))) == pytest.approx(0.0, abs=1.0)


def test_line_of_the_user_ends_a_room() -> None:
    # across the larger room at 2.5 m: 2.5 x 3.0
    line = ((2500.0, 0.0), (2500.0, 3000.0))
    first = found(plan(two_rooms(900.0)), 1000.0, 1500.0, bounds=[line])[0]
    assert area_m2(first.room) == pytest.approx(7.5, abs=1e-3)


def test_room_that_is_there_in_doubt_is_not_offered_first_again() -> None:
    drawing = plan(two_rooms(2000.0))
    one, *_ = found(drawing, 1500.0, 1500.0)
    other = found(drawing, 1500.0, 1500.0, doubted=[one.room])[0]
    assert area_m2(other.room) != pytest.approx(area_m2(one.room), rel=0.03)


def test_open_field_gives_nothing() -> None:
    assert found(plan(two_rooms(900.0)), 20_000.0, 1500.0) == ()


def test_names_that_lie_in_no_room_are_listed_but_for_titles_far_off() -> None:
    drawing = plan(two_rooms(900.0), [("Kitchen", 5500, 1500), ("Living", 1500, 1500), ("Ground floor", 1000, -9000)])
    ground = known_ground(drawing, Settings())
    living = rooms_at(ground, 1500.0, 1500.0)[0].room
    assert names_in_none(ground, [living]) == (("Kitchen", (5500.0, 1500.0)),)
    assert names_in_none(ground, []) == ()


def test_disc_stops_at_a_way_that_is_narrower_than_it() -> None:
    lines = np.array(two_rooms(900.0), float)
    ground = field(lines, (-1000.0, -1000.0), (8000.0, 4000.0), 25.0)
    (through,) = reached(ground, np.array([(1500.0, 1500.0)]), 400.0)
    (before,) = reached(ground, np.array([(1500.0, 1500.0)]), 500.0)
    assert (len(through.mouths), len(before.mouths)) == (0, 1)
    square = 0.025**2
    assert through.inside.sum() * square == pytest.approx(21.0, rel=0.05)
    assert before.inside.sum() * square == pytest.approx(12.0, rel=0.05)
    assert reached(ground, np.array([(4050.0, 2500.0)]), 400.0) == []
