"""What a hand-drawn point is drawn to: ends, crossings, middles, feet, lines, and square directions.

Lines come from an index by box; what is exact is worked out for the few that lie near. Nothing
here is rounded: a snapped end is the very number that the drawing holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.geometry.tolerances import SNAP_MM

Floats = NDArray[np.float64]

Kind = Literal["end", "crossing", "middle", "foot", "meets", "in line", "line", "square", "straight on"]
"""*foot*: square from the last corner onto a line; *meets*: where a square or straight direction
from the last corner crosses a line; *in line*: on such a direction, level with the first corner;
*line*: anywhere on a line; *square*, *straight on*: on such a direction, beside every line."""

RANK: dict[Kind, int] = {
    "end": 0,
    "crossing": 1,
    "middle": 2,
    "foot": 2,
    "meets": 3,
    "in line": 3,
    "line": 4,
    "square": 5,
    "straight on": 5,
}
"""What wins within reach; among equals the nearest."""

MOST_LINES = 12
"""So many of the nearest lines are looked at: more within one reach are a hatch or a blot, where
no crossing can be meant."""


class Snap(NamedTuple):
    """A point and what drew it there. ``line``: the line it lies on; ``along``: the direction, from
    the last corner, that it keeps."""

    x: float
    y: float
    kind: Kind
    line: Curve | None = None
    along: Point | None = None

    @property
    def at(self) -> Point:
        """The point itself."""
        return self.x, self.y


class From(NamedTuple):
    """What is drawn already: the last corner, the directions that are square or parallel there (unit
    vectors; their opposites count too), and the first corner, which the ring will come back to."""

    last: Point
    directions: tuple[Point, ...] = ()
    first: Point | None = None


class LineIndex:
    """Segments (n, 4) and arcs (m, 5: with a bulge) in an index. Built once, asked often; empty
    arrays, and rows without length, are never near anything."""

    def __init__(self, segments: Floats, arcs: Floats | None = None) -> None:
        self._segments = segments[np.isfinite(segments).all(axis=1)]
        rows = np.zeros((0, 5)) if arcs is None else arcs[np.isfinite(arcs).all(axis=1)]
        self._arcs = [Curve(*row) for row in rows.tolist()]
        boxes = [shapely.box(*arc.box) for arc in self._arcs]
        straight = shapely.linestrings(self._segments.reshape(-1, 2, 2))
        self._tree = shapely.STRtree(np.concatenate([straight, np.array(boxes, dtype=object)]))

    def near(self, x: float, y: float, reach: float) -> list[Curve]:
        """Lines within ``reach`` of a point (mm), the nearest first, ``MOST_LINES`` at most."""
        rows = self._tree.query(shapely.box(x - reach, y - reach, x + reach, y + reach))
        count = len(self._segments)
        straight = rows[rows < count]
        if len(straight) > MOST_LINES:
            straight = self._nearest(straight, x, y)
        found = [Curve(*row) for row in self._segments[straight].tolist()]
        found += [self._arcs[k - count] for k in rows[rows >= count].tolist()]
        return nearest(found, x, y, reach)

    def _nearest(self, rows: NDArray[np.int64], x: float, y: float) -> NDArray[np.int64]:
        p, d = self._segments[rows, :2], self._segments[rows, 2:] - self._segments[rows, :2]
        square = np.maximum((d * d).sum(axis=1), SNAP_MM**2)
        t = np.clip(((np.array([x, y]) - p) * d).sum(axis=1) / square, 0.0, 1.0)
        off = np.hypot(*(p + d * t[:, None] - [x, y]).T)
        return rows[np.argsort(off, kind="stable")[:MOST_LINES]]


def nearest(curves: Iterable[Curve], x: float, y: float, reach: float) -> list[Curve]:
    """Those within reach, the nearest first, ``MOST_LINES`` at most; others are left out."""
    ranked = []
    for number, curve in enumerate(curves):
        if curve.length > SNAP_MM:
            off = math.dist(foot(curve, x, y), (x, y))
            if off <= reach:
                ranked.append((off, number, curve))
    return [curve for _, _, curve in sorted(ranked, key=lambda r: r[:2])[:MOST_LINES]]


def foot(curve: Curve, x: float, y: float) -> Point:
    """The point of a curve, ends included, that is nearest to a point."""
    t, _ = curve.where(x, y)
    if t <= 0.0:
        return curve.x0, curve.y0
    if t >= curve.length:
        return curve.x1, curve.y1
    return curve.at(t)


def snap(x: float, y: float, reach: float, indexes: Sequence[LineIndex], start: From | None = None) -> Snap | None:
    """What a point at x, y is drawn to within ``reach`` (mm); None where it stays as it is.

    The kind with the best rank wins, then the nearest point.
    """
    curves = [curve for index in indexes for curve in index.near(x, y, reach)]
    if len(indexes) > 1:
        curves = nearest(curves, x, y, reach)
    best: tuple[int, float] | None = None
    found: Snap | None = None
    for candidate in _candidates(x, y, curves, start):
        off = math.hypot(candidate.x - x, candidate.y - y)
        if off <= reach:
            rank = (RANK[candidate.kind], off)
            if best is None or rank < best:
                best, found = rank, candidate
    return found


def _candidates(x: float, y: float, curves: Sequence[Curve], start: From | None) -> Iterator[Snap]:
    for number, curve in enumerate(curves):
        yield Snap(curve.x0, curve.y0, "end", curve)
        yield Snap(curve.x1, curve.y1, "end", curve)
        for other in curves[number + 1 :]:
            for px, py in crossings(curve, other):
                if _holds(curve, px, py) and _holds(other, px, py):
                    yield Snap(px, py, "crossing", curve)
        yield Snap(*curve.at(curve.length / 2.0), "middle", curve)
        yield Snap(*foot(curve, x, y), "line", curve)
    if start is not None:
        yield from _from_last(x, y, curves, start)


def _holds(curve: Curve, x: float, y: float) -> bool:
    t, off = curve.where(x, y)
    return off <= SNAP_MM and -SNAP_MM <= t <= curve.length + SNAP_MM


def _from_last(x: float, y: float, curves: Sequence[Curve], start: From) -> Iterator[Snap]:
    px, py = start.last
    for curve in curves:
        t, _ = curve.where(px, py)
        if 0.0 < t < curve.length and math.dist(curve.at(t), start.last) > SNAP_MM:
            yield Snap(*curve.at(t), "foot", curve)
    for number, (dx, dy) in enumerate(start.directions):
        along = (x - px) * dx + (y - py) * dy
        if abs(along) <= SNAP_MM:
            continue
        sense = (dx, dy) if along > 0 else (-dx, -dy)
        ray = Curve(px, py, px + dx * along, py + dy * along)
        yield Snap(px + dx * along, py + dy * along, "straight on" if number == 0 else "square", None, sense)
        for curve in curves:
            for qx, qy in crossings(ray, curve):
                if _holds(curve, qx, qy) and math.hypot(qx - px, qy - py) > SNAP_MM:
                    yield Snap(qx, qy, "meets", curve, sense)
        if start.first is not None:
            level = (start.first[0] - px) * dx + (start.first[1] - py) * dy
            if abs(level) > SNAP_MM:
                yield Snap(px + dx * level, py + dy * level, "in line", None, sense)


def directions_after(last: Point | None) -> tuple[Point, ...]:
    """Straight on and square to a unit direction; along x and y where there is none."""
    dx, dy = last if last is not None else (1.0, 0.0)
    return (dx, dy), (-dy, dx)
