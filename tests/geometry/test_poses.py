"""Rigid figures set against each other."""

import math

import pytest

from takeoff.geometry.poses import Apart, Meet, put, set_out


def test_two_points_that_meet_place_a_figure():
    ties = [Meet(0, (4000.0, 0.0), 1, (0.0, 0.0), 5.0), Meet(0, (4000.0, 900.0), 1, (0.0, 900.0), 5.0)]
    found = set_out([(0.0, 0.0, 0.0), (3900.0, 50.0, 0.1)], ties)
    assert found.loose == ()
    assert found.poses[0] == (0.0, 0.0, 0.0)
    assert found.poses[1] == pytest.approx((4000.0, 0.0, 0.0), abs=1e-6)
    assert max(found.off_mm) < 1e-6


def test_a_figure_seen_from_another_side_is_turned():
    # the other figure's jambs run up its own left side; here they lie along x
    ties = [Meet(0, (1000.0, 0.0), 1, (0.0, 900.0), 5.0), Meet(0, (1900.0, 0.0), 1, (0.0, 0.0), 5.0)]
    found = set_out([(0.0, 0.0, 0.0), (1900.0, 0.0, 1.4)], ties)
    assert put(found.poses[1], (0.0, 900.0)) == pytest.approx((1000.0, 0.0), abs=1e-6)
    assert found.poses[1][2] == pytest.approx(math.pi / 2.0)


def test_walls_back_to_back_may_slide_until_a_length_is_read_across():
    wall = [
        Meet(0, (0.0, 100.0), 1, (4000.0, 0.0), 3.0, (0.0, 1.0)),
        Meet(0, (4000.0, 100.0), 1, (0.0, 0.0), 3.0, (0.0, 1.0)),
    ]
    start = [(0.0, 0.0, 0.0), (4000.0, 100.0, math.pi)]
    assert set_out(start, wall).loose == (1,)
    # 3-4-5: from the first figure's origin to the other's, 3000 away along and 4000 up in its own plan
    fixed = set_out([start[0], (3990.0, 100.0, math.pi)], [*wall, Apart(0, (0.0, -2900.0), 1, (0.0, 0.0), 5000.0, 3.0)])
    assert fixed.loose == ()
    assert put(fixed.poses[1], (0.0, 0.0)) == pytest.approx((4000.0, 100.0), abs=1e-3)


def test_jambs_that_are_not_equally_far_apart_are_off_by_half_each():
    ties = [Meet(0, (0.0, 0.0), 1, (0.0, 0.0), 5.0), Meet(0, (900.0, 0.0), 1, (910.0, 0.0), 5.0)]
    found = set_out([(0.0, 0.0, 0.0), (1.0, 2.0, 0.02)], ties)
    assert found.off_mm == pytest.approx((5.0, 5.0), abs=1e-6)


def test_a_length_across_that_contradicts_shares_its_difference():
    ties = [
        Meet(0, (0.0, 0.0), 1, (0.0, 0.0), 3.0),
        Meet(0, (1000.0, 0.0), 1, (1000.0, 0.0), 3.0),
        Apart(0, (0.0, 0.0), 1, (5000.0, 0.0), 5010.0, 3.0),
    ]
    found = set_out([(0.0, 0.0, 0.0), (0.0, 0.0, 0.0)], ties)
    # along x: two meetings and one length of equal weight; 10 mm, two parts against one
    assert found.off_mm == pytest.approx((10 / 3, 10 / 3, 20 / 3), abs=1e-6)


def test_the_held_figure_stays():
    ties = [Meet(0, (0.0, 0.0), 1, (0.0, 0.0), 5.0), Meet(0, (900.0, 0.0), 1, (900.0, 0.0), 5.0)]
    found = set_out([(50.0, 50.0, 0.0), (0.0, 0.0, 0.0)], ties, held=1)
    assert found.poses[1] == (0.0, 0.0, 0.0)
    assert found.poses[0] == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
