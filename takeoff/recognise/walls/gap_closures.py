"""The ends of walls, drawn with an end line or without one, and the gaps between them closed: from each wall
end to the wall end or face that it looks at, in curved walls along the circle to the next end on it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import JOIN_MM, Graph
from takeoff.geometry.runs import Runs, components, first_hits, half_edges
from takeoff.recognise.walls.bounding_lines import Lines, arc_centres

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
    run = np.flatnonzero((runs.ends >= 0).all(axis=1))
    return _caps_among(xy, edges, runs, (run, runs.ends[run]), thinnest_mm)


def flush_caps(xy: Floats, edges: Ints, runs: Runs, thinnest_mm: float) -> Caps:
    """End lines that go straight on from one of the wall's faces, as the side of steps before a door does: the first
    piece of a longer run, where it is such a line."""
    found = [(np.zeros(0, np.int64), np.zeros((0, 2), np.int64))]
    for at, to in (edges.T, edges.T[::-1]):
        for own, other in (runs.ends.T, runs.ends.T[::-1]):
            first = np.flatnonzero((at == own[runs.of_edge]) & (to != other[runs.of_edge]))
            found.append((runs.of_edge[first], np.stack([at[first], to[first]], axis=1)))
    pieces = np.concatenate([run for run, _ in found]), np.concatenate([ends for _, ends in found])
    return _caps_among(xy, edges, runs, pieces, thinnest_mm)


def _caps_among(xy: Floats, edges: Ints, runs: Runs, pieces: tuple[Ints, Ints], thinnest_mm: float) -> Caps:
    """Those pieces of runs (the run of each, the two nodes (n, 2) at its ends) that are end lines."""
    run, ends = pieces
    span = xy[ends[:, 1]] - xy[ends[:, 0]]
    length = np.hypot(span[:, 0], span[:, 1])
    fit = (length >= thinnest_mm) & (length <= THICKEST_MM)
    run, ends, unit = run[fit], ends[fit], span[fit] / length[fit][:, None]
    first, last = (_sides_at(xy, edges, runs, run, ends[:, k], unit) for k in (0, 1))
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
    return Caps(ends[chosen, 0], ends[chosen, 1], out, run[chosen])


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


THINNEST_CORNER_MM, THICKEST_CORNER_MM = 45.0, 450.0
"""Walls whose end at a corner is not drawn are so thick."""
ALIGN_MM = 15.0
"""Two faces off by less are meant to be in one line."""


def undrawn_caps(xy: Floats, loose: Loose) -> tuple[Ints, NDArray[np.bool_]]:
    """(node pairs (n, 2) of loose ends that are the two faces of one wall, or of two walls that meet in a corner,
    which loose ends are in a pair)"""
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
    # Where two walls meet, the face of one looks straight at the end of the other's, square to it.
    square = np.abs((loose.out[i] * loose.out[j]).sum(axis=1)) < np.sin(np.radians(PARALLEL_DEG))
    for a, b in ((i, j), (j, i)):
        span = xy[loose.node[b]] - xy[loose.node[a]]
        ahead = (span * loose.out[a]).sum(axis=1)
        aside = np.abs(span[:, 0] * loose.out[a, 1] - span[:, 1] * loose.out[a, 0])
        corner = square & (aside <= ALIGN_MM) & (ahead >= THINNEST_CORNER_MM) & (ahead <= THICKEST_CORNER_MM)
        for k in np.flatnonzero(corner)[np.argsort(ahead[corner], kind="stable")]:
            if not used[a[k]] and not used[b[k]]:
                used[a[k]] = used[b[k]] = True
                pairs.append((loose.node[a[k]], loose.node[b[k]]))
    return np.asarray(pairs, np.int64).reshape(-1, 2), used


REACH_MM = 3000.0
"""A gap with a door or a window in it is closed up to this width."""
GLAZED_REACH_MM = 16000.0
"""A gap is closed as far as this where glazing is drawn all along it."""
INSET_MM = 10.0
"""Rays start this far inside the ends of a wall's end line, so that they meet the opposite one."""
PIER_MM = 750.0
SAME_MM = 1.0
"""A landing this near to a corner is the corner."""
ELBOW_MM, INNER_MM = 300.0, 80.0
"""The legs of an elbow are no shorter, and its inner corner lies so far within the line from leg to leg."""
NARROWEST_MM = 0.5
"""Nearer things touch."""
MULLION_MM = 150.0
"""What is narrower is a mullion of a front, and no post."""
BACK_COS = math.cos(math.radians(30))
GRAZING_SINE = 0.35
"""A wall end does not look at lines that run nearly the way it looks (20°)."""


