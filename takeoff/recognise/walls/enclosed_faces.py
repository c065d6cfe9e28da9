"""What linework encloses, and which of it is wall, gap in a wall, or space."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import JOIN_MM, TOUCH_MM, Graph, node
from takeoff.recognise.walls.believed_gaps import Gap

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

BODY_MM = 350.0
"""What is on average thinner than this (2·area/perimeter) is the body of a wall."""
THICK_BODY_MM = 650.0
"""Up to this width an unnamed strip with space on both long sides is a thick wall."""
THICK_CORE = 0.05
"""A thick wall is wider than that in no more than this part of it: where piers and walls meet."""
EVEN = 0.8
"""Room words of a drawing whose walls are closed outlines lie outside those, but for a few."""
BRIDGED = 1 << 30
"""Edge sources from here on are bridges: BRIDGED + the gap's number."""
CUT_JOIN_MM = 0.1
"""Ends this near to each other are joined where bridges are drawn in."""


class Faces(NamedTuple):
    """``polygons`` (f,); ``left``, ``right``: the faces beside each edge of ``graph`` (-1: none);
    ``area``, ``perimeter``, ``width`` (f,); ``body`` (f,): wall; ``gap`` (f,): number of the gap
    a face fills, or -1."""

    graph: Graph
    polygons: NDArray[np.object_]
    left: Ints
    right: Ints
    area: Floats
    perimeter: Floats
    body: Bools
    gap: Ints


def with_bridges(graph: Graph, gaps: list[Gap], first: int = 0) -> Graph:
    """The graph with the bridges drawn in, gaps numbered from ``first``; only edges they touch are
    cut again."""
    if not gaps:
        return graph
    lines = np.concatenate([g.bridge.lines for g in gaps])
    owner = np.concatenate([np.full(len(g.bridge.lines), k) for k, g in enumerate(gaps)])
    drawn = shapely.linestrings(lines.reshape(-1, 2, 2))
    edges = shapely.linestrings(graph.xy[graph.edges])
    _, touched = shapely.STRtree(edges).query(drawn, predicate="dwithin", distance=0.1)
    touched = np.unique(touched)
    stubs = _stubs(graph, drawn)
    # Bridges first: where glazing runs exactly along one, the edge is the bridge's.
    local = np.concatenate([lines, graph.xy[graph.edges[touched]].reshape(-1, 4), stubs])
    source = np.concatenate([BRIDGED + first + owner, graph.source[touched], np.full(len(stubs), -1)])
    cut = node(local, join_mm=CUT_JOIN_MM)
    rest = np.ones(len(graph.edges), bool)
    rest[touched] = False
    xy = np.concatenate([_as_cut(graph.xy, cut.xy), cut.xy])
    both = np.concatenate([graph.edges[rest], cut.edges + len(graph.xy)])
    origin = np.concatenate([graph.source[rest], np.where(cut.source >= 0, source[cut.source], -1)])
    return _one_node_per_place(xy, both, origin)


def _as_cut(xy: Floats, cut: Floats) -> Floats:
    """The nodes, those that cutting again has joined to others in their new places: what is not cut again goes on
    from there, and no slit is left."""
    moved = xy.copy()
    if len(cut):
        points = shapely.points(cut)
        node_of, near = shapely.STRtree(points).query_nearest(
            shapely.points(xy), max_distance=CUT_JOIN_MM, all_matches=False
        )
        moved[node_of] = cut[near]
    return moved


def _stubs(graph: Graph, drawn: NDArray[np.object_]) -> Floats:
    """(k, 4): from linework that stops just short of a bridge, as it did of the glass that the bridge
    stands for, to the bridge."""
    used = np.unique(graph.edges)
    points = shapely.points(graph.xy[used])
    k, at = shapely.STRtree(points).query(drawn, predicate="dwithin", distance=JOIN_MM)
    if not len(at):
        return np.zeros((0, 4))
    along, whole = shapely.line_locate_point(drawn[k], points[at]), shapely.length(drawn[k])
    foot = shapely.get_coordinates(shapely.line_interpolate_point(drawn[k], along))
    away = np.hypot(*(foot - graph.xy[used[at]]).T) > TOUCH_MM
    away &= (along > JOIN_MM) & (along < whole - JOIN_MM)
    return np.concatenate([graph.xy[used[at[away]]], foot[away]], axis=1)


