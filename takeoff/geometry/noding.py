"""Linework cut at its crossings, with small gaps closed: the graph that rooms are read from.

Works near the origin; the caller moves drawings there first. Everything is held in arrays, and
pairs come from a spatial index, so that time grows with the drawing and not with its square.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import InputError
from takeoff.geometry.near_points import with_company
from takeoff.language import tr

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

JOIN_MM = 5.0
"""Ends this near to each other, or to a line, are meant to meet."""
APART_MM = 20.0
"""Lines that start together and are still within the join distance so far on are one line, drawn twice."""
ONE_WAY_SINE = 0.05
MERGE_MM = 1.5
"""Crossings, feet and free ends this near to each other are one node: where a line is drawn twice a hair
apart, each would get its own, and the two would never be one."""
MOST_PAIRS = 2_000_000
"""Lines near each other: a drawing of 100,000 lines has some 500,000 such pairs, hatching of crossed lines millions."""
_AT_ONCE = 256
_FEW_PAIRS = 200_000
_HAIR = 1.0 + 1e-9
"""What is as far off as the distance, but for the last digit, is not lost."""
TOUCH_MM = 0.01
"""Nearer than this, two points are one point: noise of rotated or far-off coordinates."""


class Graph(NamedTuple):
    """``xy`` (n, 2) nodes in mm; ``edges`` (m, 2) node indices, no two alike; ``source`` (m,) the
    row of the segment that an edge came from, -1 for a stub that closes a gap."""

    xy: Floats
    edges: Ints
    source: Ints


def cluster(xy: Floats, distance_mm: float, weight: Ints | None = None) -> Ints:
    """For each point the index of the point that stands for it; no two that stand are nearer than
    ``distance_mm``. The place with the most points stands, or with most ``weight`` (n,), so that
    original ends are kept as they are."""
    if not len(xy):
        return np.zeros(0, np.int64)
    keys = np.round(xy, 4)
    order = np.lexsort((keys[:, 1], keys[:, 0]))
    new = np.ones(len(xy), bool)
    new[1:] = np.any(np.diff(keys[order], axis=0) != 0, axis=1)
    group = np.empty(len(xy), np.int64)
    group[order] = np.cumsum(new) - 1
    first = order[new]
    heavy = np.bincount(group, weight).astype(np.int64)
    return first[_stand_ins(xy[first], heavy, distance_mm)[group]]


def _stand_ins(xy: Floats, weight: Ints, distance_mm: float) -> Ints:
    near = with_company(xy, distance_mm)
    owner = np.arange(len(xy))
    if len(near):
        owner[near] = near[_heaviest(xy[near], weight[near], distance_mm)]
    return owner


def _heaviest(xy: Floats, weight: Ints, distance_mm: float) -> Ints:
    points = shapely.points(xy)
    tree = shapely.STRtree(points)
    ranked = np.lexsort((np.arange(len(xy)), -weight))
    rank = np.empty(len(xy), np.int64)
    rank[ranked] = np.arange(len(xy))
    owner = np.arange(len(xy))
    start, count = 0, _AT_ONCE
    # Some at a time, the heaviest first: in a heap of points each is near all others, but most are soon taken.
    while start < len(xy):
        asked = ranked[start : start + count]
        asked = asked[owner[asked] == asked]
        a, b = tree.query(points[asked], predicate="dwithin", distance=distance_mm)
        start += count
        if len(a) < _FEW_PAIRS:
            count *= 2
        elif count > _AT_ONCE:
            count //= 2
        a = asked[a]
        later = (rank[a] < rank[b]) & (owner[b] == b)
        a, b = a[later], b[later]
        order = np.lexsort((rank[b], rank[a]))
        for i, j in zip(a[order].tolist(), b[order].tolist(), strict=True):
            if owner[i] == i and owner[j] == j:
                owner[j] = i
    return owner


def _compact(labels: Ints) -> tuple[Ints, Ints]:
    """(kept labels in order, new number of each)"""
    kept, number = np.unique(labels, return_inverse=True)
    return kept, number.reshape(-1)


def parcels(lines: Iterable[shapely.Geometry]) -> list[shapely.Polygon]:
    """What these lines enclose, cut wherever they cross. Their union is cut there already; ``shapely.node`` besides
    gives up on lines that cross in a narrow bundle."""
    cut = shapely.get_parts(shapely.union_all(list(lines)))
    found: list[shapely.Polygon] = shapely.get_parts(shapely.polygonize(cut)).tolist()
    return found


def node(segments: Floats, join_mm: float = JOIN_MM, touch_mm: float = TOUCH_MM) -> Graph:
    """The graph of ``segments`` (n, 4) in mm: ends within ``join_mm`` are one, ends that stop as
    short of a line are joined to it by a stub, crossings and overlaps are cut, duplicates and
    segments without length are gone. Empty input gives an empty graph."""
    if not len(segments):
        return Graph(np.zeros((0, 2)), np.zeros((0, 2), np.int64), np.zeros(0, np.int64))
    ends = np.concatenate([segments[:, :2], segments[:, 2:]])
    kept, number = _compact(cluster(ends, join_mm))
    xy = ends[kept]
    rows = number.reshape(2, -1).T
    source, rows = _unlike(rows)
    if not len(rows):
        return Graph(xy, rows, source)
    return _cut(xy, rows, source, join_mm, touch_mm)


def _unlike(rows: Ints, source: Ints | None = None) -> tuple[Ints, Ints]:
    """(source, rows) without the rows that lead nowhere or repeat another one"""
    source = np.arange(len(rows)) if source is None else source
    alive = rows[:, 0] != rows[:, 1]
    rows, source = rows[alive], source[alive]
    low, high = rows.min(axis=1), rows.max(axis=1)
    order = np.lexsort((-source, high, low))[::-1] if len(rows) else np.zeros(0, np.int64)
    first = np.ones(len(order), bool)
    first[1:] = (np.diff(low[order]) != 0) | (np.diff(high[order]) != 0)
    pick = np.sort(order[first])
    return source[pick], rows[pick]


def _near(ends: Floats, distance_mm: float) -> tuple[Ints, Ints]:
    """The pairs of different lines (n, 4) that come within a distance of each other, both ways round, by the first;
    with some that do not, but that neither parts from the other by that distance.
    Raises InputError for more than ``MOST_PAIRS``."""
    tree, count = shapely.STRtree(shapely.linestrings(ends.reshape(-1, 2, 2))), 0
    low, high = np.minimum(ends[:, :2], ends[:, 2:]), np.maximum(ends[:, :2], ends[:, 2:])
    reach = _HAIR * distance_mm
    # lines from corner to corner, which have the same boxes: to make polygons takes longer
    boxes = shapely.linestrings(np.stack([low - reach, high + reach], axis=1))
    firsts, seconds = [], []
    # some at a time: that there are too many is to be known before there is no memory for them
    for start in range(0, len(ends), _AT_ONCE):
        a, b = tree.query(boxes[start : start + _AT_ONCE])
        a += start
        near = (a != b) & ~(_parted(ends[a], ends[b], reach) | _parted(ends[b], ends[a], reach))
        firsts.append(a[near])
        seconds.append(b[near])
        count += len(firsts[-1])
        if count > MOST_PAIRS:
            raise InputError(
                tr(
                    "The drawing's {lines} lines cross or touch each other more than {most} times, so that no walls "
                    "can be told among them: leave out the layers that are hatched or hold no walls.",
                    lines=len(ends),
                    most=MOST_PAIRS // 2,
                )
            )
    return np.concatenate(firsts), np.concatenate(seconds)


def _parted(one: Floats, other: Floats, distance_mm: float) -> NDArray[np.bool_]:
    """Which of the other lines (n, 4) lie farther than that on one side of the line (n, 4) each that one runs on."""
    along = one[:, 2:] - one[:, :2]
    far = distance_mm * np.hypot(along[:, 0], along[:, 1])
    off = [along[:, 0] * (y - one[:, 1]) - along[:, 1] * (x - one[:, 0]) for x, y in (other[:, :2].T, other[:, 2:].T)]
    return np.asarray((np.minimum(*off) > far) | (np.maximum(*off) < -far))


def _cut(xy: Floats, rows: Ints, source: Ints, join_mm: float, touch_mm: float) -> Graph:
    a, b = _near(xy[rows].reshape(-1, 4), join_mm)
    touch_seg, touch_t, touch_node, stub_seg, stub_t, stub_node, again = _ends_on_lines(
        xy, rows, a, b, join_mm, touch_mm
    )
    cross_a, cross_ta, cross_b, cross_tb, cross_xy = _crossings(xy, rows, a, b, touch_mm)
    foot = _along(xy, rows, stub_seg, stub_t)
    base = len(xy)
    points = np.concatenate([xy, cross_xy, foot])
    cross_node = base + np.arange(len(cross_xy))
    foot_node = base + len(cross_xy) + np.arange(len(foot))
    n = len(rows)
    seg = np.concatenate([np.arange(n), np.arange(n), touch_seg, cross_a, cross_b, stub_seg])
    t = np.concatenate([np.zeros(n), np.ones(n), touch_t, cross_ta, cross_tb, stub_t])
    at = np.concatenate([rows[:, 0], rows[:, 1], touch_node, cross_node, cross_node, foot_node])
    order = np.lexsort((t, seg))
    seg, at = seg[order], at[order]
    same = seg[1:] == seg[:-1]
    edges = np.stack([at[:-1][same], at[1:][same]], axis=1)
    origin = source[seg[1:][same]]
    edges = np.concatenate([edges, _stubs(xy, stub_node[~again], foot[~again], foot_node[~again])])
    origin = np.concatenate([origin, np.full(int((~again).sum()), -1)])
    points[stub_node[again]] = foot[again]
    corner = np.bincount(rows.ravel(), minlength=len(points)) > 1
    kept, number = _compact(_merged(points, corner, base, touch_mm, min(join_mm, MERGE_MM)))
    origin, edges = _unlike(number[edges], origin)
    return Graph(points[kept], edges, origin)


def _merged(points: Floats, corner: NDArray[np.bool_], base: int, touch_mm: float, merge_mm: float) -> Ints:
    """The point that stands for each: corners only for what touches them; of the others, crossings and
    feet (from ``base`` on) for free ends a hair away, so that the line they lie on stays straight."""
    stand = cluster(points, touch_mm)
    others = np.flatnonzero((stand == np.arange(len(points))) & ~_any_of(corner, stand))
    if merge_mm > touch_mm and len(others):
        stand[others] = others[cluster(points[others], merge_mm, np.where(others < base, 1, 2))]
        stand = stand[stand]
    return stand


def _any_of(flags: NDArray[np.bool_], stand: Ints) -> NDArray[np.bool_]:
    """For each point whether one that it stands for has the flag."""
    found = np.zeros(len(flags), bool)
    found[stand[flags]] = True
    return found


def _stubs(xy: Floats, node: Ints, foot: Floats, foot_node: Ints) -> Ints:
    """An edge for each stub, from its end to its foot; of several that leave an end the same way each
    goes on from the foot before, so that none lies over another."""
    edges = np.stack([node, foot_node], axis=1)
    order = np.lexsort((np.hypot(*(foot - xy[node]).T), node))
    for first in np.flatnonzero(node[order][1:] == node[order][:-1]).tolist():
        i, j = order[first], order[first + 1]
        (ax, ay), (bx, by) = (foot[i] - xy[node[i]]).tolist(), (foot[j] - xy[node[j]]).tolist()
        both = np.hypot(ax, ay) * np.hypot(bx, by)
        if ax * bx + ay * by > 0 and abs(ax * by - ay * bx) < ONE_WAY_SINE * both:
            edges[j, 0] = foot_node[i]
    return edges


def _along(xy: Floats, rows: Ints, seg: Ints, t: Floats) -> Floats:
    p = xy[rows[seg, 0]]
    return np.asarray(p + (xy[rows[seg, 1]] - p) * t[:, None])


def _ends_on_lines(
    xy: Floats, rows: Ints, a: Ints, b: Ints, join_mm: float, touch_mm: float
) -> tuple[Ints, Floats, Ints, Ints, Floats, Ints, NDArray[np.bool_]]:
    """Where an end of b lies on a (touch), or within the join distance of it (stub); which of the
    latter are free ends of lines drawn a second time, that belong on the other line."""
    seg = np.concatenate([a, a])
    other = np.concatenate([b, b])
    end = np.concatenate([rows[b, 0], rows[b, 1]])
    p, r = xy[rows[seg, 0]], xy[rows[seg, 1]] - xy[rows[seg, 0]]
    length = np.hypot(r[:, 0], r[:, 1])
    w = xy[end] - p
    along = (w[:, 0] * r[:, 0] + w[:, 1] * r[:, 1]) / length
    off = np.abs(r[:, 0] * w[:, 1] - r[:, 1] * w[:, 0]) / length
    own = (end == rows[seg, 0]) | (end == rows[seg, 1])
    inside = (along > touch_mm) & (along < length - touch_mm) & ~own
    touch = inside & (off <= touch_mm)
    stub = inside & (off > touch_mm) & (off <= join_mm)
    shared = _shares_end(rows, seg, other)
    free = np.bincount(rows.ravel(), minlength=len(xy))[end] == 1
    again = shared & free & (along > APART_MM) & (along < length - APART_MM)
    stub &= ~_properly_cross(xy, rows, seg, other) & (again | ~shared)
    t = along / length
    return seg[touch], t[touch], end[touch], seg[stub], t[stub], end[stub], again[stub]


def _shares_end(rows: Ints, a: Ints, b: Ints) -> NDArray[np.bool_]:
    ra, rb = rows[a], rows[b]
    result = np.zeros(len(a), bool)
    for i in (0, 1):
        for j in (0, 1):
            result |= ra[:, i] == rb[:, j]
    return result


def _parameters(xy: Floats, rows: Ints, a: Ints, b: Ints) -> tuple[Floats, Floats, Floats, Floats]:
    """(t on a, u on b, length of a, length of b); NaN where parallel"""
    p, q = xy[rows[a, 0]], xy[rows[b, 0]]
    r, s = xy[rows[a, 1]] - p, xy[rows[b, 1]] - q
    cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    la, lb = np.hypot(r[:, 0], r[:, 1]), np.hypot(s[:, 0], s[:, 1])
    cross = np.where(np.abs(cross) < PARALLEL_SINE * la * lb, np.nan, cross)
    w = q - p
    t = (w[:, 0] * s[:, 1] - w[:, 1] * s[:, 0]) / cross
    u = (w[:, 0] * r[:, 1] - w[:, 1] * r[:, 0]) / cross
    return t, u, la, lb


PARALLEL_SINE = 1e-7
"""Lines whose angle has a smaller sine never cross within a building (1e-7 rad: 0.1 mm in 1 km)."""


def _properly_cross(xy: Floats, rows: Ints, a: Ints, b: Ints) -> NDArray[np.bool_]:
    t, u, _, _ = _parameters(xy, rows, a, b)
    with np.errstate(invalid="ignore"):
        return (t > 0) & (t < 1) & (u > 0) & (u < 1)


def _crossings(xy: Floats, rows: Ints, a: Ints, b: Ints, touch_mm: float) -> tuple[Ints, Floats, Ints, Floats, Floats]:
    half = a < b
    a, b = a[half], b[half]
    t, u, la, lb = _parameters(xy, rows, a, b)
    ea, eb = touch_mm / la, touch_mm / lb
    with np.errstate(invalid="ignore"):
        hit = (t > ea) & (t < 1 - ea) & (u > eb) & (u < 1 - eb)
    a, b, t, u = a[hit], b[hit], t[hit], u[hit]
    return a, t, b, u, _along(xy, rows, a, t)
