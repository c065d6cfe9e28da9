"""Points near each other, against every pair measured."""

from __future__ import annotations

import numpy as np
import pytest

from takeoff.geometry.near_points import pairs_within


def every(xy: np.ndarray, reach: np.ndarray) -> set[tuple[int, int]]:
    off = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    return set(zip(*(k.tolist() for k in np.nonzero(off <= reach[:, None])), strict=True))


@pytest.mark.parametrize("seed", range(6))
def test_as_every_pair_measured(seed: int) -> None:
    rng = np.random.default_rng(seed)
    xy = np.round(rng.uniform(-3000, 3000, (300, 2)), -1) + 1e6
    reach = rng.uniform(50, 900, 300)
    for distance, each in ((250.0, np.full(300, 250.0)), (reach, reach)):
        i, j = pairs_within(xy, distance)  # type: ignore[misc]
        found = list(zip(i.tolist(), j.tolist(), strict=True))
        assert len(found) == len(set(found))
        assert set(found) == every(xy, each)


def test_exactly_as_far_is_near() -> None:
    i, j = pairs_within(np.array([[0.0, 0.0], [400.0, 0.0], [0.0, -400.0], [400.5, 400.0]]), 400.0)  # type: ignore[misc]
    assert {(a, b) for a, b in zip(i.tolist(), j.tolist(), strict=True) if a < b} == {(0, 1), (0, 2)}


def test_none_of_no_points() -> None:
    i, j = pairs_within(np.zeros((0, 2)), 400.0)  # type: ignore[misc]
    assert (len(i), len(j)) == (0, 0)


def test_heaps_are_not_counted() -> None:
    assert pairs_within(np.zeros((6000, 2)), 400.0) is None
    assert pairs_within(np.array([[0.0, 0.0], [1e300, 1e300]]), 400.0) is None