def _one_node_per_place(xy: Floats, edges: Ints, source: Ints) -> Graph:
    keys = np.round(xy / TOUCH_MM).astype(np.int64)
    _, first, number = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    edges = number.reshape(-1)[edges]
    alive = edges[:, 0] != edges[:, 1]
    return Graph(xy[first], edges[alive], source[alive])


def enclose(graph: Graph) -> tuple[NDArray[np.object_], Ints, Ints]:
    """(polygons, left, right): what the graph encloses and the faces beside each edge."""
    none = np.full(len(graph.edges), -1)
    if not len(graph.edges):
        return np.zeros(0, object), none, none
    lines = shapely.linestrings(graph.xy[graph.edges])
    polygons = shapely.get_parts(shapely.polygonize(lines))
    if not len(polygons):
        return polygons, none, none
    left, right = _beside(graph, polygons)
    return polygons, left, right


def _beside(graph: Graph, polygons: NDArray[np.object_]) -> tuple[Ints, Ints]:
    rings, face = shapely.get_rings(polygons, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    node_of = nodes_at(graph, xy)
    same = ring[1:] == ring[:-1]
    start, end, owner = node_of[:-1][same], node_of[1:][same], face[ring[:-1][same]]
    key = _edge_key(graph.edges[:, 0], graph.edges[:, 1], len(graph.xy))
    order = np.argsort(key, kind="stable")
    place = order[np.searchsorted(key[order], _edge_key(start, end, len(graph.xy)))]
    orientation = shapely.is_ccw(rings)[ring[:-1][same]]
    outer = np.zeros(len(rings), bool)
    outer[np.unique(face, return_index=True)[1]] = True
    inside_left = orientation == outer[ring[:-1][same]]
    forward = graph.edges[place, 0] == start
    left = np.full(len(graph.edges), -1)
    right = np.full(len(graph.edges), -1)
    on_left = forward == inside_left
    left[place[on_left]] = owner[on_left]
    right[place[~on_left]] = owner[~on_left]
    return left, right


def nodes_at(graph: Graph, xy: Floats) -> Ints:
    """The node of each place; every place is a node exactly."""
    z = graph.xy[:, 0] + 1j * graph.xy[:, 1]
    order = np.argsort(z)
    found = np.searchsorted(z[order], xy[:, 0] + 1j * xy[:, 1])
    return order[np.minimum(found, len(z) - 1)]


def _edge_key(a: Ints, b: Ints, count: int) -> Ints:
    return np.minimum(a, b) * count + np.maximum(a, b)


def classify(graph: Graph, gaps: list[Gap], words: Floats, loops: NDArray[np.object_] | None = None) -> Faces:
    """Faces told into wall bodies, gaps in walls, and spaces. ``words`` (w, 2): where room names
    or areas are written, which walls do not carry; ``loops``: polygons that the drawing itself
    closes on its wall layers."""
    polygons, left, right = enclose(graph)
    area, perimeter = shapely.area(polygons), shapely.length(polygons)
    gap = _gap_of(polygons, gaps)
    bays, behind_doors = _entered(graph, left, right, gap, gaps)
    mean = 2 * area / np.maximum(perimeter, 1e-9)
    body = mean < BODY_MM
    body[gap >= 0] = False
    if loops is not None and len(loops) and len(words):
        body |= _filled(polygons, loops, words) & (gap < 0) & ~np.isin(np.arange(len(polygons)), behind_doors)
    thick = ~body & (gap < 0) & (mean < THICK_BODY_MM)
    thick[behind_doors] = False
    doubtful = np.flatnonzero(thick)
    if len(doubtful):
        body[doubtful] = _thick_bodies(graph, polygons, left, right, body | (gap >= 0), doubtful, words)
    body[bays[area[bays] >= ENTERED_M2 * 1e6]] = False
    return Faces(graph, polygons, left, right, area, perimeter, body, gap)


ENTERED_MM, ENTERED_M2 = 550.0, 0.4
"""What a way of this width opens into, and is so large, is no wall, however narrow it is, where a door leads on from
it: a bay before a cupboard; nor is what a door of this width opens into a thick wall: a closet (common practice, no
source)."""


def _entered(graph: Graph, left: Ints, right: Ints, gap: Ints, gaps: list[Gap]) -> tuple[Ints, Ints]:
    """(the faces across the lines of plain gaps that are as wide as a way, and of doors; those across the lines of
    doors that are as wide)"""
    wide = np.array([g.bridge.width_mm >= ENTERED_MM for g in gaps] or [False])
    plain = np.array([g.kind == "open" and len(g.bridge.lines) == 2 for g in gaps] or [False])
    doors = np.array([g.kind == "door" for g in gaps] or [False])
    number = graph.source - BRIDGED
    rows = np.flatnonzero((number >= 0) & (left >= 0) & (right >= 0))

    def across(chosen: Bools) -> Ints:
        own = rows[chosen[number[rows]]]
        beside = np.concatenate([left[own], right[own]])
        return np.unique(beside[gap[beside] != np.concatenate([number[own], number[own]])])

    return np.intersect1d(across(plain & wide), across(doors)), across(doors & wide)


def _filled(polygons: NDArray[np.object_], loops: NDArray[np.object_], words: Floats) -> Bools:
    """Faces inside an odd number of closed wall outlines, where that is how this drawing tells
    walls from rooms: nearly all room words then lie inside an even number."""
    tree = shapely.STRtree(loops)
    at, _ = tree.query(shapely.points(words), predicate="within")
    even = np.bincount(at, minlength=len(words)) % 2 == 0
    if even.mean() < EVEN:
        return np.zeros(len(polygons), bool)
    inside, _ = tree.query(shapely.point_on_surface(polygons), predicate="within")
    odd = np.bincount(inside, minlength=len(polygons)) % 2 == 1
    _, face = shapely.STRtree(polygons).query(shapely.points(words), predicate="within")
    odd[face] = False
    return np.asarray(odd)


def _gap_of(polygons: NDArray[np.object_], gaps: list[Gap]) -> Ints:
    gap = np.full(len(polygons), -1)
    quads = [(k, g.quad) for k, g in enumerate(gaps) if len(g.bridge.lines) == 2]
    if not quads or not len(polygons):
        return gap
    tree = shapely.STRtree(shapely.point_on_surface(polygons))
    at, face = tree.query([q for _, q in quads], predicate="contains")
    numbers = np.array([k for k, _ in quads])
    small = shapely.area(polygons[face]) <= 1.05 * shapely.area(np.array([q for _, q in quads]))[at]
    gap[face[small]] = numbers[at[small]]
    return gap


def _thick_bodies(
    graph: Graph, polygons: NDArray[np.object_], left: Ints, right: Ints, solid: Bools, doubtful: Ints, words: Floats
) -> Bools:
    """Which doubtful faces are thick walls: no word inside, hardly anywhere wider than that, and
    most of their border along space or outside rather than along other walls."""
    core = shapely.area(shapely.buffer(polygons[doubtful], -THICK_BODY_MM / 2, join_style="mitre"))
    thin = core <= THICK_CORE * shapely.area(polygons[doubtful])
    named = np.zeros(len(doubtful), bool)
    if len(words):
        at, _ = shapely.STRtree(shapely.points(words)).query(polygons[doubtful], predicate="contains")
        named[at] = True
    length = np.hypot(*(graph.xy[graph.edges[:, 1]] - graph.xy[graph.edges[:, 0]]).T)
    beside = np.zeros(len(polygons))
    for own, other in ((left, right), (right, left)):
        walled = (own >= 0) & (other >= 0) & solid[other]
        np.add.at(beside, own[walled], length[walled])
    open_part = 1 - beside[doubtful] / shapely.length(polygons[doubtful])
    return np.asarray(thin & ~named & (open_part >= 0.5))