class Bridge(NamedTuple):
    """A closed gap. ``lines`` (k, 4): one per wall face (k = 2), or one for single lines;
    ``width_mm`` along the wall; ``thickness_mm`` of the wall that ends here (0 for a line);
    ``pier``: what ends here stands free and is too small for a wall, and no wall goes on in line with it;
    ``drawn``: whether a line is drawn already where each of the two would be; ``in_line``: another wall end
    stands opposite with both its faces in line, or another line ends there that is in line; ``strewn``: all that
    ends here stands free and is small; ``in_row``: in a row, though, that starts at a wall;
    ``deep_mm``: how far the faces of the walls that end here run back, the shortest of them and the longest;
    ``goes_on``: the wall ends here before another one, round whose corner one of its faces goes straight on."""

    lines: Floats
    width_mm: float
    thickness_mm: float
    key: tuple[int, int]
    pier: bool = False
    drawn: tuple[bool, bool] = (False, False)
    in_line: bool = False
    strewn: bool = False
    in_row: bool = False
    deep_mm: tuple[float, float] = (math.inf, math.inf)
    goes_on: bool = False


def wall_bridges(
    graph: Graph, runs: Runs, caps: Caps, reach_mm: float = GLAZED_REACH_MM, of_column: NDArray[np.bool_] | None = None
) -> list[Bridge]:
    """A bridge for every wall end that looks at something within reach. ``of_column`` (edges,): what is
    drawn for columns, whose sides are no wall ends: what they look at needs a door or glass to be closed."""
    if not len(caps.a):
        return []
    xy, edges = graph.xy, graph.edges
    tree = shapely.STRtree(shapely.linestrings(xy[edges]))
    p, q = xy[edges[:, 0]], xy[edges[:, 1]]
    a, b = xy[caps.a], xy[caps.b]
    span = b - a
    width = np.hypot(span[:, 0], span[:, 1])
    inset = span / width[:, None] * np.minimum(INSET_MM, width / 5)[:, None]
    reach = np.full(len(a), reach_mm)
    hits = [
        first_hits(start + caps.out * 0.05, caps.out, reach, p, q, tree, caps.run, runs.of_edge)
        for start in (a + inset, b - inset)
    ]
    cap_of_run = {int(run): k for k, run in enumerate(caps.run) if run >= 0}
    found = _going_on(_build(graph, runs, caps, hits, cap_of_run, p, q), graph)
    pier = _piers(graph)[caps.a]
    anchored = _anchored(graph, caps, found)
    if of_column is not None:
        columns = np.bincount(runs.of_edge[of_column], minlength=len(runs.ends)) > 0
        pier |= (caps.run >= 0) & columns[caps.run]
    deep = _depths(graph, runs, caps)
    judged = []
    for bridge, drawn in zip(found, _on_drawn_lines(found, tree), strict=True):
        ends = [k for k in bridge.key if k >= 0]
        free = pier[ends]
        # A post in line with a wall and as thick is a piece of that wall.
        post = bridge.in_line and not free.all() and bool((deep[ends][free, 1] > MULLION_MM).all())
        own = deep[ends][~free] if post else deep[ends]
        far = (float(own[:, 0].min()), float(own[:, 1].min()))
        own_pier = bool(free.any()) and not post
        bridge = bridge._replace(pier=own_pier, drawn=drawn, strewn=bool(free.all()), deep_mm=far)
        judged.append(bridge._replace(in_row=bool(anchored[ends].all())))
    return judged


NARROWEST_STEPS_MM = 600.0
"""Steps before a door are no narrower (common practice, no source)."""


