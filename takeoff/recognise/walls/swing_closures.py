"""Doors that stand in no gap that was found, closed by their swings alone: between posts with bevelled corners, in
corners, in walls whose ends are drawn in no common way."""

from __future__ import annotations

import itertools

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.plan.reasons import because
from takeoff.recognise.walls.believed_gaps import Gap, quad_of
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.opening_evidence import Swings

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SERVED_MM = 250.0
"""A swing whose hinge and one end lie this near to a gap that is closed is that gap's, unless that is a window."""
SHUT_MM, OPPOSITE = 60.0, -0.9
"""The two leaves of a pair shut this near to each other, from opposite sides."""
FRAME_MM = 200.0
"""A frame between a leaf and its wall is no wider (common practice, no source)."""
BESIDE_MM = 12.0
"""A wall that ends this far beside the line of a shut leaf is met by it: few swings are drawn quite square."""
CLEAR_MM, CLEAR_PART = 30.0, 0.1
"""Where lines of walls run nearer than this to more of a shut leaf, it is drawn against a wall: it stands open."""
FACE_MM, FACE_PART = 350.0, 0.8
"""Where a wall's face is drawn all along the way, the wall is closed already."""
ALONG_STEPS, LEVEL = 20, 0.95


def swing_gaps(graph: Graph, swings: Swings, gaps: list[Gap]) -> list[Gap]:
    """A gap for each swing, or pair of swings, that none of ``gaps`` serves: one line from wall to wall through its
    hinge along its leaf when shut. None where walls do not stand at both ends of that line, where both ways of
    a leaf could be the shut one, or where it would cross a gap that is closed."""
    if not len(swings.hinge) or not len(graph.edges):
        return []
    free = np.ones(len(swings.hinge), bool)
    served = np.array([g.quad for g in gaps if g.kind != "window"], dtype=object)
    if len(served):
        hinges = shapely.STRtree(shapely.points(swings.hinge))
        at, row = hinges.query(served, predicate="dwithin", distance=SERVED_MM)
        tips = shapely.multipoints(swings.ends[row])
        free[row[shapely.dwithin(served[at], tips, SERVED_MM)]] = False
    rows = np.flatnonzero(free)
    drawn = shapely.linestrings(graph.xy[graph.edges])
    tree = shapely.STRtree(drawn)
    taken: set[int] = set()
    found: list[Gap] = []
    pairs = _pairs(swings, rows)
    for side_by_side in [[pair] for pair in pairs] + _pairs_in_rows(swings, pairs):
        own = {k for pair in side_by_side for k in pair}
        if own & taken:
            continue
        first, last = swings.hinge[side_by_side[0][0]], swings.hinge[side_by_side[-1][1]]
        line = _from_wall_to_wall(drawn, tree, first, last)
        if line is not None:
            taken |= own
            found += [_gap(part, because("pair-of-doors")) for part in _parted(line, swings, side_by_side)]
    for row in rows.tolist():
        if row not in taken:
            lines = [_from_wall_to_wall(drawn, tree, swings.hinge[row], swings.ends[row, k]) for k in (0, 1)]
            shut = [line for line in lines if line is not None]
            if len(shut) == 1:
                found.append(_gap(shut[0], because("swing")))
    crossed = shapely.STRtree([g.quad for g in gaps]) if gaps else None
    lines_of = [shapely.LineString(g.bridge.lines.reshape(2, 2)) for g in found]
    return [
        g
        for g, line in zip(found, lines_of, strict=True)
        if crossed is None or not len(crossed.query(line, predicate="intersects"))
    ]


