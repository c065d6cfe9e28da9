"""Closed rings of straight sides and arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from takeoff.geometry.curves import Curve

Ring = Sequence[tuple[float, float, float]]


def ring_curves(ring: Ring) -> list[Curve]:
    """The sides of a ring [x, y, bulge] as curves, in order. An empty ring gives no curves."""
    n = len(ring)
    return [Curve(ring[i][0], ring[i][1], ring[(i + 1) % n][0], ring[(i + 1) % n][1], ring[i][2]) for i in range(n)]


def curves_area(curves: Iterable[Curve]) -> float:
    """Signed area within a closed run of curves, mm²; anticlockwise is positive; 0 for none."""
    total, first = 0.0, None
    for c in curves:
        if first is None:
            first = (c.x0, c.y0)
        # Relative to the first vertex, so that a large offset costs no digits.
        ax, ay = c.x0 - first[0], c.y0 - first[1]
        bx, by = c.x1 - first[0], c.y1 - first[1]
        total += (ax * by - bx * ay) / 2.0 + c.segment_area()
    return total


def ring_area(ring: Ring) -> float:
    """Signed area of a ring, mm², arcs exact; anticlockwise is positive; 0 for an empty ring."""
    return curves_area(ring_curves(ring))


def inside(curves: Sequence[Curve], x: float, y: float) -> bool:
    """Whether a point lies within a closed run of curves (even-odd; its border is undecided)."""
    hit = False
    for c in curves:
        dx, dy = c.x1 - c.x0, c.y1 - c.y0
        side = dx * (y - c.y0) - dy * (x - c.x0)
        # On the chord's own line the point counts as a hair above it, and then a hair to the
        # right, so that chords that lie on one another never both miss it.
        side = side or dx or -dy
        if (c.y0 > y) != (c.y1 > y) and (side > 0.0) == (dy > 0.0):
            hit = not hit
        # Between the chord and its arc the answer is the opposite.
        if c.bulge and (side < 0.0) == (c.turn > 0.0) and (math.hypot(x - c.cx, y - c.cy) < c.radius):
            hit = not hit
    return hit
