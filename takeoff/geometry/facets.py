"""Curves that arrive as facets: runs of short, equal, equally turning sides become one arc.

A regular octagon also lies on a circle, so points on a circle prove nothing. What tells a drawn
curve from a polygon that somebody builds is how little each side turns and how many sides there
are (common practice, no source). Runs in between are given back as *doubtful*, for the user.
Every threshold is an angle, a count or a share of the side, so no unit is needed.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FEWEST_SIDES = 4
SURE_SIDES = 8
"""From this many equal sides on, turns up to SURE_TURN_DEG are a curve."""
SURE_TURN_DEG = 15.0
FLAT_TURN_DEG = 5.0
"""Turns below this are no corners anyway, so four sides are enough."""
DOUBTFUL_TURN_DEG = 22.6
"""A circle of 16 sides; a 45 degree bay is far above it."""
SMALLEST_TURN_DEG = 0.2
SMALLEST_SWEEP_DEG = 5.0
JOIN_SHARE = 1e-3
"""Ends within this share of the side's length meet."""
LENGTH_SHARE = 0.03
TURN_SHARE = 0.1
TURN_NOISE_DEG = 0.05
OFF_CIRCLE_SHARE = 0.01
"""How far a vertex may lie off the circle, in sides; half a sagitta if that is less."""
POINT_SHARE = 1e-7
"""Ends within this share of the drawing's size are one point."""
HALF_TURN_SHARE = 1e-9
TINY = 1e-300

Arc = tuple[float, float, float, float, float]


class Run(NamedTuple):
    """Sides first to last (inclusive) of the input, the arcs that replace them, their radius,
    the turn per side in degrees, and whether it is surely a curve."""

    first: int
    last: int
    arcs: tuple[Arc, ...]
    radius: float
    turn_deg: float
    sure: bool


def faceted_runs(sides: Floats, group: Ints) -> tuple[Run, ...]:
    """The runs of consecutive ``sides`` (n, 4: x0 y0 x1 y1) that are a curve in facets.

    Only sides of one ``group`` (n,) that follow each other in order join up. Runs do not
    overlap and come in order. Empty input gives none.

    >>> faceted_runs(np.zeros((0, 4)), np.zeros(0, np.int64))
    ()
    """
    if len(sides) < FEWEST_SIDES:
        return ()
    joined, turn, length = _turns(sides, group)
    runs: list[Run] = []
    for first, last in _candidates(joined, turn, length):
        if runs and first <= runs[-1].last:
            first = runs[-1].last + 1
        if last - first + 1 >= FEWEST_SIDES:
            run = _fit(sides, joined, turn, length, first, last)
            if run is not None and not (runs and run.first <= runs[-1].last):
                runs.append(run)
    return tuple(runs)


def _turns(sides: Floats, group: Ints) -> tuple[NDArray[np.bool_], Floats, Floats]:
    """Per neighbouring pair of sides: do they join, and by how much (radians) they turn; and
    the length of each side."""
    d = sides[:, 2:] - sides[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    gap = np.abs(sides[1:, :2] - sides[:-1, 2:]).max(axis=1)
    joined = (gap <= JOIN_SHARE * np.minimum(length[1:], length[:-1])) & (group[1:] == group[:-1])
    cross = d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]
    dot = (d[:-1] * d[1:]).sum(axis=1)
    return joined, np.arctan2(cross, dot), length


def _candidates(joined: NDArray[np.bool_], turn: Floats, length: Floats) -> list[tuple[int, int]]:
    """First and last side of each stretch of equal sides that turn equally."""
    size = np.abs(turn)
    equal = np.abs(length[1:] - length[:-1]) <= LENGTH_SHARE * np.maximum(length[1:], length[:-1])
    pair = joined & equal & (size >= math.radians(SMALLEST_TURN_DEG)) & (size <= math.radians(DOUBTFUL_TURN_DEG))
    close = np.abs(turn[1:] - turn[:-1]) <= TURN_SHARE * size[1:] + math.radians(TURN_NOISE_DEG)
    goes_on = pair[1:] & pair[:-1] & close
    edges = np.flatnonzero(np.diff(np.concatenate(([0], goes_on.view(np.int8), [0]))))
    return [(int(a), int(b) + 1) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a + 2 >= FEWEST_SIDES]


