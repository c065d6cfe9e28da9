"""Points from more lengths and turns than they need."""

import math

import numpy as np
import pytest

from takeoff.geometry.adjustment import Distance, Turn, adjust, solve

SQUARE = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
SIDES = [Distance(k, (k + 1) % 4, mm, 3.0) for k, mm in enumerate((4000.0, 3000.0, 4000.0, 3000.0))]
RIGHT = math.pi / 2.0
TURNS = [Turn(k, (k + 1) % 4, (k + 2) % 4, RIGHT, math.radians(2.0)) for k in range(4)]


def near(points, wanted, within=1e-6):
    return all(math.dist(a, b) <= within for a, b in zip(points, wanted, strict=True))


def test_readings_that_agree_give_their_figure_without_differences():
    found = adjust([(x + 20.0, y - 10.0) for x, y in SQUARE], [*SIDES, Distance(0, 2, 5000.0, 3.0)])
    assert near(found.points, [(x + 20.0, y - 10.0) for x, y in SQUARE])
    assert max(map(abs, found.differences)) < 1e-6
    assert found.loose == ()
    assert found.surplus == 0


def test_first_point_and_direction_stay_where_they_were_given():
    start = ((100.0, 200.0), (100.0, 4100.0), (-2900.0, 4100.0), (-2900.0, 200.0))
    found = adjust(start, [*SIDES, Distance(0, 2, 5000.0, 3.0)])
    assert near(found.points, ((100.0, 200.0), (100.0, 4200.0), (-2900.0, 4200.0), (-2900.0, 200.0)))


def test_a_length_read_twice_is_their_mean_by_weight():
    # 3000 read to 1 mm and 3010 to 2 mm: weights 4 to 1, so 3002
    found = adjust([(0.0, 0.0), (3000.0, 0.0)], [Distance(0, 1, 3000.0, 1.0), Distance(0, 1, 3010.0, 2.0)])
    assert math.dist(*found.points) == pytest.approx(3002.0, abs=1e-6)
    assert found.differences == pytest.approx((2.0, -8.0), abs=1e-6)
    # shares of control are 1 − weight / all weights
    assert found.control == pytest.approx((0.2, 0.8))


def test_four_sides_alone_leave_a_figure_loose():
    found = adjust(SQUARE, SIDES)
    assert set(found.loose) == {0, 1, 2, 3}


def test_a_diagonal_holds_it_and_turns_hold_it_too():
    assert adjust(SQUARE, [*SIDES, Distance(0, 2, 5000.0, 3.0)]).loose == ()
    assert adjust(SQUARE, [*SIDES, *TURNS]).loose == ()


def test_two_sides_and_right_turns_are_a_rectangle():
    found = adjust([(0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)], [*SIDES[:2], *TURNS])
    assert near(found.points, SQUARE)
    # eight coordinates less three of place and direction are five; six readings, of which one checks
    assert found.surplus == 1


def test_opposite_sides_that_differ_are_taken_up_by_weak_corners_not_by_lengths():
    sides = [Distance(k, (k + 1) % 4, mm, 3.0) for k, mm in enumerate((4000.0, 3000.0, 4040.0, 3000.0))]
    found = adjust(SQUARE, [*sides, *TURNS])
    assert max(map(abs, found.differences[:4])) < 0.5
    assert max(map(abs, found.differences[4:])) > math.radians(0.1)


def test_the_result_does_not_depend_on_where_and_how_the_figure_lies():
    sides = [*SIDES[:3], Distance(3, 0, 3020.0, 3.0), Distance(0, 2, 5004.0, 3.0), *TURNS]
    here = adjust(SQUARE, sides)
    cos, sin = math.cos(0.7), math.sin(0.7)
    turned = [(4e6 + x * cos - y * sin, -3e6 + x * sin + y * cos) for x, y in SQUARE]
    there = adjust(turned, sides)
    for a, b in ((0, 1), (0, 2), (1, 3), (2, 3)):
        assert math.dist(here.points[a], here.points[b]) == pytest.approx(
            math.dist(there.points[a], there.points[b]), abs=1e-5
        )


def test_a_wrong_length_stands_out_by_its_own_test():
    wrong = [*SIDES[:3], Distance(3, 0, 3100.0, 3.0)]
    square = [Turn(t.a, t.b, t.c, t.rad, math.radians(0.1)) for t in TURNS]
    more = [*wrong, *square, Distance(0, 2, 5000.0, 3.0), Distance(1, 3, 5000.0, 3.0)]
    found = adjust(SQUARE, more)
    assert int(np.argmax(found.standard)) == 3


def test_a_turn_is_compared_the_short_way_round():
    # a turn of −179° read as 181°
    points = ((0.0, 0.0), (1000.0, 0.0), (0.0, 17.455))
    found = adjust(
        points, [Distance(0, 1, 1000.0, 1.0), Distance(1, 2, 1000.0, 1.0), Turn(0, 1, 2, math.radians(-181.0), 0.01)]
    )
    assert abs(found.differences[2]) < 1e-6


def test_nothing_to_adjust_is_refused():
    with pytest.raises(ValueError, match="two points"):
        adjust([(0.0, 0.0)], SIDES)
    with pytest.raises(ValueError, match="readings"):
        adjust(SQUARE, [])
    with pytest.raises(ValueError, match="readings"):
        solve(lambda x: (np.zeros(0), np.zeros((0, 1))), [1.0])
