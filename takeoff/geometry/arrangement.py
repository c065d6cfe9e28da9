"""A plan cut up by curves: vertices, edges and cells, with arcs kept as arcs.

Curves are split where they meet, pieces drawn twice become one edge, and the cells are the
faces that remain. For every cell it is known how often each marked ring winds round it, found
by walking from the outside over the edges, so that no point is ever tested for being inside.
Made for one room or a few (tens of curves); whole drawings are noded elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from takeoff.geometry.curves import Curve, Point, meet
from takeoff.geometry.rings import curves_area, inside
from takeoff.geometry.runs import components
from takeoff.geometry.tolerances import ANGLE_RAD, SNAP_MM
from takeoff.language import tr

MOST_CURVES = 4000
MOST_MEETINGS = 100_000
"""More than these are no rooms that anybody draws, and would take minutes: pairs grow with their square."""

_ROUND = round(-math.log10(ANGLE_RAD))
_FULL_TURN = round(2.0 * math.pi, _ROUND)


class TooMany(Exception):
    """There is more of something than can be measured in seconds. Its text ends a sentence that begins with
    what cannot be measured."""


class Edge:
    """A piece of linework between two vertices. ``uses``: (input curve, runs the same way,
    t at vertex ``a`` along that input, t at vertex ``b``); ``left`` and ``right`` are cells."""

    __slots__ = ("a", "b", "curve", "left", "right", "uses")

    def __init__(self, a: int, b: int, curve: Curve) -> None:
        self.a, self.b, self.curve = a, b, curve
        self.uses: list[tuple[int, bool, float, float]] = []
        self.left = self.right = 0


class Arrangement:
    """``points`` by vertex; ``edges``; ``cells``: per cell its cycles of half-edges (outer
    first; cell 0 is the outside); ``star``: per vertex its outgoing half-edges anticlockwise.

    Half-edge 2·e runs edge e from a to b, 2·e + 1 runs it back; a cell lies to the left.
    ``winding[cell]`` maps ring number to how often that ring winds round the cell.
    """

    __slots__ = ("cells", "edges", "points", "star", "winding")

    def __init__(self, curves: Sequence[Curve], rings: Sequence[int]) -> None:
        self.points: list[Point] = []
        self.edges: list[Edge] = []
        _split(curves, self.points, self.edges)
        self.star = _stars(len(self.points), self.edges)
        self.cells = _cells(self.points, self.edges, self.star)
        self.winding = _windings(self.edges, self.cells, rings)

    def head(self, half: int) -> int:
        """The vertex a half-edge runs to."""
        e = self.edges[half >> 1]
        return e.a if half & 1 else e.b

    def tail(self, half: int) -> int:
        """The vertex a half-edge starts from."""
        e = self.edges[half >> 1]
        return e.b if half & 1 else e.a

    def cell_of(self, half: int) -> int:
        """The cell to the left of a half-edge."""
        e = self.edges[half >> 1]
        return e.right if half & 1 else e.left

    def cell_area(self, cell: int) -> float:
        """Area of a cell less its holes, mm²; 0 for the outside."""
        if cell == 0:
            return 0.0
        return sum(_cycle_area(self.edges, cycle) for cycle in self.cells[cell])

    def cell_points(self, cell: int) -> list[Point]:
        """The vertices of a cell's outer cycle, with the middles of its arcs."""
        found = []
        for half in self.cells[cell][0]:
            e = self.edges[half >> 1]
            found.append(self.points[self.tail(half)])
            if e.curve.bulge:
                found.append(e.curve.at(e.curve.length / 2.0))
        return found