def _fit(sides: Floats, joined: NDArray[np.bool_], turn: Floats, length: Floats, first: int, last: int) -> Run | None:
    """The run from ``first`` to ``last``, with a shorter side at each end if it is on the
    circle too; None where the vertices are on no common circle."""
    points = _vertices(sides, first, last)
    circle = _circle(points)
    if circle is None:
        return None
    side = float(np.median(length[first : last + 1]))
    step = float(np.median(turn[first:last]))
    tolerance = min(OFF_CIRCLE_SHARE * side, side * abs(math.tan(step / 4.0)) / 4.0)
    if not _on(points, circle, tolerance):
        return None

    def belongs(i: int, pair: int) -> bool:
        return bool(
            joined[pair]
            and length[i] <= side * (1.0 + LENGTH_SHARE)
            and turn[pair] * step > 0.0
            and _on(sides[i].reshape(2, 2), circle, tolerance)
        )

    if first > 0 and belongs(first - 1, first - 1):
        first -= 1
    if last + 1 < len(sides) and belongs(last + 1, last):
        last += 1
    return _run(sides, circle, length, first, last, step)


def _run(
    sides: Floats, circle: tuple[float, float, float], length: Floats, first: int, last: int, step: float
) -> Run | None:
    points = _vertices(sides, first, last)
    angle = 2.0 * np.arcsin(np.minimum(1.0, length[first : last + 1] / (2.0 * circle[2])))
    sweep = math.copysign(float(angle.sum()), step)
    if abs(sweep) < math.radians(SMALLEST_SWEEP_DEG) or abs(sweep) > 2.0 * math.pi + abs(step) / 2.0:
        return None
    count, step_deg = last - first + 1, abs(math.degrees(step))
    sure = step_deg <= FLAT_TURN_DEG or (count >= SURE_SIDES and step_deg <= SURE_TURN_DEG)
    return Run(first, last, _arcs(points, angle, sweep), circle[2], step_deg, sure)


def _vertices(sides: Floats, first: int, last: int) -> Floats:
    return np.concatenate((sides[first : last + 1, :2], sides[last : last + 1, 2:]))


def _arcs(points: Floats, angle: Floats, sweep: float) -> tuple[Arc, ...]:
    """One arc from the first to the last point, or two that meet in a middle vertex where the
    sweep is over half a turn."""
    if abs(sweep) <= math.pi * (1.0 + HALF_TURN_SHARE):
        return (_arc(points[0], points[-1], sweep),)
    middle = len(angle) // 2
    part = math.copysign(float(angle[:middle].sum()), sweep)
    return (_arc(points[0], points[middle], part), _arc(points[middle], points[-1], sweep - part))


def _arc(start: Floats, end: Floats, sweep: float) -> Arc:
    return (float(start[0]), float(start[1]), float(end[0]), float(end[1]), math.tan(sweep / 4.0))


