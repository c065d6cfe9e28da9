"""Glazed fronts: one straight side of the room from wall to wall, and one opening in it.

A front is drawn as panes with mullions between them, or as mullions alone. A room ends at its
panes: an outline that runs round every mullion would have corners and faces that nobody coats."""

from __future__ import annotations

import itertools
import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.plan.reasons import because
from takeoff.recognise.openings.opening_hosts import NARROWEST_MM, Candidate
from takeoff.recognise.walls.believed_gaps import OF_FRONTS
from takeoff.recognise.walls.enclosed_faces import BRIDGED, nodes_at
from takeoff.recognise.walls.room_spaces import panes
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

MULLION_MM = 150.0
"""What stands out of a front by less, and is narrower, is a mullion and no pier (common practice,
no source)."""
SQUARE_ENOUGH = math.sin(math.radians(30))
ALONG = math.cos(math.radians(10))
SAME_LINE_MM = 1.0
ON_LINE_MM = 0.5


class Run(NamedTuple):
    """One front of a room: its line [x0, y0, x1, y1], and the graph's edges that it was drawn with."""

    line: Floats
    edges: list[int]

    @property
    def length_mm(self) -> float:
        return float(np.hypot(*(self.line[2:] - self.line[:2])))


def straightened(xy: Floats, edge: Ints, glazed: Bools, arc: Ints) -> tuple[Floats, list[Run]]:
    """(the ring with its fronts straight, the fronts in it).

    ``xy``: a closed ring (its last point repeats its first); ``edge``, ``glazed``, ``arc``: of each
    of its pieces. Curved fronts stay as they are drawn, and are one run by arc.
    """
    n = len(edge)
    glazed = _with_mullions(xy[:-1], glazed)
    if glazed.all():
        return xy, _all_glass(xy, edge)
    first = next(i for i in range(n) if glazed[i] and not glazed[i - 1])
    turn = np.roll(np.arange(n), -first)
    points, edge, glazed, arc = xy[:-1][turn].copy(), edge[turn], glazed[turn], arc[turn]
    ring: list[Floats] = []
    runs: list[Run] = []
    i = 0
    while i < n:
        j = i
        while j < n and glazed[j] and (arc[j] == arc[i]):
            j += 1
        if j == i:
            ring.append(points[i])
            i += 1
            continue
        piece = points[np.arange(i, j + 1) % n]
        own = [int(e) for e in edge[i:j] if e >= 0]
        if arc[i] >= 0:
            ring += list(piece[:-1])
            runs.append(Run(np.concatenate([piece[0], piece[-1]]), own))
        else:
            drawn, lines = _straight_front(piece, points[i - 1], points[(j + 1) % n])
            ring += drawn[:-1]
            points[j % n] = drawn[-1]
            runs += [Run(line, own) for line in lines]
        i = j
    ring = _without_repeats(ring)
    if len(ring) < 3:
        return xy, runs
    return np.array([*ring, ring[0]]), runs


def _with_mullions(points: Floats, glazed: Bools) -> Bools:
    """Short pieces of anything between glass are mullions, on whatever layer they are."""
    glazed = glazed.copy()
    n = len(glazed)
    if glazed.all() or not glazed.any():
        return glazed
    starts = [i for i in range(n) if not glazed[i] and glazed[i - 1]]
    for start in starts:
        count = next(k for k in range(1, n) if glazed[(start + k) % n])
        rows = np.arange(start, start + count + 1) % n
        spread = points[rows] - points[start]
        if np.hypot(spread[:, 0], spread[:, 1]).max() <= MULLION_MM:
            glazed[rows[:-1]] = True
    return glazed


def _all_glass(xy: Floats, edge: Ints) -> list[Run]:
    """The fronts of a ring that is nothing but glass."""
    start = int(np.hypot(*(xy[:-1] - xy[:-1].mean(axis=0)).T).argmax())
    turned = np.roll(xy[:-1], -start, axis=0)
    turned = np.concatenate([turned, turned[:1]])
    own = np.roll(edge, -start)
    corners = _corners(turned)
    return [
        Run(np.concatenate([turned[a], turned[b]]), [int(e) for e in own[a:b] if e >= 0])
        for a, b in itertools.pairwise(corners)
    ]


