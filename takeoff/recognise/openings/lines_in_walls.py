"""Windows drawn as lines between the faces of a wall, where no plain rectangle between two jambs shows them: bands
that go round a corner, are wider than usual, begin beside a door, or whose jamb runs on as the face of a block.

Such a line stops at both its ends, at what is wall and goes on in line with the one it stands in, or turns with that
wall. A line along a lined or a hollow wall runs on round the house, or ends in the face of a wall that it meets from
the side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components, half_edges, straight_runs
from takeoff.plan.reasons import because
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.walls.believed_gaps import SLIT_MM, Gap
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.opening_evidence import Swings

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
End = Literal["turns", "wall", "across", "door", "open"]

LEAST_MM, WIDEST_MM, WIDEST_BAND_MM = 350.0, 6000.0, 16000.0
"""A window is so wide; one with two lines or more between its faces may be a band (common practice, no source)."""
THICKEST_MM, STEP_MM = 650.0, 5.0
"""The faces of the wall lie no farther apart; they are looked for in such steps."""
STRAIGHT_COS = math.cos(math.radians(4))
PAST_MM, ASIDE_MM, BLOCK_MM = 30.0, 120.0, 500.0
"""So far past a line's end is looked. A wall that goes on there stands out by less on one side, a pier on both."""
BENT_RAD = math.radians(2)
"""A line that ends on a slanting wall is joined to it askew by so much."""
WITHIN = 0.3
"""The one line of a window lies at least so deep in its wall; nearer to a face it is the back of a lining."""
ABREAST, LEVEL_SINE = 0.7, 0.02
"""Lines of one window share so much of their length, and are parallel."""
HINGE_MM, SHUT_MM = 150.0, 250.0
"""A leaf hangs this near to one end, and shuts this near to the other."""


class _Line(NamedTuple):
    """A straight line with wall on both sides: its ends, how far the faces of the wall lie to its left and its right,
    and whether it says enough by itself: it is straight, deep in its wall, and neither of its ends lies in the face of
    another wall."""

    start: Floats
    end: Floats
    sides: tuple[float, float]
    lone: bool

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def way(self) -> Floats:
        return np.asarray((self.end - self.start) / self.length)


def windows_in_walls(faces: Faces, gaps: list[Gap], swings: Swings) -> list[Candidate]:
    """A window for each group of such lines abreast, to be checked; a door where a leaf hangs in it."""
    found = []
    for group in _abreast(_lines(faces, gaps)):
        line = max(group, key=lambda one: one.length)
        if line.length > (WIDEST_MM if len(group) == 1 else WIDEST_BAND_MM) or (len(group) == 1 and not line.lone):
            continue
        left = np.array([-line.way[1], line.way[0]])
        lines = np.array(
            [(*(line.start + left * far), *(line.end + left * far)) for far in (line.sides[0], -line.sides[1])]
        )
        if _hung(line, swings):
            found.append(Candidate(lines, "door", "sure", sum(line.sides), (because("jambs-and-door"),)))
            continue
        why = because("jambs-and-line") if len(group) == 1 else because("jambs-and-lines", count=len(group))
        found.append(Candidate(lines, "window", "check", sum(line.sides), (why,)))
    return found


def _hung(line: _Line, swings: Swings) -> bool:
    """Whether a leaf hangs at one end of a line and shuts at the other."""
    for hinge, tips in zip(swings.hinge, swings.ends, strict=True):
        for own, other in ((line.start, line.end), (line.end, line.start)):
            if math.dist(hinge, own) <= HINGE_MM and min(math.dist(tip, other) for tip in tips) <= SHUT_MM:
                return True
    return False


def _abreast(lines: list[_Line]) -> list[list[_Line]]:
    """The lines in groups that lie side by side in one wall."""
    if not lines:
        return []
    drawn = [shapely.LineString([line.start, line.end]) for line in lines]
    pairs = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=THICKEST_MM).T
    same = np.array([(a, b) for a, b in pairs.tolist() if a < b and _beside(lines[a], lines[b])], np.int64).reshape(
        -1, 2
    )
    label = components(len(lines), same[:, 0], same[:, 1])
    return [[lines[k] for k in np.flatnonzero(label == one).tolist()] for one in np.unique(label)]


