"""Glazed fronts: one straight side of the room from wall to wall, and one opening in it.

A front is drawn as panes with mullions between them, or as mullions alone. A room ends at its
panes: an outline that runs round every mullion would have corners and faces that nobody coats.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.recognise.openings.hosting import NARROWEST_MM, Candidate
from takeoff.recognise.openings.straight import Run, straightened
from takeoff.recognise.walls.confirm import OF_FRONTS
from takeoff.recognise.walls.faces import BRIDGED, nodes_at
from takeoff.recognise.walls.reading import Reading
from takeoff.recognise.walls.spaces import panes

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

REACH_MM = 5.0
SAME_FRONT_MM = 400.0
"""Two rooms' fronts nearer than this, face to face, are the two sides of one."""
FACING = 0.7
WHY = "glass bounds the room here from wall to wall; how high it reaches is assumed"


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