class _Vertices:
    """Points on a grid of the snap distance; the first point at a place keeps its coordinates."""

    def __init__(self, points: list[Point]) -> None:
        self.points = points
        self.grid: dict[tuple[int, int], int] = {}

    def of(self, x: float, y: float) -> int:
        size = 2.0 * SNAP_MM
        i, j = math.floor(x / size), math.floor(y / size)
        found = self.grid.get((i, j))
        if found is not None:
            return found
        for di in (-1, 0, 1):
            for dj in (-1, 0, 1):
                near = self.grid.get((i + di, j + dj))
                if near is not None:
                    px, py = self.points[near]
                    if abs(px - x) <= SNAP_MM and abs(py - y) <= SNAP_MM:
                        return near
        self.points.append((x, y))
        self.grid[(i, j)] = len(self.points) - 1
        return len(self.points) - 1


def _split(curves: Sequence[Curve], points: list[Point], edges: list[Edge]) -> None:
    n = len(curves)
    if n > MOST_CURVES:
        raise TooMany(
            tr(
                "its outlines have {count} sides in all, more than {most}: take out what is not needed",
                count=n,
                most=MOST_CURVES,
            )
        )
    # every pair is tried: rooms have tens of curves, for which no index pays
    cuts: list[list[float]] = [[0.0, c.length] for c in curves]
    meetings = 0
    for i in range(n):
        if meetings > MOST_MEETINGS:
            raise TooMany(
                tr("its outlines cross each other more than {most} times: take out what overlaps", most=MOST_MEETINGS)
            )
        a = curves[i]
        for j in range(i + 1, n):
            for ta, tb in meet(a, curves[j]):
                cuts[i].append(ta)
                cuts[j].append(tb)
                meetings += 1
    vertices = _Vertices(points)
    for c in curves:  # original ends first: they keep their exact coordinates
        vertices.of(c.x0, c.y0)
        vertices.of(c.x1, c.y1)
    known: dict[tuple[int, int, int, int], Edge] = {}
    for index, c in enumerate(curves):
        if c.length <= SNAP_MM:
            continue
        along = sorted(cuts[index])
        t0, va = 0.0, vertices.of(c.x0, c.y0)
        for t in along:
            vb = vertices.of(*c.at(t)) if t < c.length - SNAP_MM else vertices.of(c.x1, c.y1)
            if t - t0 <= SNAP_MM or vb == va:
                continue
            _add(known, edges, points, c, index, t0, t, va, vb)
            t0, va = t, vb


def _add(
    known: dict[tuple[int, int, int, int], Edge],
    edges: list[Edge],
    points: list[Point],
    c: Curve,
    index: int,
    t0: float,
    t1: float,
    va: int,
    vb: int,
) -> None:
    if c.bulge:
        mx, my = c.at((t0 + t1) / 2.0)
        bulge = c.turn * math.tan((t1 - t0) / c.radius / 4.0)
    else:
        mx = my = bulge = 0.0
    low, high = (va, vb) if va < vb else (vb, va)
    # Arcs between the same vertices are the same only if their middles agree; 10 snaps is
    # far below the rise of any arc that a different bulge would give.
    key = (low, high, round(mx / (10 * SNAP_MM)), round(my / (10 * SNAP_MM)))
    edge = known.get(key)
    if edge is None:
        (xa, ya), (xb, yb) = points[va], points[vb]
        edge = Edge(va, vb, Curve(xa, ya, xb, yb, bulge))
        known[key] = edge
        edges.append(edge)
    if edge.a == va:
        edge.uses.append((index, True, t0, t1))
    else:
        edge.uses.append((index, False, t1, t0))


def _stars(count: int, edges: list[Edge]) -> list[list[int]]:
    star: list[list[tuple[float, float, int]]] = [[] for _ in range(count)]
    for i, e in enumerate(edges):
        c = e.curve
        # an arc and its tangent leave a vertex in one direction: then the one that bends to the left comes later
        dx, dy = c.direction(0.0)
        star[e.a].append((_angle(dx, dy), c.curvature, 2 * i))
        dx, dy = c.direction(c.length)
        star[e.b].append((_angle(-dx, -dy), -c.curvature, 2 * i + 1))
    return [[half for _, _, half in sorted(s)] for s in star]


