"""Openings where no gap in a wall shows them: pairs of lines across walls that are drawn through and glass
between them, doors and windows drawn over walls, and doors that are drawn off every wall."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.runs import components
from takeoff.plan.reasons import because
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.opening_evidence import LEAF_MM, Evidence
from takeoff.recognise.walls.room_spaces import edge_lengths, run_lengths
from takeoff.units.printing import whole

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WIDTH_MM = (350.0, 6000.0)
"""Openings in walls are this wide (common practice, no source)."""
HINGE_MM = 120.0
JAMB_PAST = 1.2
FRAME_LINE_MM, FRAMED = 5.0, 0.95
"""A frame of glazing is drawn so near to the jambs and the faces of its wall, round so much of the opening."""
SQUARE = 0.97
"""A piece of wall is a rectangle when it fills this part of the smallest one round it."""


class _Box(NamedTuple):
    """A straight piece of wall: centre, unit direction of its first axis, both sizes."""

    centre: Floats
    axis: Floats
    size: tuple[float, float]


def _boxes(polygons: NDArray[np.object_]) -> list[_Box | None]:
    rotated = shapely.oriented_envelope(polygons)
    full = shapely.area(polygons) >= SQUARE * shapely.area(rotated)
    boxes: list[_Box | None] = []
    for fits, shape in zip(full, rotated, strict=True):
        xy = shapely.get_coordinates(shape)
        if not fits or len(xy) < 5:
            boxes.append(None)
            continue
        u, v = xy[1] - xy[0], xy[2] - xy[1]
        a, b = float(np.hypot(*u)), float(np.hypot(*v))
        boxes.append(_Box(xy[:4].mean(axis=0), u / a, (a, b)))
    return boxes


def jamb_openings(faces: Faces, evidence: Evidence, skip: set[int]) -> list[Candidate]:
    """Candidates in the bodies of walls.

    A rectangle of wall between two lines across it is asked about (an opening or a pier); with
    lines along the wall between them, or glazing, it is a window; with a door's linework, a door.
    ``skip``: faces that are accounted for already.
    """
    bodies = [f for f in np.flatnonzero(faces.body).tolist() if f not in skip]
    if not bodies:
        return []
    box_of = dict(zip(bodies, _boxes(faces.polygons[bodies]), strict=True))
    shared = _shared(faces)
    drawn = _Drawn(evidence)
    reach = run_lengths(faces)
    stacks = _stacks(faces, box_of, shared)
    found: list[Candidate] = []
    for stack in stacks:
        candidate = _candidate(faces, stack, shared, drawn, reach)
        if candidate is not None:
            found.append(candidate)
    return found


def _shared(faces: Faces) -> dict[int, dict[int, list[int]]]:
    """face → neighbour (-1 outside) → the edges between them"""
    shared: dict[int, dict[int, list[int]]] = {}
    for e, (a, b) in enumerate(zip(faces.left.tolist(), faces.right.tolist(), strict=True)):
        for own, other in ((a, b), (b, a)):
            if own >= 0 and own != other and faces.body[own]:
                shared.setdefault(own, {}).setdefault(other, []).append(e)
    return shared


def _stacks(faces: Faces, box_of: dict[int, _Box | None], shared: dict[int, dict[int, list[int]]]) -> list[list[int]]:
    """Rectangles, those side by side across a wall (frames and panes of a window) together."""
    length = edge_lengths(faces)
    done: set[int] = set()
    stacks = []
    for f, box in box_of.items():
        if box is None or f in done:
            continue
        stack, todo = [], [f]
        done.add(f)
        while todo:
            own = todo.pop()
            stack.append(own)
            for other, edges in shared.get(own, {}).items():
                next_box = box_of.get(other)
                if next_box is None or other in done:
                    continue
                border = float(length[edges].sum())
                long_a, long_b = max(box_of[own].size), max(next_box.size)  # type: ignore[union-attr]
                if border > 0.97 * max(long_a, long_b) and border > 1.02 * min(next_box.size):
                    done.add(other)
                    todo.append(other)
        stacks.append(stack)
    return stacks


def _candidate(
    faces: Faces, stack: list[int], shared: dict[int, dict[int, list[int]]], drawn: _Drawn, reach: Floats
) -> Candidate | None:
    whole = shapely.union_all(faces.polygons[stack])
    if whole.geom_type != "Polygon":
        return None
    box = _boxes(np.array([whole], dtype=object))[0]
    if box is None:
        return None
    members = set(stack)
    edges: list[tuple[int, int]] = [
        (e, other) for f in stack for other, es in shared.get(f, {}).items() if other not in members for e in es
    ]
    across = _wall_axis(faces, edges, box, reach)
    if across is None:
        return None
    along_axis, width, thickness = across
    if not WIDTH_MM[0] <= width <= WIDTH_MM[1]:
        return None
    normal = np.array([-along_axis[1], along_axis[0]])
    lines = [
        (
            *(box.centre + s * normal * thickness / 2 - along_axis * width / 2),
            *(box.centre + s * normal * thickness / 2 + along_axis * width / 2),
        )
        for s in (-1, 1)
    ]
    return _judged(stack, np.array(lines, float), whole, thickness, drawn)


def _wall_axis(
    faces: Faces, edges: list[tuple[int, int]], box: _Box, reach: Floats
) -> tuple[Floats, float, float] | None:
    """(direction of the wall, width along it, thickness), when two opposite borders of the
    rectangle lie against wall and the two others against space or outside."""
    xy, graph_edges = faces.graph.xy, faces.graph.edges
    other_axis = np.array([-box.axis[1], box.axis[0]])
    held = {(axis, sign): [0.0, 0.0] for axis in (0, 1) for sign in (-1, 1)}
    for e, other in edges:
        p, q = xy[graph_edges[e]]
        d, middle = q - p, (p + q) / 2 - box.centre
        length = float(np.hypot(*d))
        normal_axis = 0 if abs(float(d @ box.axis)) < 0.5 * length else 1
        along = float(middle @ (box.axis if normal_axis == 0 else other_axis))
        # What stands between two closed gaps is a pier: only wall makes a jamb. A jamb line stops
        # at the wall's faces; what runs on is the face of a wall that joins here.
        solid = other >= 0 and bool(faces.body[other])
        solid = solid and reach[e] <= JAMB_PAST * box.size[1 - normal_axis]
        held[(normal_axis, 1 if along > 0 else -1)][0 if solid else 1] += length
    for axis, direction in ((0, box.axis), (1, other_axis)):
        ends_solid = all(held[(axis, s)][0] > 0.9 * box.size[1 - axis] for s in (-1, 1))
        faces_free = all(held[(1 - axis, s)][1] > 0.9 * box.size[axis] for s in (-1, 1))
        if ends_solid and faces_free:
            return direction, box.size[axis], box.size[1 - axis]
    return None


class _Drawn:
    """Spatial indices of what shows doors and windows."""

    def __init__(self, evidence: Evidence) -> None:
        self.doors = shapely.STRtree(shapely.linestrings(evidence.door_lines.reshape(-1, 2, 2)))
        self.glass = shapely.STRtree(shapely.linestrings(evidence.glass_lines.reshape(-1, 2, 2)))
        self.hinges = shapely.STRtree(shapely.points(evidence.swings.hinge))
        self.ends = shapely.multipoints(evidence.swings.ends)

    def door(self, whole: shapely.Polygon, inner: shapely.Polygon) -> bool:
        """Whether a line of a door lies within, or a leaf that hangs at it shuts along it: one that hangs on the other
        side of a mullion shuts away from it."""
        return bool(len(self.doors.query(inner, predicate="intersects"))) or self.hung(whole)

    def hung(self, whole: shapely.Polygon) -> bool:
        """Whether a leaf hangs at it that shuts along it."""
        hung = self.hinges.query(whole, predicate="dwithin", distance=HINGE_MM)
        shut = shapely.get_parts(self.ends[hung]).reshape(-1, 2) if len(hung) else np.zeros((0, 2), object)
        return bool((shapely.distance(shut, whole) <= HINGE_MM).any())

    def framed(self, whole: shapely.Polygon) -> bool:
        """Whether glazing is drawn all round it."""
        near = self.glass.geometries[self.glass.query(whole.exterior, predicate="dwithin", distance=FRAME_LINE_MM)]
        frame = shapely.union_all(shapely.buffer(near, FRAME_LINE_MM))
        return bool(whole.exterior.intersection(frame).length >= FRAMED * whole.exterior.length)

    def glazed(self, inner: shapely.Polygon) -> bool:
        return bool(len(self.glass.query(inner, predicate="intersects")))


def _judged(stack: list[int], lines: Floats, whole: shapely.Polygon, thickness: float, drawn: _Drawn) -> Candidate:
    inner = whole.buffer(-1.0)
    if drawn.door(whole, inner) and not drawn.hung(whole) and drawn.framed(whole):
        # What lies in a window's frame is its pane, though its layer is that of doors.
        return Candidate(lines, "window", "check", thickness, (because("jambs-and-glazing"),))
    if drawn.door(whole, inner):
        return Candidate(lines, "door", "sure", thickness, (because("jambs-and-door"),))
    if drawn.glazed(inner):
        why = (because("jambs-and-glazing"),)
        return Candidate(lines, "window", "sure", thickness, why)
    if len(stack) > 1:
        between = len(stack) - 1
        why = (because("jambs-and-line") if between == 1 else because("jambs-and-lines", count=between),)
        return Candidate(lines, "window", "sure", thickness, why)
    return Candidate(lines, "open", "question", thickness, (because("jambs-or-pier"),))


TOGETHER_MM = 60.0
"""Lines of one window lie within this of each other."""
DEEPEST_MM = 700.0
"""A window is no deeper than a thick wall."""
ROUND_CORNER, ELBOW = 0.5, 0.8
"""Lines turn with their wall at such a sine; round a corner they fill less than so much of the box round them."""
REACH_MM, WINDOW_REACH_MM = 380.0, 480.0
"""From a leaf, and from the middle of a window, to the face of its wall: windows stand in the outer half of thick walls
(common practice, no source)."""
WINDOW_WIDTH_MM = (300.0, 6000.0)
NEAR_MM = 250.0
IN_WALL_MM = 45.0
"""So far on either side of a window's middle line there is wall still, where it stands in one."""
BESIDE_MM = 10.0
"""The middle of a window lies in its wall, but for this."""