def flush_bridges(graph: Graph, runs: Runs, caps: Caps, thinnest_mm: float) -> list[Bridge]:
    """A bridge between two wall ends in line of which one at least goes straight on from a face, ``caps`` being the
    other ones; it needs a door or glass to be closed."""
    flush = flush_caps(graph.xy, graph.edges, runs, thinnest_mm)
    if not len(flush.a):
        return []
    count = len(caps.a)
    every = Caps(*(np.concatenate([own, more]) for own, more in zip(caps, flush, strict=True)))
    found = [b for b in wall_bridges(graph, runs, every) if b.in_line and max(b.key) >= count]
    alone = {tuple(sorted(b.lines.round().ravel().tolist())): b for b in found if b.width_mm >= NARROWEST_STEPS_MM}
    return [b._replace(pier=True) for b in alone.values()]


def _depths(graph: Graph, runs: Runs, caps: Caps) -> Floats:
    """(n, 2): for each wall end how far its faces run back from it, the shorter one first: where another wall
    joins, a face ends."""
    at, edge, angle = half_edges(graph.xy, graph.edges)
    ends = runs.ends
    whole = (ends >= 0).all(axis=1)
    length = np.where(whole, np.hypot(*(graph.xy[ends[:, 1]] - graph.xy[ends[:, 0]]).T), np.inf)
    order = np.argsort(at, kind="stable")
    sides = []
    for node in (caps.a, caps.b):
        first = np.searchsorted(at[order], node)
        count = np.searchsorted(at[order], node, side="right") - first
        owner = np.repeat(np.arange(len(node)), count)
        half = order[np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + np.repeat(first, count)]
        way = np.stack([np.cos(angle[half]), np.sin(angle[half])], axis=1)
        back = (way * -caps.out[owner]).sum(axis=1) > BACK_COS
        deep = np.zeros(len(node))
        np.maximum.at(deep, owner[back], length[runs.of_edge[edge[half[back]]]])
        sides.append(deep)
    return np.sort(np.stack(sides, axis=1), axis=1)


def _on_drawn_lines(bridges: list[Bridge], tree: shapely.STRtree) -> list[tuple[bool, bool]]:
    """Which of the two lines of a bridge are drawn already: a threshold, a sill, or a wall's face."""
    if not bridges:
        return []
    lines = np.concatenate([b.lines for b in bridges])
    middle = shapely.points((lines[:, :2] + lines[:, 2:]) / 2)
    at, _ = tree.query(middle, predicate="dwithin", distance=SAME_MM)
    drawn = np.isin(np.arange(len(lines)), at).reshape(-1, 2)
    return [(bool(first), bool(second)) for first, second in drawn.tolist()]


def _anchored(graph: Graph, caps: Caps, bridges: list[Bridge]) -> NDArray[np.bool_]:
    """For each wall end whether it is of a wall, or of a pier in a row of such, each in line with the next, that
    starts at a wall."""
    piece = components(len(graph.xy), graph.edges[:, 0], graph.edges[:, 1])
    rows = np.array([b.key for b in bridges if b.in_line], np.int64).reshape(-1, 2)
    row = components(len(graph.xy), piece[caps.a[rows[:, 0]]], piece[caps.a[rows[:, 1]]])[piece]
    walled = np.zeros(len(graph.xy), bool)
    walled[row[~_piers(graph)]] = True
    return np.asarray(walled[row[caps.a]])


def _piers(graph: Graph) -> NDArray[np.bool_]:
    """For each node whether it is on something small that touches nothing else, and that is no elbow of a wall, as
    between two windows beside the corner of a house."""
    group = components(len(graph.xy), graph.edges[:, 0], graph.edges[:, 1])
    low, high = np.full((len(group), 2), np.inf), np.full((len(group), 2), -np.inf)
    np.minimum.at(low, group, graph.xy)
    np.maximum.at(high, group, graph.xy)
    small = np.asarray((high - low).max(axis=1) <= PIER_MM)
    large = small & ((high - low).min(axis=1) >= ELBOW_MM)
    if large[group].any():
        small[_elbows(graph, group, large)] = False
    return np.asarray(small[group])


def _elbows(graph: Graph, group: Ints, large: Bools) -> Ints:
    """Which of these groups of nodes are elbows: rings of six corners, one of which lies well within the others."""
    degree = np.bincount(graph.edges.ravel(), minlength=len(graph.xy))
    found = []
    for k in np.unique(group[large[group]]).tolist():
        own = np.flatnonzero(group == k)
        hull = shapely.multipoints(graph.xy[own]).convex_hull
        within = shapely.distance(shapely.points(graph.xy[own]), hull.boundary) >= INNER_MM
        if (degree[own] == 2).all() and within.sum() == 1:
            found.append(k)
    return np.array(found, np.int64)


