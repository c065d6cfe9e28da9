"""Areas, lengths and being inside, of rings with arcs."""

from __future__ import annotations

import math

import pytest

from takeoff.geometry.rings import inside, ring_area, ring_curves

CIRCLE = [(-1000.0, 0.0, 1.0), (1000.0, 0.0, 1.0)]
SQUARE = [(0.0, 0.0, 0.0), (2000.0, 0.0, 0.0), (2000.0, 2000.0, 0.0), (0.0, 2000.0, 0.0)]


def test_circle_of_two_halves() -> None:
    assert ring_area(CIRCLE) == pytest.approx(math.pi * 1e6)
    assert sum(curve.length for curve in ring_curves(CIRCLE)) == pytest.approx(2 * math.pi * 1e3)


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (0, 0, True),
        (500, 0, True),
        (-500, 0, True),
        (0, 500, True),
        (0, -500, True),
        (1500, 0, False),
        (-1500, 0, False),
        (0, 1001, False),
        (-1500, 500, False),
    ],
)
def test_point_in_a_circle_also_on_the_line_of_its_ends(x: float, y: float, expected: bool) -> None:
    assert inside(ring_curves(CIRCLE), x, y) is expected
    turned = [(0.0, -1000.0, 1.0), (0.0, 1000.0, 1.0)]
    assert inside(ring_curves(turned), y, x) is expected


@pytest.mark.parametrize(
    ("x", "y", "expected"), [(1000, 1000, True), (-1, 1000, False), (2001, 1000, False), (1000, -1, False)]
)
def test_point_in_a_square(x: float, y: float, expected: bool) -> None:
    assert inside(ring_curves(SQUARE), x, y) is expected
    assert inside(ring_curves([(*SQUARE[0][:2], -0.5), *SQUARE[1:]]), 1000, 100) is False


def test_empty_ring() -> None:
    assert ring_area([]) == 0
    assert ring_curves([]) == []
    assert inside([], 0, 0) is False