class WallFaces(NamedTuple):
    """Bodies of walls that are drawn with two lines: ``whole``, and ``strips`` that glass parts them into."""

    whole: NDArray[np.object_]
    strips: NDArray[np.object_]


def loose_openings(
    evidence: Evidence, found: list[Candidate], walls: WallFaces | None = None
) -> tuple[list[Candidate], list[Candidate]]:
    """(windows, doors) drawn where no candidate *found* before accounts for them. ``walls``: where they are drawn
    with two lines; glass that stands in front of one is no window."""
    quads = [shapely.buffer(shapely.multipoints(c.lines.reshape(-1, 2)).convex_hull, NEAR_MM) for c in found]
    taken = shapely.STRtree(quads)
    windows = _windows(evidence.glass_lines, taken)
    if walls is not None and windows:
        lines = np.array([c.lines[0] for c in windows])
        inside = _near(walls.whole, (lines[:, :2] + lines[:, 2:]) / 2)
        across = (lines[:, 2:] - lines[:, :2]) / np.hypot(*(lines[:, 2:] - lines[:, :2]).T)[:, None]
        off = np.stack([-across[:, 1], across[:, 0]], axis=1) * IN_WALL_MM
        middle = (lines[:, :2] + lines[:, 2:]) / 2
        inside |= _near(walls.strips, middle + off, 0.0) & _near(walls.strips, middle - off, 0.0)
        windows = [windows[k] for k in np.flatnonzero(inside).tolist()]
    return windows, _doors(evidence, taken)


