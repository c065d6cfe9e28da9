"""The ends of walls: where a wall stops, drawn with an end line or without one."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import JOIN_MM
from takeoff.geometry.runs import Runs, half_edges

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

THINNEST_MM, THICKEST_MM = 18.0, 650.0
"""Between these a pair of lines can be the two faces of a wall (common practice, no source)."""
SQUARE_SINE = 0.5
"""A wall's faces leave its end line at 30° or more."""
STRAIGHT_ON_SINE = 0.995
"""A threshold goes on from a wall's face within 6° of square to its end line."""
TAPER_DEG = 15.0
"""The faces of one wall are parallel to within this."""
OVERSHOOT_MM = 30.0
"""A loose end this short past a crossing is an overshoot, not a wall."""
ONE_WAY_COSINE = 0.9998
"""Lines drawn twice leave an end within about 1° of each other."""
PARALLEL_DEG = 4.0
LOOSE_SHIFT_MM = 120.0
"""Two faces of one wall stop within this of each other, measured along the wall."""


class Caps(NamedTuple):
    """``a``, ``b`` (n,): nodes at the ends of an end line; ``out`` (n, 2): unit direction in which
    the wall would go on; ``run`` (n,): the straight run of its line, -1 if it is not drawn."""

    a: Ints
    b: Ints
    out: Floats
    run: Ints


class Loose(NamedTuple):
    """Single lines that stop: ``node`` (n,), unit direction ``out`` (n, 2), ``run`` (n,)."""

    node: Ints
    out: Floats
    run: Ints


def prune(xy: Floats, edges: Ints) -> NDArray[np.bool_]:
    """Which edges stay when overshoots, and lines drawn a second time beside others, are cut away."""
    keep = ~_drawn_again(xy, edges)
    length = np.hypot(*(xy[edges[:, 1]] - xy[edges[:, 0]]).T)
    for _ in range(2):
        degree = np.bincount(edges[keep].ravel(), minlength=len(xy))
        loose = (degree[edges] == 1).any(axis=1) & (degree[edges] > 2).any(axis=1)
        drop = keep & loose & (length < OVERSHOOT_MM)
        if not drop.any():
            break
        keep &= ~drop
    return keep


def _drawn_again(xy: Floats, edges: Ints) -> NDArray[np.bool_]:
    """Edges that stop beside another one which starts where they do and goes the same way."""
    again = np.zeros(len(edges), bool)
    if not len(edges):
        return again
    degree = np.bincount(edges.ravel(), minlength=len(xy))
    rows = np.flatnonzero((degree[edges] == 1).sum(axis=1) == 1)
    turned = degree[edges[rows, 0]] == 1
    start, stop = np.where(turned, edges[rows, 1], edges[rows, 0]), np.where(turned, edges[rows, 0], edges[rows, 1])
    at = np.concatenate([edges[:, 0], edges[:, 1]])
    to = np.concatenate([edges[:, 1], edges[:, 0]])
    order = np.argsort(at, kind="stable")
    first = np.searchsorted(at[order], start)
    count = np.searchsorted(at[order], start, side="right") - first
    owner = np.repeat(np.arange(len(rows)), count)
    half = order[np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + np.repeat(first, count)]
    own, other = xy[stop[owner]] - xy[start[owner]], xy[to[half]] - xy[start[owner]]
    length = np.maximum(np.hypot(other[:, 0], other[:, 1]), 1e-9)
    along = (own * other).sum(axis=1) / length
    aside = np.abs(own[:, 0] * other[:, 1] - own[:, 1] * other[:, 0]) / length
    beside = (half % len(edges) != rows[owner]) & (aside <= JOIN_MM) & (along > JOIN_MM)
    again[rows[owner[beside & (along <= length + JOIN_MM)]]] = True
    return again


class _Sides(NamedTuple):
    """What leaves each run at one of its ends, first to the left, then to the right of the run:
    ``some`` anything; ``askew`` something not square to it; ``way`` (2, n, 2) the unit direction
    of the squarest. What goes nearly along the run counts for both sides and as askew: the run
    then does not end there."""

    some: tuple[Bools, Bools]
    askew: tuple[Bools, Bools]
    way: tuple[Floats, Floats]


def drawn_caps(xy: Floats, edges: Ints, runs: Runs, thinnest_mm: float) -> Caps:
    """End lines: runs at wall thickness whose two neighbours leave to the same side, parallel, with
    nothing on the other side but, at one end, a line straight on from the wall's face (a
    threshold). The wall would go on as its faces go, which are longer than its end line."""
    ends = runs.ends
    whole = np.asarray((ends >= 0).all(axis=1))
    span = np.where(whole[:, None], xy[ends[:, 1]] - xy[ends[:, 0]], 0.0)
    length = np.hypot(span[:, 0], span[:, 1])
    run = np.flatnonzero(whole & (length >= thinnest_mm) & (length <= THICKEST_MM))
    unit = span[run] / length[run][:, None]
    first, last = (_sides_at(xy, edges, runs, run, ends[run, k], unit) for k in (0, 1))
    fits, ways = [], []
    for own, other in ((0, 1), (1, 0)):
        parallel = (first.way[own] * last.way[own]).sum(axis=1) > np.cos(np.radians(TAPER_DEG))
        fits.append(
            first.some[own]
            & last.some[own]
            & parallel
            & ~first.askew[other]
            & ~last.askew[other]
            & ~(first.some[other] & last.some[other])
        )
        ways.append(-(first.way[own] + last.way[own]))
    chosen = fits[0] ^ fits[1]
    out = np.where(fits[0][:, None], ways[0], ways[1])[chosen]
    out /= np.maximum(np.hypot(out[:, 0], out[:, 1]), 1e-9)[:, None]
    run = run[chosen]
    return Caps(ends[run, 0], ends[run, 1], out, run)


