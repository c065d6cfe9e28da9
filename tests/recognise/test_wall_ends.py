"""Where a wall ends: at a short line between two faces, unless something goes on past it."""

from __future__ import annotations

import numpy as np
import pytest

from takeoff.geometry.runs import straight_runs
from takeoff.recognise.walls.gap_closures import THINNEST_MM, drawn_caps

FACES = [(0, 0), (200, 0), (0, 1000), (200, 1000)]
"""A wall of 200 mm that comes from above and stops at the line from the first point to the second."""


def ends(*more: tuple[float, float]) -> list[tuple[int, int, tuple[float, float]]]:
    """The end lines (their two points, the way the wall would go on), with lines from the second
    point to some more."""
    xy = np.array([*FACES, *more], float)
    edges = np.array([(0, 1), (0, 2), (1, 3), *((1, 4 + k) for k in range(len(more)))])
    caps = drawn_caps(xy, edges, straight_runs(xy, edges), THINNEST_MM)
    found = zip(caps.a.tolist(), caps.b.tolist(), caps.out.round(6).tolist(), strict=True)
    return [(min(a, b), max(a, b), (out[0], out[1])) for a, b, out in found]


def test_a_line_between_two_faces_that_leave_to_one_side_ends_their_wall() -> None:
    assert ends() == [(0, 1, (0.0, -1.0))]


def test_a_threshold_straight_on_from_one_face_leaves_it_an_end() -> None:
    assert ends((200, -300)) == [(0, 1, (0.0, -1.0))]


@pytest.mark.parametrize("degrees", [-20, 20, -60])
def test_a_line_that_goes_on_askew_is_no_end(degrees: float) -> None:
    way = np.radians(degrees)
    assert ends((200 + 900 * float(np.cos(way)), 900 * float(np.sin(way)))) == []