def _straight_front(piece: Floats, before: Floats, after: Floats) -> tuple[list[Floats], list[Floats]]:
    """(vertices from the front's start to its end, the lines of the front between its turns)"""
    corners = _corners(piece)
    lines = [_pane_line(piece[a : b + 1]) for a, b in itertools.pairwise(corners)]
    ends = [_meet(before, piece[0], lines[0])]
    ends += [
        _crossing(one, two, piece[corner]) for one, two, corner in zip(lines, lines[1:], corners[1:], strict=False)
    ]
    ends.append(_meet(after, piece[-1], lines[-1]))
    found = [np.concatenate([a, b]) for a, b in itertools.pairwise(ends)]
    steps = _off(piece[0], ends[0], before, lines[0]), _off(piece[-1], ends[-1], after, lines[-1])
    return [*piece[:1][: steps[0]], *ends, *piece[-1:][: steps[1]]], found


def _off(drawn: Floats, moved: Floats, wall: Floats, line: tuple[Floats, Floats]) -> bool:
    """Whether a step stays where a front meets a wall that runs on along it."""
    d = wall - drawn
    length = float(np.hypot(*d))
    across = abs(float(d[0] * line[1][1] - d[1] * line[1][0])) / length if length else 0.0
    return across < SQUARE_ENOUGH and float(np.hypot(*(moved - drawn))) > ON_LINE_MM


def _corners(piece: Floats) -> list[int]:
    """Indices where a front turns, its two ends among them; mullions are no turns."""
    keep, stack = {0, len(piece) - 1}, [(0, len(piece) - 1)]
    while stack:
        i, j = stack.pop()
        if j - i < 2:
            continue
        d = piece[j] - piece[i]
        length = float(np.hypot(*d))
        inner = piece[i + 1 : j] - piece[i]
        off = (
            np.abs(inner[:, 1] * d[0] - inner[:, 0] * d[1]) / length
            if length > ON_LINE_MM
            else np.hypot(inner[:, 0], inner[:, 1])
        )
        if off.max() > MULLION_MM:
            k = i + 1 + int(off.argmax())
            keep.add(k)
            stack += [(i, k), (k, j)]
    return sorted(keep)


def _pane_line(piece: Floats) -> tuple[Floats, Floats]:
    """(point, unit direction) of the line that most of a front lies in: its panes, or the faces of
    its mullions where there are none."""
    chord = piece[-1] - piece[0]
    length = float(np.hypot(*chord))
    if length <= ON_LINE_MM:
        return piece[0], np.array([1.0, 0.0])
    chord = chord / length
    d = np.diff(piece, axis=0)
    long = np.hypot(d[:, 0], d[:, 1])
    rows = np.flatnonzero(np.abs(d @ chord) >= ALONG * np.maximum(long, 1e-9))
    if not len(rows):
        return piece[0], chord
    normal = np.array([-chord[1], chord[0]])
    level = (piece[rows] + d[rows] / 2 - piece[0]) @ normal
    weight = [float(long[rows][np.abs(level - own) <= SAME_LINE_MM].sum()) for own in level]
    best = int(np.argmax(weight))
    same = rows[np.abs(level - level[best]) <= SAME_LINE_MM]
    ends = piece[same[-1] + 1] - piece[same[0]]
    if float(np.hypot(*ends)) > MULLION_MM:
        return piece[same[0]], ends / float(np.hypot(*ends))
    own = d[rows[best]]
    return piece[rows[best]], own / float(np.hypot(*own))