def _sides_at(xy: Floats, edges: Ints, runs: Runs, run: Ints, node: Ints, unit: Floats) -> _Sides:
    at, edge, angle = half_edges(xy, edges)
    order = np.argsort(at, kind="stable")
    start = np.searchsorted(at[order], node)
    count = np.searchsorted(at[order], node, side="right") - start
    owner = np.repeat(np.arange(len(run)), count)
    index = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + np.repeat(start, count)
    half = order[index]
    other = runs.of_edge[edge[half]] != run[owner]
    owner, half = owner[other], half[other]
    way = _run_direction(xy, runs, edge[half], angle[half])
    sine = unit[owner, 0] * way[:, 1] - unit[owner, 1] * way[:, 0]
    some, askew, ways = [], [], []
    for sign in (1, -1):
        here, square = np.zeros(len(run), bool), np.zeros((len(run), 2))
        here[owner[sign * sine > -SQUARE_SINE]] = True
        bent = np.zeros(len(run), bool)
        bent[owner[(sign * sine > -SQUARE_SINE) & (sign * sine < STRAIGHT_ON_SINE)]] = True
        order = np.argsort(sign * sine, kind="stable")
        square[owner[order]] = way[order]
        some.append(here)
        askew.append(bent)
        ways.append(square)
    return _Sides((some[0], some[1]), (askew[0], askew[1]), (ways[0], ways[1]))


def _run_direction(xy: Floats, runs: Runs, edge: Ints, angle: Floats) -> Floats:
    """The unit direction of the whole run that a half edge starts, or of the edge alone."""
    way = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    ends = runs.ends[runs.of_edge[edge]]
    whole = np.asarray((ends >= 0).all(axis=1))
    span = np.where(whole[:, None], xy[ends[:, 1]] - xy[ends[:, 0]], way)
    span /= np.maximum(np.hypot(span[:, 0], span[:, 1]), 1e-9)[:, None]
    return np.where(((span * way).sum(axis=1) < 0)[:, None], -span, span)


def loose_ends(xy: Floats, edges: Ints, runs: Runs) -> Loose:
    """Every node with one edge, or with several on top of each other, looking away from it."""
    at, edge, angle = half_edges(xy, edges)
    alone = np.zeros(len(at), bool)
    alone[_one_per_node(xy, at, angle)] = True
    out = -np.stack([np.cos(angle[alone]), np.sin(angle[alone])], axis=1)
    node, run = at[alone], runs.of_edge[edge[alone]]
    ends = runs.ends[run]
    other = np.where(ends[:, 0] == node, ends[:, 1], ends[:, 0])
    along = xy[node] - xy[other]
    length = np.hypot(along[:, 0], along[:, 1])
    known = (ends >= 0).all(axis=1) & (length > OVERSHOOT_MM)
    out[known] = along[known] / length[known][:, None]
    return Loose(node, out, run)


def _one_per_node(xy: Floats, at: Ints, angle: Floats) -> Ints:
    """A half edge for each node whose half edges all point one way."""
    way = np.zeros((len(xy), 2))
    np.add.at(way, at, np.stack([np.cos(angle), np.sin(angle)], axis=1))
    count = np.bincount(at, minlength=len(xy))
    one_way = (count > 0) & (np.hypot(way[:, 0], way[:, 1]) >= count * ONE_WAY_COSINE)
    node, first = np.unique(at, return_index=True)
    return np.asarray(first[one_way[node]])


def undrawn_caps(xy: Floats, loose: Loose) -> tuple[Ints, NDArray[np.bool_]]:
    """(node pairs (n, 2) of loose ends that are the two faces of one wall, which loose ends are
    in a pair)"""
    used = np.zeros(len(loose.node), bool)
    if len(loose.node) < 2:
        return np.zeros((0, 2), np.int64), used
    points = shapely.points(xy[loose.node])
    i, j = shapely.STRtree(points).query(points, predicate="dwithin", distance=THICKEST_MM)
    keep = i < j
    i, j = i[keep], j[keep]
    across = xy[loose.node[j]] - xy[loose.node[i]]
    along = np.abs((across * loose.out[i]).sum(axis=1))
    apart = np.abs(across[:, 0] * loose.out[i, 1] - across[:, 1] * loose.out[i, 0])
    same = (loose.out[i] * loose.out[j]).sum(axis=1) > np.cos(np.radians(PARALLEL_DEG))
    fits = same & (apart >= THINNEST_MM) & (apart <= THICKEST_MM)
    fits &= along <= np.minimum(LOOSE_SHIFT_MM, apart)
    pairs = []
    for k in np.flatnonzero(fits)[np.argsort(apart[fits], kind="stable")]:
        if not used[i[k]] and not used[j[k]]:
            used[i[k]] = used[j[k]] = True
            pairs.append((loose.node[i[k]], loose.node[j[k]]))
    return np.asarray(pairs, np.int64).reshape(-1, 2), used