def _near(shapes: NDArray[np.object_], points: Floats, off_mm: float = BESIDE_MM) -> NDArray[np.bool_]:
    """Which points lie in one of the shapes, or this near to it."""
    at, _ = shapely.STRtree(shapes).query(shapely.points(points), predicate="dwithin", distance=off_mm)
    return np.isin(np.arange(len(points)), at)


def _free(points: Floats, taken: shapely.STRtree) -> NDArray[np.bool_]:
    free = np.ones(len(points), bool)
    if len(points) and len(taken.geometries):
        at, _ = taken.query(shapely.points(points), predicate="within")
        free[at] = False
    return free


def _windows(glass: Floats, taken: shapely.STRtree) -> list[Candidate]:
    if not len(glass):
        return []
    glass = glass[_free((glass[:, :2] + glass[:, 2:]) / 2, taken)]
    if not len(glass):
        return []
    drawn = shapely.linestrings(glass.reshape(-1, 2, 2))
    a, b = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=TOGETHER_MM)
    label = components(len(drawn), a, b)
    windows = []
    for group in np.unique(label):
        for own in _legs(glass[label == group]):
            line = _long_axis(shapely.oriented_envelope(shapely.multilinestrings(list(own.reshape(-1, 2, 2)))))
            if line is not None:
                why = (because("glazing-over-wall"),)
                windows.append(Candidate(line[None, :], "window", "sure", 0.0, why, reach_mm=WINDOW_REACH_MM))
    return windows


def _legs(glass: Floats) -> list[Floats]:
    """The lines of one window, or of two where it goes round a corner of the house."""
    way = glass[:, 2:] - glass[:, :2]
    size = np.hypot(way[:, 0], way[:, 1])
    long = size >= WINDOW_WIDTH_MM[0]
    if not long.any():
        return [glass]
    first = way[size.argmax()] / size.max()
    turned = long & (np.abs(first[0] * way[:, 1] - first[1] * way[:, 0]) > ROUND_CORNER * size)
    if not turned.any() or (size[turned].max() <= DEEPEST_MM and not _elbow(glass)):
        return [glass]
    return [glass[long & ~turned], glass[turned]]