def _angle(dx: float, dy: float) -> float:
    # rounded, so that curves in one direction are told apart by their bend and not by noise
    a = round(math.atan2(dy, dx), _ROUND)
    if a < 0.0:
        a = round(a + _FULL_TURN, _ROUND)
    return 0.0 if a >= _FULL_TURN else a


def _cycle_area(edges: list[Edge], cycle: Sequence[int]) -> float:
    return curves_area(edges[h >> 1].curve.reversed() if h & 1 else edges[h >> 1].curve for h in cycle)


def _cycles(edges: list[Edge], star: list[list[int]]) -> list[list[int]]:
    after: dict[int, int] = {}
    for outgoing in star:
        for k, half in enumerate(outgoing):
            # Arriving by the twin of ``half``, leave by the next one clockwise.
            after[half ^ 1] = outgoing[k - 1]
    seen: set[int] = set()
    cycles = []
    for start in range(2 * len(edges)):
        if start in seen:
            continue
        cycle, half = [], start
        while half not in seen:
            seen.add(half)
            cycle.append(half)
            half = after[half]
        cycles.append(cycle)
    return cycles


def _cells(points: list[Point], edges: list[Edge], star: list[list[int]]) -> list[list[list[int]]]:
    cells: list[list[list[int]]] = [[]]  # the first is the outside, which has holes only
    holes = []
    for cycle in _cycles(edges, star):
        # A cycle that bounds nothing (a dangling line walked both ways) counts as a hole too.
        if _cycle_area(edges, cycle) > SNAP_MM * SNAP_MM:
            cells.append([cycle])
        else:
            holes.append(cycle)
    joined = _joined(len(points), edges) if len(holes) > 1 else []
    for cycle in holes:
        cell = _around(points, edges, cells, cycle, joined) if joined else 0
        cells[cell].append(cycle)
    for number, cell_cycles in enumerate(cells):
        for cycle in cell_cycles:
            for half in cycle:
                if half & 1:
                    edges[half >> 1].right = number
                else:
                    edges[half >> 1].left = number
    return cells


def _joined(count: int, edges: list[Edge]) -> list[int]:
    """For each point a number that all points have to which its edges lead."""
    ends = np.array([(e.a, e.b) for e in edges], np.int64).reshape(-1, 2)
    found: list[int] = components(count, ends[:, 0], ends[:, 1]).tolist()
    return found


def _around(
    points: list[Point], edges: list[Edge], cells: list[list[list[int]]], hole: list[int], joined: list[int]
) -> int:
    """The smallest cell of another component that contains a hole's first vertex; else 0."""
    mine = joined[edges[hole[0] >> 1].a]
    x, y = points[edges[hole[0] >> 1].a]
    best, best_area = 0, math.inf
    for number in range(1, len(cells)):
        cycle = cells[number][0]
        if joined[edges[cycle[0] >> 1].a] == mine:
            continue
        area = _cycle_area(edges, cycle)
        if area < best_area and inside([edges[h >> 1].curve for h in cycle], x, y):
            best, best_area = number, area
    return best


def _windings(edges: list[Edge], cells: list[list[list[int]]], rings: Sequence[int]) -> list[dict[int, int]]:
    winding: list[dict[int, int] | None] = [None] * len(cells)
    winding[0] = {}
    queue = [0]
    while queue:
        cell = queue.pop()
        here = winding[cell] or {}
        for cycle in cells[cell]:
            for half in cycle:
                e = edges[half >> 1]
                other = e.left if half & 1 else e.right
                if winding[other] is not None:
                    continue
                there = dict(here)
                for index, same, _, _ in e.uses:
                    ring = rings[index]
                    if ring < 0:
                        continue
                    # Crossing from the left of ``half`` to its right; a ring running with the
                    # half-edge has its inside on the left.
                    step = -1 if same != bool(half & 1) else 1
                    there[ring] = there.get(ring, 0) + step
                winding[other] = there
                queue.append(other)
    return [w or {} for w in winding]