def _build(
    graph: Graph,
    runs: Runs,
    caps: Caps,
    hits: list[tuple[Floats, Ints]],
    cap_of_run: dict[int, int],
    p: Floats,
    q: Floats,
) -> list[Bridge]:
    (ta, ea), (tb, eb) = hits
    span = graph.xy[caps.b] - graph.xy[caps.a]
    wide = np.hypot(span[:, 0], span[:, 1])
    good = np.isfinite(ta) & np.isfinite(tb) & (np.minimum(ta, tb) >= NARROWEST_MM)
    with np.errstate(invalid="ignore"):
        good &= np.abs(ta - tb) <= np.maximum(wide, 100.0)
    for e in (ea, eb):
        d = q[e] - p[e]
        square = np.abs(caps.out[:, 0] * d[:, 1] - caps.out[:, 1] * d[:, 0])
        good &= square >= GRAZING_SINE * np.hypot(d[:, 0], d[:, 1])
    seen: dict[tuple[int, int], Bridge] = {}
    for k in np.flatnonzero(good).tolist():
        bridge = _bridge(graph, runs, caps, k, (int(ea[k]), int(eb[k])), cap_of_run, float(wide[k]))
        if bridge is not None:
            old = seen.get(bridge.key)
            if old is None or bridge.thickness_mm < old.thickness_mm:
                seen[bridge.key] = bridge
    return list(seen.values())