def _meet(wall: Floats, end: Floats, line: tuple[Floats, Floats]) -> Floats:
    """Where the wall that a front ends at meets the front's line."""
    d = end - wall
    length = float(np.hypot(*d))
    if length > ON_LINE_MM:
        d = d / length
        cross = float(d[0] * line[1][1] - d[1] * line[1][0])
        if abs(cross) >= SQUARE_ENOUGH:
            at = _crossing((end, d), line, end)
            # A wall that is shorter than the step would turn round.
            if float((at - wall) @ d) > 0:
                return at
    return np.asarray(line[0] + line[1] * float((end - line[0]) @ line[1]))


def _crossing(one: tuple[Floats, Floats], two: tuple[Floats, Floats], near: Floats) -> Floats:
    """Where two lines cross, or the point *near* where they do not, or far from it."""
    (p, d), (q, e) = one, two
    cross = float(d[0] * e[1] - d[1] * e[0])
    if abs(cross) < 1e-6:
        return near
    t = float((q - p)[0] * e[1] - (q - p)[1] * e[0]) / cross
    at = p + d * t
    return np.asarray(at if float(np.hypot(*(at - near))) <= 3 * MULLION_MM else near)


def _without_repeats(ring: list[Floats]) -> list[Floats]:
    kept: list[Floats] = []
    for k, point in enumerate(ring):
        if float(np.abs(point - ring[k - 1]).max()) > 1e-9 or len(ring) == 1:
            kept.append(point)
    return kept


REACH_MM = 5.0
SAME_FRONT_MM = 400.0
"""Two rooms' fronts nearer than this, face to face, are the two sides of one."""
FACING = 0.7
WHY = because("glazed-front")


class Fronts(NamedTuple):
    """``polygons``: the spaces near the origin with their fronts drawn straight; ``openings``: a
    window for each front that has something behind it."""

    polygons: list[shapely.Polygon]
    openings: list[Candidate]


def fronts(reading: Reading) -> Fronts:
    """Every space's glazed fronts; spaces without glass stay as they are."""
    plain = [s.polygon for s in reading.spaces]
    front = _front_edges(reading)
    if not front.any():
        return Fronts(plain, [])
    look = _Edges(reading.faces.graph)
    through = _leads_through(reading)
    runs: list[tuple[int, Run]] = []
    polygons = []
    for k, space in enumerate(reading.spaces):
        polygon, own = _of_space(space.polygon, front, look, reading, plain)
        polygons.append(polygon)
        runs += [(k, run) for run in own if through(k, run.edges)]
    return Fronts(polygons, _openings(runs))


def _front_edges(reading: Reading) -> Bools:
    """Which edges are glass, or close the joints and bays of a front."""
    front = reading.glass.copy()
    source = reading.faces.graph.source
    bridged = np.flatnonzero(source >= BRIDGED)
    of_fronts = np.array([g.why[0] in OF_FRONTS for g in reading.gaps] or [False])
    front[bridged] |= of_fronts[source[bridged] - BRIDGED]
    return front


