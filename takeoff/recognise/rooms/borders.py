"""A space's border as sides: straight ones whole, arcs as arcs."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.rings import ring_area, ring_curves
from takeoff.plan.model import Side, SideId, Vertex
from takeoff.recognise.walls.bounding_lines import arc_centres, bulge_between
from takeoff.recognise.walls.enclosed_faces import nodes_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Point = tuple[float, float]

SAME_CIRCLE_MM = 5.0
CHORDS_OFF_MM = 2.0
"""An arc's chords lie nowhere farther off it."""
ARC_PARTS = 16
STRAIGHT_MM = 0.5
"""A vertex this near to the line between its neighbours is no corner of the room."""


class Border:
    """Looks up, for the border of any space of one graph, which arc each piece belongs to."""

    def __init__(self, graph: Graph, arc_of_source: Ints, arcs: Floats) -> None:
        self.graph = graph
        low, high = graph.edges.min(axis=1), graph.edges.max(axis=1)
        key = low * len(graph.xy) + high
        self.order = np.argsort(key)
        self.key = key[self.order]
        known = (graph.source >= 0) & (graph.source < len(arc_of_source))
        self.arc = np.full(len(graph.edges), -1)
        self.arc[known] = arc_of_source[graph.source[known]]
        self.centres = arc_centres(arcs) if len(arcs) else np.zeros(0, complex)
        self.radii = np.abs(self.centres - (arcs[:, 0] + 1j * arcs[:, 1])) if len(arcs) else np.zeros(0)
        self.any_arc = bool((self.arc >= 0).any())

    def arcs_along(self, xy: Floats) -> Ints:
        """For each piece of a closed line (its last point repeats its first) its arc, or -1."""
        if not self.any_arc:
            return np.full(len(xy) - 1, -1)
        node = nodes_at(self.graph, xy)
        exact = (self.graph.xy[node] == xy).all(axis=1)
        a, b = node[:-1], node[1:]
        key = np.minimum(a, b) * len(self.graph.xy) + np.maximum(a, b)
        place = np.minimum(np.searchsorted(self.key, key), len(self.key) - 1)
        found = (self.key[place] == key) & exact[:-1] & exact[1:]
        return np.where(found, self.arc[self.order[place]], -1)

    def ring(self, xy: Floats) -> list[Vertex]:
        """Vertices [x, y, bulge] of a closed line, in its direction."""
        arc = self._over_gaps(self.arcs_along(xy)).tolist()
        points = [(x, y) for x, y in xy[:-1].tolist()]
        n = len(points)
        ring = [
            (*points[first % n], self._bulge(points, first, last, own) if own >= 0 else 0.0)
            for first, last, own in _merge(points, arc)
        ]
        if any(bulge for _, _, bulge in ring) and not _as_drawn(ring, xy):
            return [(*points[first % n], 0.0) for first, _, _ in _merge(points, [-1] * n)]
        return ring

    def _over_gaps(self, arc: Ints) -> Ints:
        """A chord between two pieces of one circle closes a gap in a curved wall: the arc runs on."""
        own = arc.copy()
        for i in np.flatnonzero(arc < 0).tolist():
            a, b = int(arc[i - 1]), int(arc[(i + 1) % len(arc)])
            if (
                a >= 0
                and b >= 0
                and abs(self.centres[a] - self.centres[b]) <= SAME_CIRCLE_MM
                and abs(self.radii[a] - self.radii[b]) <= SAME_CIRCLE_MM
            ):
                own[i] = a
        return own

    def _bulge(self, points: list[Point], first: int, last: int, arc: int) -> float:
        n = len(points)
        z = [complex(*points[i % n]) for i in (first, first + 1, last)]
        centre = complex(self.centres[arc])
        turn = ((z[0] - centre).conjugate() * (z[1] - centre)).imag
        return bulge_between(z[0], z[2], centre, turn > 0)