def _circle(points: Floats) -> tuple[float, float, float] | None:
    """Centre and radius of the circle through three spread vertices; None if in line."""
    n = len(points)
    a, b, c = points[0], points[n // 3], points[2 * n // 3]
    b, c = b - a, c - a
    det = 2.0 * float(b[0] * c[1] - b[1] * c[0])
    if abs(det) < TINY:
        return None
    bb, cc = float(b @ b), float(c @ c)
    x, y = (c[1] * bb - b[1] * cc) / det, (b[0] * cc - c[0] * bb) / det
    return float(a[0] + x), float(a[1] + y), math.hypot(x, y)


def _on(points: Floats, circle: tuple[float, float, float], tolerance: float) -> bool:
    off = np.hypot(points[:, 0] - circle[0], points[:, 1] - circle[1]) - circle[2]
    return bool(np.abs(off).max() <= tolerance)


def scattered_runs(sides: Floats, group: Ints) -> tuple[tuple[Ints, Run], ...]:
    """Runs among sides in any order and direction, such as an exploded curve: for each run the
    rows of ``sides`` that make it, and the run (its first and last count along the chain).

    Sides join where exactly two of one group end at one point. Empty input gives none.
    """
    if len(sides) < FEWEST_SIDES:
        return ()
    order, turned, chain = _chained(sides, group)
    rows = sides[order]
    rows[turned] = rows[turned][:, (2, 3, 0, 1)]
    return tuple((order[r.first : r.last + 1], r) for r in faceted_runs(rows, chain))


def _chained(sides: Floats, group: Ints) -> tuple[Ints, NDArray[np.bool_], Ints]:
    """The rows of all chains one after the other, whether each is walked backwards, and the
    number of its chain."""
    links = _links(sides, group)
    n = len(sides)
    order: list[int] = []
    turned: list[bool] = []
    chain: list[int] = []
    seen: set[int] = set()
    # Ends without a link first, so that open chains are walked from end to end; rings come last.
    starts = sorted((end for end in links if (end + n) % (2 * n) not in links), key=lambda end: end % n)
    for number, start in enumerate([*((end + n) % (2 * n) for end in starts), *links]):
        end: int | None = start
        while end is not None and end % n not in seen:
            seen.add(end % n)
            order.append(end % n)
            turned.append(end >= n)
            chain.append(number)
            end = links.get((end + n) % (2 * n))
    return np.array(order, np.int64), np.array(turned, bool), np.array(chain, np.int64)


def _links(sides: Floats, group: Ints) -> dict[int, int]:
    """Which end (row, or row + n for the far end) meets which, where two sides turn as facets do."""
    n = len(sides)
    ends = np.concatenate((sides[:, :2], sides[:, 2:]))
    low = ends.min(axis=0)
    cell = max(float((ends.max(axis=0) - low).max()) * POINT_SHARE, TINY)
    key = np.round((ends - low) / cell).astype(np.int64)
    _, node, count = np.unique(key[:, 0] * (1 << 31) + key[:, 1], return_inverse=True, return_counts=True)
    order = np.argsort(node, kind="stable")
    pairs = order[count[node[order]] == 2].reshape(-1, 2)
    a, b = pairs[:, 0], pairs[:, 1]
    into, out = ends[a] - ends[(a + n) % (2 * n)], ends[(b + n) % (2 * n)] - ends[b]
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn = np.abs(np.arctan2(cross, (into * out).sum(axis=1)))
    good = (turn >= math.radians(SMALLEST_TURN_DEG)) & (turn <= math.radians(DOUBTFUL_TURN_DEG))
    good &= (a % n != b % n) & (group[a % n] == group[b % n])
    found = pairs[good].tolist()
    return dict([*((p, q) for p, q in found), *((q, p) for p, q in found)])


_BEYOND = 1e60
"""Products of four lengths that large are beyond what a float holds; damaged files have them, and circles through
points that are as good as in line."""


def smooth_arc(points: Floats, share: float = 1e-4) -> tuple[Arc, ...] | None:
    """The arcs (one, or two over half a turn) that a curve known to be smooth is, or None.

    ``points`` (n, 2) are samples in order along a spline or the like, at any spacing; all must
    lie on one circle within ``share`` of the curve's own size (of the radius it would be too
    lenient: nearly straight waves lie on some huge circle) and turn one way. Fewer than five: None.
    """
    if len(points) < FEWEST_SIDES + 1 or not np.abs(points).max() < _BEYOND:
        return None
    circle = _circle(points)
    size = float((points.max(axis=0) - points.min(axis=0)).max())
    if circle is None or not circle[2] < _BEYOND or not _on(points, circle, share * min(size, circle[2])):
        return None
    out = points - np.array(circle[:2])
    cross = out[:-1, 0] * out[1:, 1] - out[:-1, 1] * out[1:, 0]
    angle = np.arctan2(cross, (out[:-1] * out[1:]).sum(axis=1))
    if not (np.all(angle > 0.0) or np.all(angle < 0.0)):
        return None
    sweep = float(angle.sum())
    if abs(sweep) > 2.0 * math.pi + share:
        return None
    return _arcs(points, np.abs(angle), sweep)
