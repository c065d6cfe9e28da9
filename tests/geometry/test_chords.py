"""Arcs cut into chords: how many, where they lie, and in which order."""

from __future__ import annotations

import numpy as np

from takeoff.geometry.chords import chord_count, chords

HALF, QUARTER = 1.0, float(np.tan(np.pi / 8))


def test_a_half_circle_is_cut_into_equal_chords_on_it_to_the_right_of_its_chord() -> None:
    cut, owner = chords(np.array([[0.0, 0.0, 2.0, 0.0, HALF]]), 1.5)
    assert len(cut) == 120
    assert owner.tolist() == [0] * 120
    np.testing.assert_allclose(np.hypot(cut[:, 0] - 1.0, cut[:, 1]), 1.0, atol=1e-12)
    np.testing.assert_allclose(np.hypot(*(cut[:, 2:] - cut[:, :2]).T), 2.0 * np.sin(np.radians(0.75)), atol=1e-12)
    assert (cut[1:, 1] < 0.0).all()
    assert (cut[0, :2].tolist(), cut[-1, 2:].tolist()) == ([0.0, 0.0], [2.0, 0.0])


def test_straight_sides_stay_as_they_are_among_the_arcs() -> None:
    sides = np.array([[0, 0, 5, 0, 0.0], [5, 0, 5, 2, -QUARTER], [5, 2, 0, 0, 0.0]])
    cut, owner = chords(sides, 3.0)
    assert np.bincount(owner).tolist() == [1, 30, 1]
    np.testing.assert_array_equal(cut[[0, -1]], sides[[0, 2], :4])
    np.testing.assert_array_equal(cut[:-1, 2:], cut[1:, :2])


def test_what_is_no_number_is_one_chord_and_nothing_is_none() -> None:
    assert chord_count(np.array([np.nan, np.inf, 0.0]), 90.0).tolist() == [1, 4, 1]
    cut, owner = chords(np.zeros((0, 5)), 1.5)
    assert (cut.shape, owner.shape) == ((0, 4), (0,))