def _as_drawn(ring: list[Vertex], xy: Floats) -> bool:
    """Whether a ring with arcs encloses what its chords do, and does not cross itself. Where arcs lie over
    each other, one may be taken that turns too far; the chords are then the better outline."""
    own, drawn = (
        ring_area(tuple(ring)),
        float(shapely.area(shapely.polygons(xy))) * (1.0 if shapely.is_ccw(shapely.linearrings(xy)) else -1.0),
    )
    length = float(np.hypot(*(xy[1:] - xy[:-1]).T).sum())
    if abs(own - drawn) > CHORDS_OFF_MM * length:
        return False
    fine = [
        c.at(c.length * k / ARC_PARTS) for c in ring_curves(tuple(ring)) for k in range(ARC_PARTS if c.bulge else 1)
    ]
    return bool(shapely.is_valid(shapely.polygons(fine)))


def _merge(points: list[Point], arc: list[int]) -> list[tuple[int, int, int]]:
    """(first vertex, last vertex, arc) of each side; the last may run past the end of the ring."""
    n = len(points)
    corner = [i for i in range(n) if arc[i - 1] != arc[i]]
    if not corner:
        corner = [min(range(n), key=lambda i: (points[i][1], points[i][0]))]
    sides: list[tuple[int, int, int]] = []
    for k, first in enumerate(corner):
        last = corner[k + 1] if k + 1 < len(corner) else corner[0] + n
        if arc[first] >= 0:
            sides.append((first, last, arc[first]))
        else:
            kept = _straight([points[i % n] for i in range(first, last + 1)])
            sides.extend((first + i, first + j, -1) for i, j in itertools.pairwise(kept))
    return _drop_straight_start(points, sides)


def _drop_straight_start(points: list[Point], sides: list[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """A straight ring is cut open at one vertex; that one goes too if it is no corner."""
    if len(sides) < 4 or any(arc >= 0 for _, _, arc in sides):
        return sides
    n = len(points)
    a, b, c = (points[i % n] for i in (sides[-1][0], sides[0][0], sides[0][1]))
    if _farthest(a, [b], c)[0] <= STRAIGHT_MM:
        return [*sides[1:-1], (sides[-1][0], sides[0][1] + n, -1)]
    return sides


def _farthest(p: Point, points: list[Point], q: Point) -> tuple[float, int]:
    """(distance, index) of the point farthest from the line p–q, or from p where that is a point.
    Plain floats: rings are short, and there are thousands of them."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    length = math.hypot(dx, dy)
    if length == 0:
        off = [math.hypot(x - p[0], y - p[1]) for x, y in points]
    else:
        off = [abs(dx * (y - p[1]) - dy * (x - p[0])) / length for x, y in points]
    far = max(off)
    return far, off.index(far)


def _straight(points: list[Point]) -> list[int]:
    """Indices of the corners of an open line, its two ends among them."""
    last = len(points) - 1
    keep = {0, last}
    stack = [(0, last)]
    while stack:
        i, j = stack.pop()
        if j - i < 2:
            continue
        far, k = _farthest(points[i], points[i + 1 : j], points[j])
        if far > STRAIGHT_MM:
            keep.add(i + 1 + k)
            stack += [(i, i + 1 + k), (i + 1 + k, j)]
    return sorted(keep)


def rings_of(border: Border, polygon: shapely.Polygon) -> list[list[Vertex]]:
    """The outer ring anticlockwise, then the inner ones clockwise, near the origin."""
    polygon = shapely.orient_polygons(polygon)
    rings = [shapely.get_coordinates(polygon.exterior)]
    rings += [shapely.get_coordinates(r) for r in polygon.interiors]
    return [border.ring(xy) for xy in rings]


def sides_of(rings: list[list[Vertex]], origin: tuple[float, float]) -> list[tuple[Side, ...]]:
    """The rings as sides with ids s1, s2, …, in the drawing's own coordinates."""
    found: list[tuple[Side, ...]] = []
    number = 0
    for ring in rings:
        sides = []
        for x, y, bulge in ring:
            number += 1
            sides.append(
                Side(id=SideId(f"s{number}"), x_mm=x + origin[0], y_mm=y + origin[1], bulge=bulge, source="drawn")
            )
        found.append(tuple(sides))
    return found