def _beside(one: _Line, other: _Line) -> bool:
    """Whether two lines lie side by side between the same two faces."""
    way = one.way
    if abs(float(way[0] * other.way[1] - way[1] * other.way[0])) > LEVEL_SINE:
        return False
    at = np.array([other.start, other.end]) - one.start
    along, aside = at @ way, float((at @ np.array([-way[1], way[0]])).mean())
    shared = min(one.length, float(along.max())) - max(0.0, float(along.min()))
    return -one.sides[1] < aside < one.sides[0] and shared >= ABREAST * max(one.length, other.length)


def _lines(faces: Faces, gaps: list[Gap]) -> list[_Line]:
    """The lines between faces of walls that stop as those of windows do."""
    inside = (faces.left >= 0) & (faces.right >= 0) & (faces.left != faces.right)
    inside &= faces.body[faces.left] & faces.body[faces.right]
    return list(_InWalls(faces, gaps, np.flatnonzero(inside)).windows()) if inside.any() else []


class Solid:
    """How far wall goes on from a place."""

    def __init__(self, faces: Faces) -> None:
        self.body = faces.body
        self.tree = shapely.STRtree(faces.polygons)

    def reaches(self, start: Floats, out: Floats) -> float:
        """How far wall goes on from a point; infinite where it is farther than ``THICKEST_MM``."""
        steps = np.arange(STEP_MM / 2, THICKEST_MM + STEP_MM, STEP_MM)
        at, face = self.tree.query(shapely.points(start + out * steps[:, None]), predicate="intersects")
        solid = np.isin(np.arange(len(steps)), at[self.body[face]])
        return float(steps[solid.argmin()]) if not solid.all() else math.inf