def _going_on(bridges: list[Bridge], graph: Graph) -> list[Bridge]:
    """The bridges, those from a wall's end to a corner told where the face that ends in this corner goes on, past
    it, as the bridge does."""
    rows = [k for k, b in enumerate(bridges) if b.key[1] < 0]
    if not rows:
        return bridges
    lines = np.array([bridges[k].lines for k in rows]).reshape(-1, 4)
    way = lines[:, 2:] - lines[:, :2]
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), NARROWEST_MM)[:, None]
    at, _edge, angle = half_edges(graph.xy, graph.edges)
    line, half = shapely.STRtree(shapely.points(graph.xy[at])).query(
        shapely.points(lines[:, 2:]), predicate="dwithin", distance=SAME_MM
    )
    straight = np.cos(angle[half]) * way[line, 0] + np.sin(angle[half]) * way[line, 1]
    told = {rows[k // 2] for k in line[straight >= STRAIGHT_ON_SINE].tolist()}
    return [b._replace(goes_on=k in told) for k, b in enumerate(bridges)]


def _grazing(out: Floats, p: Floats, q: Floats, rows: tuple[int, int]) -> bool:
    for row in rows:
        d = q[row] - p[row]
        if abs(out[0] * d[1] - out[1] * d[0]) < GRAZING_SINE * np.hypot(*d):
            return True
    return False


def _bridge(
    graph: Graph, runs: Runs, caps: Caps, k: int, rows: tuple[int, int], cap_of_run: dict[int, int], thickness: float
) -> Bridge | None:
    xy, out = graph.xy, caps.out[k]
    target_runs = {int(runs.of_edge[row]) for row in rows}
    facing = -1
    if len(target_runs) == 1:
        facing = cap_of_run.get(target_runs.pop(), -1)
        if facing >= 0 and float(caps.out[facing] @ out) > -0.7:
            facing = -1
    lines, widths, in_line = [], [], facing >= 0
    for node, row in ((int(caps.a[k]), rows[0]), (int(caps.b[k]), rows[1])):
        end = _landing(xy, node, out, graph.edges[row], caps, facing)
        if end is None:
            return None
        x, y = xy[node].tolist()
        lines.append((x, y, *end))
        in_line &= facing >= 0 and any(math.dist(end, c) <= SAME_MM for c in xy[[caps.a[facing], caps.b[facing]]])
        widths.append((end[0] - x) * float(out[0]) + (end[1] - y) * float(out[1]))
    width = sum(widths) / 2
    if width < NARROWEST_MM:
        return None
    key = (min(k, facing), max(k, facing)) if facing >= 0 else (k, -1)
    return Bridge(np.array(lines), width, thickness, key, in_line=in_line and lines[0][2:] != lines[1][2:])


def _landing(xy: Floats, node: int, out: Floats, edge: Ints, caps: Caps, facing: int) -> tuple[float, float] | None:
    """Where the face that ends at ``node`` lands: an end of the facing wall where the two are in
    line, else the point straight ahead."""
    (x, y), (ox, oy) = xy[node].tolist(), out.tolist()
    if facing >= 0:
        for corner in (caps.a[facing], caps.b[facing]):
            cx, cy = xy[corner].tolist()
            if abs(ox * (cy - y) - oy * (cx - x)) <= ALIGN_MM:
                return cx, cy
    (px, py), (qx, qy) = xy[edge].tolist()
    cross = ox * (qy - py) - oy * (qx - px)
    if abs(cross) < 1e-9:
        return None
    t = ((px - x) * (qy - py) - (py - y) * (qx - px)) / cross
    hit = (x + ox * t, y + oy * t)
    along = ((hit[0] - px) * (qx - px) + (hit[1] - py) * (qy - py)) / math.dist((px, py), (qx, qy)) ** 2
    near, corner_xy = min((math.dist(c, hit), c) for c in ((px, py), (qx, qy)))
    if near <= SAME_MM or (near <= ALIGN_MM and not 0 <= along <= 1):
        return corner_xy
    return hit


def line_bridges(
    graph: Graph, runs: Runs, loose: Loose, reach_mm: float = REACH_MM, corners: bool = False
) -> list[Bridge]:
    """A bridge for every single line that stops and looks at another line within reach; ``corners``: two that end
    just short of their corner are joined there too."""
    if not len(loose.node):
        return []
    xy, edges = graph.xy, graph.edges
    tree = shapely.STRtree(shapely.linestrings(xy[edges]))
    p, q = xy[edges[:, 0]], xy[edges[:, 1]]
    start = xy[loose.node]
    reach = np.full(len(start), reach_mm)
    partner = _opposite(xy, loose, reach_mm, CORNER_MM if corners else 0.0)
    t, hit = first_hits(start + loose.out * 0.05, loose.out, reach, p, q, tree, loose.run, runs.of_edge)
    seen: dict[tuple[int, int], Bridge] = {}
    for k in range(len(start)):
        other = int(partner[k])
        ahead = float((start[other] - start[k]) @ loose.out[k]) if other >= 0 else np.inf
        if other >= 0 and ahead <= t[k] + ALIGN_MM:
            key = (min(k, other), max(k, other))
            straight = float(loose.out[k] @ loose.out[other]) < -BACK_COS
            seen[key] = Bridge(np.array([(*start[k], *start[other])]), ahead, 0.0, key, in_line=straight)
        elif (
            np.isfinite(t[k]) and t[k] >= NARROWEST_MM and not _grazing(loose.out[k], p, q, (int(hit[k]), int(hit[k])))
        ):
            end = start[k] + loose.out[k] * (t[k] + 0.05)
            seen[(k, -1)] = Bridge(np.array([(*start[k], *end)]), float(t[k]), 0.0, (k, -1))
    return list(seen.values())


CORNER_MM = 60.0
"""Two lines that end so near to each other were meant to meet in a corner."""


def _opposite(xy: Floats, loose: Loose, reach_mm: float, corner_mm: float) -> Ints:
    """For each loose end the nearest other one in line with it that looks back at it, or at a corner that is not quite
    closed looks another way; -1 for none."""
    start = xy[loose.node]
    # Along the way of each alone: all within reach of each other are too many among ten thousands.
    ways = shapely.linestrings(np.stack([start, start + loose.out * reach_mm], axis=1))
    i, j = shapely.STRtree(shapely.points(start)).query(ways, predicate="dwithin", distance=ALIGN_MM + SAME_MM)
    keep = (i != j) & (np.hypot(*(start[j] - start[i]).T) <= reach_mm)
    i, j = i[keep], j[keep]
    w = xy[loose.node[j]] - xy[loose.node[i]]
    ahead = (w * loose.out[i]).sum(axis=1)
    aside = np.abs(loose.out[i, 0] * w[:, 1] - loose.out[i, 1] * w[:, 0])
    turn = (loose.out[i] * loose.out[j]).sum(axis=1)
    back = turn < -np.cos(np.radians(6.0))
    corner = (np.abs(turn) < np.sin(np.radians(6.0))) & (ahead <= corner_mm)
    fits = (ahead >= NARROWEST_MM) & (aside <= ALIGN_MM) & (back | corner)
    i, j, ahead = i[fits], j[fits], ahead[fits]
    partner = np.full(len(loose.node), -1)
    for k in np.argsort(-ahead, kind="stable"):
        partner[i[k]] = j[k]
    return partner


SAME_CENTRE_MM = 20.0
SAME_RADIUS_MM = 15.0
"""Two arcs are of one wall face when their centres and radii differ by less."""


class _End(NamedTuple):
    """A wall's end on two circles: which cap, its nodes inside and outside, centre, both radii, angle,
    and whether the wall would go on anticlockwise."""

    cap: int
    inner: int
    outer: int
    centre: complex
    radii: tuple[float, float]
    angle: float
    onward: bool


def round_bridges(graph: Graph, caps: Caps, lines: Lines) -> list[Bridge]:
    """A bridge for each pair of ends that look at each other along the circles of a curved wall, with
    chords for its faces. ``lines``: what the graph was made of."""
    ends = _ends(graph, caps, lines)
    by_place: dict[tuple[int, int], list[_End]] = {}
    for end in ends:
        by_place.setdefault(_cell(end.centre), []).append(end)
    found = []
    for end in ends:
        if not end.onward:
            continue
        x, y = _cell(end.centre)
        near = [
            o for dx in (-1, 0, 1) for dy in (-1, 0, 1) for o in by_place.get((x + dx, y + dy), ()) if _same(end, o)
        ]
        gap, other = min(
            (((o.angle - end.angle) % math.tau, o) for o in near), key=lambda g: g[0], default=(math.inf, end)
        )
        width = 2 * end.radii[0] * math.sin(min(gap, math.pi) / 2)
        if gap >= math.pi or other.onward or not 1.0 < width <= REACH_MM:
            continue
        nodes = ((end.inner, other.inner), (end.outer, other.outer))
        chords = np.array([(*graph.xy[a], *graph.xy[b]) for a, b in nodes])
        key = (min(end.cap, other.cap), max(end.cap, other.cap))
        found.append(Bridge(chords, width, end.radii[1] - end.radii[0], key))
    return found


def _cell(centre: complex) -> tuple[int, int]:
    return round(centre.real / SAME_CENTRE_MM), round(centre.imag / SAME_CENTRE_MM)


def _same(a: _End, b: _End) -> bool:
    return (
        a is not b
        and abs(a.centre - b.centre) <= SAME_CENTRE_MM
        and all(abs(p - q) <= SAME_RADIUS_MM for p, q in zip(a.radii, b.radii, strict=True))
    )


def _ends(graph: Graph, caps: Caps, lines: Lines) -> list[_End]:
    if not len(lines.arcs) or not len(caps.a):
        return []
    circle = _circle_of_nodes(graph, lines)
    centres = arc_centres(lines.arcs)
    radii = np.abs(centres - (lines.arcs[:, 0] + 1j * lines.arcs[:, 1]))
    found = []
    for k, (a, b) in enumerate(zip(caps.a.tolist(), caps.b.tolist(), strict=True)):
        first, second = int(circle[a]), int(circle[b])
        if first < 0 or second < 0 or abs(centres[first] - centres[second]) > SAME_CENTRE_MM:
            continue
        if radii[first] > radii[second]:
            a, b, first, second = b, a, second, first
        centre = complex(centres[first])
        at = complex(*graph.xy[a])
        turn = ((at - centre).conjugate() * complex(*caps.out[k])).imag
        found.append(
            _End(k, a, b, centre, (float(radii[first]), float(radii[second])), float(np.angle(at - centre)), turn > 0)
        )
    return found


def _circle_of_nodes(graph: Graph, lines: Lines) -> Ints:
    """For each node the row of an arc that ends there, or -1."""
    known = (graph.source >= 0) & (graph.source < len(lines.arc))
    arc = np.full(len(graph.edges), -1)
    arc[known] = lines.arc[graph.source[known]]
    circle = np.full(len(graph.xy), -1)
    round_edges = np.flatnonzero(arc >= 0)
    circle[graph.edges[round_edges].ravel()] = np.repeat(arc[round_edges], 2)
    return circle