def _elbow(glass: Floats) -> bool:
    """Whether lines fill only a corner of the box round them: a frame as deep as its wall fills it whole."""
    drawn = shapely.multilinestrings(glass.reshape(-1, 2, 2))
    return bool(drawn.convex_hull.area <= ELBOW * shapely.oriented_envelope(drawn).area)


def _long_axis(shape: shapely.Geometry) -> Floats | None:
    """[x0, y0, x1, y1] down the middle of a window's rectangle, if it has a window's size."""
    xy = shapely.get_coordinates(shape)
    if len(xy) == 2:
        line = np.concatenate([xy[0], xy[1]])
    elif len(xy) == 5:
        u, v = xy[1] - xy[0], xy[2] - xy[1]
        if np.hypot(*u) < np.hypot(*v):
            xy = np.roll(xy[:4], -1, axis=0)
            u, v = v, u
        if np.hypot(*v) > DEEPEST_MM:
            return None
        line = (
            np.concatenate([xy[0] + v / 2, xy[0] + v / 2 + u])
            if len(xy) == 5
            else np.concatenate([(xy[0] + xy[3]) / 2, (xy[1] + xy[2]) / 2])
        )
    else:
        return None
    width = float(np.hypot(*(line[2:] - line[:2])))
    return line if WINDOW_WIDTH_MM[0] <= width <= WINDOW_WIDTH_MM[1] else None


def _doors(evidence: Evidence, taken: shapely.STRtree) -> list[Candidate]:
    """A swing on a wall that runs through; which end of the arc is the closed one shows where a
    wall runs."""
    swings = evidence.swings
    free = _free(swings.hinge, taken)
    doors = []
    for row in np.flatnonzero(free).tolist():
        lines = np.array([(*swings.hinge[row], *end) for end in swings.ends[row]])
        doors.append(Candidate(lines, "door", "check", 0.0, (because("swing-on-wall"),), reach_mm=REACH_MM))
    return doors


ALONG_MM = 60.0
"""A door's stroke is drawn on the line of its wall, but for this."""


def door_strokes(evidence: Evidence, walls: Floats, found: list[Candidate]) -> list[Candidate]:
    """Doors drawn as one stroke on a wall that is a single line and runs through: both its ends lie on
    lines (n, 4) of ``walls``, and it runs along one of them."""
    strokes = evidence.leaves
    d = strokes[:, 2:] - strokes[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    strokes = strokes[(length >= LEAF_MM[0]) & (length <= LEAF_MM[1])]
    if not len(strokes) or not len(walls):
        return []
    taken = [shapely.multipoints(c.lines.reshape(-1, 2)).convex_hull.buffer(NEAR_MM) for c in found]
    strokes = strokes[_free((strokes[:, :2] + strokes[:, 2:]) / 2, shapely.STRtree(taken))]
    zone = shapely.buffer(shapely.linestrings(walls.reshape(-1, 2, 2)), ALONG_MM)
    at, _ = shapely.STRtree(zone).query(shapely.linestrings(strokes.reshape(-1, 2, 2)), predicate="within")
    why = (because("door-stroke"),)
    return [Candidate(strokes[k][None, :], "door", "sure", 0.0, why, reach_mm=REACH_MM) for k in np.unique(at).tolist()]


FRAME_MM = 150.0
"""The parts of one door's drawing lie within this of each other."""
LEAST_DOOR_MM = 500.0
NEAR_OPENING_MM = 300.0


def doors_off_walls(evidence: Evidence, found: list[Candidate], origin: tuple[float, float]) -> list[Finding]:
    """A finding for every door that is drawn where no gap and no wall was found."""
    lines = evidence.leaves
    if not len(lines):
        return []
    taken = [shapely.multipoints(c.lines.reshape(-1, 2)).convex_hull.buffer(NEAR_OPENING_MM) for c in found]
    drawn = shapely.linestrings(lines.reshape(-1, 2, 2))
    a, b = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=FRAME_MM)
    _, label = np.unique(components(len(drawn), a, b), return_inverse=True)
    used = np.zeros(label.max() + 1, bool)
    if taken:
        at, _ = shapely.STRtree(taken).query(drawn, predicate="intersects")
        used[label[at]] = True
    low, high = np.full((len(used), 2), np.inf), np.full((len(used), 2), -np.inf)
    for ends in (lines[:, :2], lines[:, 2:]):
        np.minimum.at(low, label, ends)
        np.maximum.at(high, label, ends)
    size = (high - low).max(axis=1)
    findings = []
    for group in np.flatnonzero(~used & (size >= LEAST_DOOR_MM)).tolist():
        x, y = ((low[group] + high[group]) / 2 + np.array(origin)).tolist()
        findings.append(
            noticed("door-off-wall", Where(x_mm=x, y_mm=y), x=whole(x), y=whole(y), width_mm=whole(size[group]))
        )
    return findings
