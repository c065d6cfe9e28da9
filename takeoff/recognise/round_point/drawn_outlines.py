"""The outline of what was reached from a point, exactly as its lines are drawn, its mouths shut from jamb to jamb."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph, node
from takeoff.recognise.round_point.reached_ground import Field, Reached
from takeoff.recognise.walls.enclosed_faces import enclose

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

BESIDE_MM = 300.0
MOST_ASKED = 1500
COVERED, SAME = 0.5, 0.8
AS_SHORT = 1.08
"""Of the lines across a mouth one from corner to corner is taken before one that is shorter by less."""


class Outline(NamedTuple):
    """``polygon`` in mm near the origin; ``graph``: its lines; ``arc``: which arc each of those given came from, -1 for
    none; ``shut`` (k, 4) the lines across its mouths."""

    polygon: shapely.Polygon
    graph: Graph
    arc: Ints
    shut: Floats


def outlines(xy: Floats, arc: Ints, ground: Field, found: Reached, of_walls: bool) -> list[Outline]:
    """The outline of what was reached among lines (n, 4), then with what stands along its walls; empty where the
    lines give none like it. ``arc`` (n,): the arc that each line is a piece of, -1 for none; ``of_walls``: only
    lines that are taken for walls are among them."""
    size = ground.size_mm
    low = np.array(ground.low) + np.array(found.at[::-1]) * size
    high = low + np.array(found.inside.shape[::-1]) * size
    a, b = np.minimum(xy[:, :2], xy[:, 2:]), np.maximum(xy[:, :2], xy[:, 2:])
    rows = np.flatnonzero(((a <= high + BESIDE_MM) & (b >= low - BESIDE_MM)).all(axis=1))
    graph = node(xy[rows])
    shut = _shut(graph, ground, found)
    if len(shut):
        graph = node(np.concatenate([xy[rows], shut]))
    polygons, left, right = enclose(graph)
    spots = np.argwhere(found.inside)
    count = len(spots)
    spots = spots[:: max(1, count // MOST_ASKED)]
    points = shapely.points(low + (spots[:, ::-1] + 0.5) * size)
    if not len(polygons):
        return []
    of_face, _ = shapely.STRtree(points).query(polygons, predicate="contains")
    each = size * size * count / len(spots)
    area = shapely.area(polygons)
    own = np.bincount(of_face, minlength=len(polygons)) * each >= COVERED * area
    if not own.any():
        return []
    polygon = _whole(polygons[own], of_walls)
    reached_mm2 = count * size * size
    bare = float(shapely.area(polygons[own]).sum())
    if min(reached_mm2, bare) < SAME * max(reached_mm2, bare):
        return []
    arc = np.concatenate([arc[rows], np.full(len(shut), -1)])
    made = [Outline(polygon, graph, arc, shut)]
    more = _with_attached(graph, polygons, left, right, own)
    if more.sum() > own.sum():
        made.append(Outline(_whole(polygons[more], of_walls), graph, arc, shut))
    return made


THIN_MM, ATTACHED_MM2 = 330.0, 4e6
FREE_MM2, FREE_MM = 3.3e6, 500.0
"""A face of more ground that is wider on average is another room, or the open."""
BODY_MM, ENCLOSED = 250.0, 0.8
"""What is thinner on average may be the body of a wall, but for where the room lies round so much of it."""
COLUMN_MM2 = 2e4


def _with_attached(graph: Graph, polygons: NDArray[np.object_], left: Ints, right: Ints, own: Bools) -> Bools:
    """The faces with those of what stands along the walls: no larger than a bath or a cupboard, and with nothing but
    the room and walls beside it. A wall has another room behind it, or the open."""
    area, border = shapely.area(polygons), shapely.length(polygons)
    length = np.hypot(*(graph.xy[graph.edges[:, 1]] - graph.xy[graph.edges[:, 0]]).T)
    fat = 2 * area / border
    whole = own.copy()
    free = (area >= FREE_MM2) & (fat >= FREE_MM) & ~own
    outside = np.zeros(len(area), bool)
    for one, other in ((left, right), (right, left)):
        beside = (one >= 0) & (other >= 0) & free[np.maximum(other, 0)] & (one != other)
        outside[one[beside]] = True
    may = ~outside & ~free & (area <= ATTACHED_MM2)
    both = (left >= 0) & (right >= 0) & (left != right)
    a, b, length = left[both], right[both], length[both]
    for _ in range(3):
        shared = np.bincount(a, length * whole[b], len(area)) + np.bincount(b, length * whole[a], len(area))
        new = ~whole & may & (shared > 0) & ((fat >= BODY_MM) | (shared >= ENCLOSED * border))
        if not new.any():
            break
        whole |= new
    return whole


def _whole(polygons: NDArray[np.object_], of_walls: bool) -> shapely.Polygon:
    """The largest part of these faces together, without holes but for those of piers and walls that stand in it."""
    whole = max(shapely.get_parts(shapely.union_all(polygons)), key=lambda p: float(p.area))
    holes = []
    for ring in whole.interiors:
        hole = shapely.Polygon(ring)
        if of_walls and hole.area >= COLUMN_MM2 and 2 * hole.area / hole.length < THIN_MM:
            holes.append(ring)
    return shapely.Polygon(whole.exterior, holes)


def _shut(graph: Graph, ground: Field, found: Reached) -> Floats:
    """The shortest line across each mouth, from corner to corner, or from a corner square to the line opposite."""
    if not found.mouths or not len(graph.edges):
        return np.zeros((0, 4))
    lines = shapely.linestrings(graph.xy[graph.edges])
    tree, nodes = shapely.STRtree(lines), shapely.points(graph.xy)
    ends = shapely.STRtree(nodes)
    made = []
    reach = 2.0 * ground.size_mm
    for mouth in found.mouths:
        spots = [shapely.multipoints(np.array(ground.low) + (m[:, ::-1] + 0.5) * ground.size_mm) for m in mouth]
        rows = [np.sort(ends.query(s, predicate="dwithin", distance=reach)) for s in spots]
        corners = [graph.xy[r] for r in rows]
        aside = [shapely.distance(nodes[r], s) for r, s in zip(rows, spots, strict=True)]
        sides = [lines[np.sort(tree.query(s, predicate="dwithin", distance=reach))] for s in spots]
        best = _across(corners, aside, sides)
        if best is not None:
            made += _round_corner(best, lines, tree) or [best]
    return np.array(made).reshape(-1, 4)


RUN_MM, RUNS_ON_MM, ALONG_SINE, SQUARE_COSINE = 150.0, 3000.0, 0.2, 0.1
"""A wall's face is at least so long, and runs on so far; a line across a mouth within 12 degrees of it goes on along
it; two faces within 6 degrees of a right angle meet in a corner."""


def _round_corner(
    line: tuple[float, ...], lines: NDArray[np.object_], tree: shapely.STRtree
) -> list[tuple[float, ...]]:
    """Two lines in place of one that runs askew across the corner of a room in which both walls have a gap: their faces
    run on and meet. None where it is no such corner."""
    p, q = np.array(line[:2]), np.array(line[2:])
    way = (q - p) / max(float(np.hypot(*(q - p))), 1e-9)
    found = []
    for end in (p, q):
        own = lines[tree.query(shapely.Point(end), predicate="dwithin", distance=1.0)]
        ends = shapely.get_coordinates(own).reshape(-1, 2, 2)
        long = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        ends, long = ends[long >= RUN_MM], long[long >= RUN_MM]
        if not len(ends):
            return []
        found.append((ends[:, 1] - ends[:, 0]) / long[:, None])
    best: tuple[float, Floats] | None = None
    for u in found[0]:
        for v in found[1]:
            along = min(abs(u[0] * way[1] - u[1] * way[0]), abs(v[0] * way[1] - v[1] * way[0]))
            if abs(float(u @ v)) > SQUARE_COSINE or along < ALONG_SINE:
                continue
            corner = p + u * float((q - p) @ u)
            reach = max(float(np.hypot(*(corner - p))), float(np.hypot(*(corner - q))))
            if reach <= RUNS_ON_MM and (best is None or reach < best[0]):
                best = reach, corner
    if best is None:
        return []
    corner = best[1]
    return [(*p.tolist(), *corner.tolist()), (*corner.tolist(), *q.tolist())]


def _across(corners: list[Floats], aside: list[Floats], sides: list[NDArray[np.object_]]) -> tuple[float, ...] | None:
    """The shortest line from a corner on one side to one on the other, or square to a line there; of two that are all
    but as short that from the corner which is nearer to what was touched (``aside``, mm)."""
    best: tuple[float, tuple[float, ...]] | None = None
    one, other = corners
    if len(one) and len(other):
        far = np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1)) / AS_SHORT
        far += aside[0][:, None] + aside[1][None]
        i, j = np.unravel_index(int(far.argmin()), far.shape)
        best = float(far[i, j]), (*one[i].tolist(), *other[j].tolist())
    for own, off_mm, lines in ((one, aside[0], sides[1]), (other, aside[1], sides[0])):
        if not len(own) or not len(lines):
            continue
        points = shapely.points(own)
        off = shapely.distance(points[:, None], lines[None]) + off_mm[:, None]
        i, j = np.unravel_index(int(off.argmin()), off.shape)
        if best is None or off[i, j] < best[0]:
            foot = shapely.get_coordinates(shapely.shortest_line(points[i], lines[j]))[1]
            best = float(off[i, j]), (*own[i].tolist(), *foot.tolist())
    if best is None and len(sides[0]) and len(sides[1]):
        line = shapely.shortest_line(shapely.multilinestrings(list(sides[0])), shapely.multilinestrings(list(sides[1])))
        best = float(line.length), tuple(shapely.get_coordinates(line).ravel().tolist())
    return best[1] if best is not None and best[0] > 0 else None