class _Edges:
    """Looks up the graph's edge along each piece of a line, or -1."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        key = graph.edges.min(axis=1) * len(graph.xy) + graph.edges.max(axis=1)
        self.order = np.argsort(key)
        self.key = key[self.order]

    def along(self, xy: Floats) -> NDArray[np.int64]:
        node = nodes_at(self.graph, xy)
        key = np.minimum(node[:-1], node[1:]) * len(self.graph.xy) + np.maximum(node[:-1], node[1:])
        place = np.minimum(np.searchsorted(self.key, key), len(self.key) - 1)
        return np.where(self.key[place] == key, self.order[place], -1)


def _of_space(
    polygon: shapely.Polygon, front: Bools, look: _Edges, reading: Reading, others: list[shapely.Polygon]
) -> tuple[shapely.Polygon, list[Run]]:
    """(the space with straight fronts, those fronts); glass that stands free in it is left out."""
    polygon = shapely.orient_polygons(polygon)
    rings, runs = [], []
    graph = reading.faces.graph
    arc_of = reading.lines.arc
    for number, ring in enumerate([polygon.exterior, *polygon.interiors]):
        xy = shapely.get_coordinates(ring)
        edge = look.along(xy)
        glazed = (edge >= 0) & front[edge]
        if not glazed.any():
            rings.append(xy)
            continue
        if number and glazed.all() and not _holds(xy, others):
            continue
        source = graph.source[edge]
        drawn = (edge >= 0) & (source >= 0) & (source < len(arc_of))
        arc = np.where(drawn, arc_of[np.where(drawn, source, 0)] if len(arc_of) else -1, -1)
        straight, found = straightened(xy, edge, glazed, arc)
        rings.append(straight)
        runs += found
    whole = shapely.Polygon(rings[0], rings[1:])
    return (whole if whole.is_valid and whole.area > 0 else polygon), runs


def _holds(xy: Floats, others: list[shapely.Polygon]) -> bool:
    inside = shapely.Polygon(xy)
    return any(inside.contains(shapely.point_on_surface(p)) for p in others)


class _leads_through:  # noqa: N801 - called like a function, built once
    """Whether a front of a space has something else behind it: outside, or another space. Glass in
    front of a wall, or in the middle of a room, is no window."""

    def __init__(self, reading: Reading) -> None:
        faces = reading.faces
        self.left, self.right = faces.left, faces.right
        space = np.full(len(faces.polygons) + 1, -1)
        for k, s in enumerate(reading.spaces):
            space[list(s.faces)] = k
        self.space = space
        of_fronts = np.array([g.why[0] in OF_FRONTS for g in reading.gaps] or [False])
        filled = (faces.gap >= 0) & of_fronts[faces.gap]
        self.thin = np.append(panes(faces, reading.glass) | filled, False)
        beyond: dict[int, set[int]] = {}
        for a, b in zip(faces.left.tolist(), faces.right.tolist(), strict=True):
            if a != b:
                beyond.setdefault(a, set()).add(b)
                beyond.setdefault(b, set()).add(a)
        self.beyond = beyond

    def __call__(self, own: int, edges: list[int]) -> bool:
        todo = [f for e in edges for f in (int(self.left[e]), int(self.right[e]))]
        seen = set(todo)
        while todo:
            f = todo.pop()
            solid = f >= 0 and self.space[f] < 0 and not self.thin[f]
            if f < 0 or (self.space[f] >= 0 and self.space[f] != own):
                return True
            if solid or self.space[f] == own:
                continue
            new = self.beyond.get(f, set()) - seen
            seen |= new
            todo += new
        return False


def _openings(runs: list[tuple[int, Run]]) -> list[Candidate]:
    """A window for each front; two faces of one front between two rooms together."""
    runs = [(k, r) for k, r in runs if r.length_mm >= NARROWEST_MM]
    if not runs:
        return []
    lines = shapely.linestrings([r.line.reshape(2, 2) for _, r in runs])
    tree = shapely.STRtree(lines)
    taken: set[int] = set()
    found = []
    for i, (space, run) in enumerate(runs):
        if i in taken:
            continue
        faces = [run.line]
        for j in tree.query(lines[i], predicate="dwithin", distance=SAME_FRONT_MM).tolist():
            if j > i and j not in taken and runs[j][0] != space and _face_to_face(run.line, runs[j][1].line):
                taken.add(j)
                faces.append(runs[j][1].line)
                break
        found.append(Candidate(np.array(faces), "window", "sure", 0.0, (WHY,), reach_mm=REACH_MM))
    return found


def _face_to_face(a: Floats, b: Floats) -> bool:
    """Whether two lines run beside each other over most of both."""
    d = a[2:] - a[:2]
    length = float(np.hypot(*d))
    t = (b.reshape(2, 2) - a[:2]) @ d / length
    lo, hi = max(float(t.min()), 0.0), min(float(t.max()), length)
    return hi - lo >= FACING * max(length, float(np.hypot(*(b[2:] - b[:2]))))