def _pairs(swings: Swings, rows: Ints) -> list[tuple[int, int]]:
    """Swings that shut against each other: an end of both in one place, the hinges on both sides of it."""
    found = []
    tips = swings.ends[rows].reshape(-1, 2)
    points = shapely.points(tips)
    for i, j in shapely.STRtree(points).query(points, predicate="dwithin", distance=SHUT_MM).T.tolist():
        a, b = int(rows[i // 2]), int(rows[j // 2])
        u, v = tips[i] - swings.hinge[a], tips[j] - swings.hinge[b]
        if a < b and float(u @ v) < OPPOSITE * float(np.hypot(*u) * np.hypot(*v)):
            found.append((a, b))
    return found


def _pairs_in_rows(swings: Swings, pairs: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    """Pairs side by side in one line, as in the front of a large hall, each with the next one's hinge a post beside
    its own, from one end of the row to the other."""
    both = [*pairs, *((b, a) for a, b in pairs)]
    after: dict[tuple[int, int], tuple[int, int]] = {}
    for one in both:
        way = swings.hinge[one[1]] - swings.hinge[one[0]]
        for other in both:
            step = swings.hinge[other[0]] - swings.hinge[one[1]]
            goes_on = swings.hinge[other[1]] - swings.hinge[other[0]]
            straight = float(way @ goes_on) > -OPPOSITE * float(np.hypot(*way) * np.hypot(*goes_on))
            if straight and not {*one} & {*other} and float(np.hypot(*step)) <= FRAME_MM:
                after[one] = other
    found = []
    for first in after.keys() - set(after.values()):
        row = [first]
        while row[-1] in after and after[row[-1]] not in row:
            row.append(after[row[-1]])
        found.append(row)
    return sorted(row for row in found if row[0] < row[-1][::-1])


def _parted(
    line: tuple[float, float, float, float], swings: Swings, row: list[tuple[int, int]]
) -> list[tuple[float, float, float, float]]:
    """The line across a row of pairs, a part for each: they meet half way between the hinges beside a post."""
    posts = [(swings.hinge[a[1]] + swings.hinge[b[0]]) / 2 for a, b in itertools.pairwise(row)]
    places = [line[:2], *((float(x), float(y)) for x, y in posts), line[2:]]
    return [(*a, *b) for a, b in itertools.pairwise(places)]


def _from_wall_to_wall(
    drawn: NDArray[np.object_], tree: shapely.STRtree, start: Floats, end: Floats
) -> tuple[float, float, float, float] | None:
    """The line through two points, on both sides up to the walls that stand within a frame's width of them; None
    without such, or where walls run along it."""
    way = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
    inner = shapely.LineString([start + way * FRAME_MM / 2, end - way * FRAME_MM / 2])
    if _along(drawn, tree, inner, way, CLEAR_MM) > CLEAR_PART or _along(drawn, tree, inner, way, FACE_MM) > FACE_PART:
        return None
    places = []
    for point, out in ((start, -way), (end, way)):
        probe = shapely.LineString([point - out * FRAME_MM / 2, point + out * FRAME_MM])
        hits = tree.query(probe, predicate="dwithin", distance=BESIDE_MM)
        if not len(hits):
            return None
        spots = shapely.get_coordinates(shapely.shortest_line(drawn[hits], probe)).reshape(-1, 2, 2)[:, 0]
        places.append(spots[np.argmin(np.hypot(*(spots - point).T))])
    return (*places[0].tolist(), *places[1].tolist())


def _along(
    drawn: NDArray[np.object_], tree: shapely.STRtree, line: shapely.LineString, way: Floats, near_mm: float
) -> float:
    """Which part of a line others run along, no farther from it than that."""
    zone = line.buffer(near_mm, cap_style="flat")
    pieces = shapely.get_parts(shapely.intersection(drawn[tree.query(zone, predicate="intersects")], zone))
    start, whole = np.array(line.coords[0]), float(line.length)
    covered = np.zeros(ALONG_STEPS, bool)
    at = (np.arange(ALONG_STEPS) + 0.5) / ALONG_STEPS * whole
    for piece in pieces[shapely.length(pieces) > 0]:
        t = (shapely.get_coordinates(piece) - start) @ way
        if t.max() - t.min() > LEVEL * piece.length:
            covered |= (at >= t.min()) & (at <= t.max())
    return float(covered.mean())


def _gap(line: tuple[float, float, float, float], why: str) -> Gap:
    width = float(np.hypot(line[2] - line[0], line[3] - line[1]))
    bridge = Bridge(np.array([line]), width, 0.0, (-1, -1))
    return Gap(bridge, "door", True, (why,), -1, quad_of(bridge))