class _InWalls:
    """The straight runs of edges that have wall on both sides, and how they end."""

    def __init__(self, faces: Faces, gaps: list[Gap], own: Ints) -> None:
        self.faces, self.gaps = faces, gaps
        self.xy, self.edges = faces.graph.xy, faces.graph.edges
        runs = straight_runs(self.xy, self.edges[own], BENT_RAD)
        self.ends = runs.ends
        self.run_of = np.full(len(self.edges), -1)
        self.run_of[own] = runs.of_edge
        self.whole = np.asarray((runs.ends >= 0).all(axis=1))
        span = np.where(self.whole[:, None], self.xy[runs.ends[:, 1]] - self.xy[runs.ends[:, 0]], 1.0)
        self.length = np.hypot(span[:, 0], span[:, 1])
        self.way = span / np.maximum(self.length, 1e-9)[:, None]
        self.solid = Solid(faces)
        at, self.half_edge, angle = half_edges(self.xy, self.edges)
        order = np.argsort(at, kind="stable")
        self.half_edge = self.half_edge[order]
        self.half_way = np.stack([np.cos(angle), np.sin(angle)], axis=1)[order]
        self.first = np.searchsorted(at[order], np.arange(len(self.xy) + 1))

    def windows(self) -> Iterator[_Line]:
        """The straight parts of those lines that stop at both ends as those of windows do."""
        told: dict[int, list[tuple[End, int]]] = {run: [("open", -1)] * 2 for run in range(len(self.whole))}
        for run in np.flatnonzero(self.whole & (self.length <= WIDEST_BAND_MM)).tolist():
            told[run] = [self._end(run, k) for k in (0, 1)]
        turns = [(run, other) for run, ends in told.items() for _, other in ends if other >= 0]
        pairs = np.array(turns, np.int64).reshape(-1, 2)
        chains: dict[int, list[int]] = {}
        for run, label in enumerate(components(len(self.whole), pairs[:, 0], pairs[:, 1]).tolist()):
            chains.setdefault(label, []).append(run)
        for chain in chains.values():
            legs = [run for run in chain if self.length[run] >= LEAST_MM]
            stops = [(run, k, kind) for run in chain for k, (kind, _) in enumerate(told[run]) if kind != "turns"]
            if legs and len(stops) == 2:
                yield from self._of_chain(legs, stops)

    def _of_chain(self, legs: list[int], stops: Sequence[tuple[int, int, End]]) -> Iterator[_Line]:
        if any(kind == "open" for _, _, kind in stops) or not any(kind == "wall" for _, _, kind in stops):
            return
        told = [self._in_line(run, k) for run, k, kind in stops if kind == "wall"]
        if not any(told):
            return
        lone = len(legs) == 1 and all(told) and all(kind != "across" for _, _, kind in stops)
        for run in legs:
            sides = self._sides(run)
            if sum(sides) <= THICKEST_MM:
                p, q = self._past_slit(run, 0), self._past_slit(run, 1)
                yield _Line(p, q, sides, lone and min(sides) >= WITHIN * sum(sides))

    def _end(self, run: int, k: int) -> tuple[End, int]:
        """(how a run ends there, the run that it turns into or -1)"""
        node, out = int(self.ends[run, k]), self.way[run] * (1 if k else -1)
        half = np.arange(self.first[node], self.first[node + 1])
        half = half[self.run_of[self.half_edge[half]] != run]
        on = half[self.half_way[half] @ out >= STRAIGHT_COS]
        if len(on) and any(self._slit_mm(int(e)) for e in self.half_edge[on]):
            return "wall", -1
        if len(on):
            return ("door" if any(self._at_door(int(e)) for e in self.half_edge[on]) else "open"), -1
        if len(half) == 1:
            other = int(self.run_of[self.half_edge[half[0]]])
            return ("turns", other) if other >= 0 else ("open", -1)
        past = self.solid.tree.query(shapely.Point(self.xy[node] + out * PAST_MM), predicate="intersects").tolist()
        if any(self.faces.body[f] for f in past):
            return "wall", -1
        if not past:
            return "across", -1
        return ("door" if any(self._is_door(f) for f in past) else "open"), -1

    def _at_door(self, edge: int) -> bool:
        return any(f >= 0 and self._is_door(f) for f in (int(self.faces.left[edge]), int(self.faces.right[edge])))

    def _is_door(self, face: int) -> bool:
        gap = int(self.faces.gap[face])
        return gap >= 0 and self.gaps[gap].kind != "window"

    def _slit_mm(self, edge: int) -> float:
        """How wide the slit is that an edge runs across, between a frame and its wall; 0 where there is none."""
        gaps = [int(self.faces.gap[f]) for f in (int(self.faces.left[edge]), int(self.faces.right[edge])) if f >= 0]
        widths = [self.gaps[gap].bridge.width_mm for gap in gaps if gap >= 0 and self.gaps[gap].kind == "open"]
        return max((width for width in widths if width <= SLIT_MM), default=0.0)

    def _past_slit(self, run: int, k: int) -> Floats:
        """The end of a run, on the other side of a slit that it ends at."""
        node, out = int(self.ends[run, k]), self.way[run] * (1 if k else -1)
        half = np.arange(self.first[node], self.first[node + 1])
        on = half[(self.half_way[half] @ out >= STRAIGHT_COS) & (self.run_of[self.half_edge[half]] != run)]
        return np.asarray(self.xy[node] + out * max((self._slit_mm(int(e)) for e in self.half_edge[on]), default=0.0))

    def _sides(self, run: int) -> tuple[float, float]:
        """How far the wall goes on to the left and to the right of the middle of a run."""
        middle = self.xy[self.ends[run]].mean(axis=0)
        left = np.array([-self.way[run, 1], self.way[run, 0]])
        return self.solid.reaches(middle, left), self.solid.reaches(middle, -left)

    def _in_line(self, run: int, k: int) -> bool:
        """Whether past the end of a run stands wall that goes on in line with the faces beside the run, on one side at
        least, or a pier."""
        out = self.way[run] * (1 if k else -1)
        left = np.array([-out[1], out[0]])
        beside = self._sides(run) if k else self._sides(run)[::-1]
        past = self.xy[self.ends[run, k]] + out * PAST_MM
        far = [self.solid.reaches(past, way) - own for way, own in zip((left, -left), beside, strict=True)]
        return min(far) <= ASIDE_MM or max(far) <= BLOCK_MM
