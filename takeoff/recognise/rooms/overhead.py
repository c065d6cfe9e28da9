"""Dashed lines inside rooms: what may hang or lie above, as questions; no geometry is made of them."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.noding import parcels
from takeoff.language import quoted, tr
from takeoff.language.lists import some_of
from takeoff.plan.model import Job, Room
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.walls.bounding_lines import FARTHEST_MM, is_dashed, tangled
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.units.printing import shown, whole

Floats = NDArray[np.float64]

NOT_ABOVE = (
    "wall",
    "column",
    "demolished",
    "furniture",
    "service",
    "grid",
    "site",
    "door",
    "dimension",
    "text",
    "frame",
    "glazing",
)
"""Dashed lines on layers of these roles are told elsewhere, or are nothing above."""
FROM_WALL_MM = 60.0
"""Nearer to a wall than this a dashed line is a finish, a coving or the wall itself."""
SHORTEST_MM = 300.0
LEAST_M2 = 0.05
OWN_BORDER = 0.2
"""An outline is dashed along at least this part of its border; the rest is wall."""
HALF = 0.5
BEAM_MM = 500.0
ROOFLIGHT_M2 = 2.5
MOST_PARTS = 12
"""More dashed outlines in one room are a pattern."""
MOST_LINES = 2000
"""And so are more dashed lines."""
LISTED = 3


class _Above(NamedTuple):
    """Dashed lines of a room: outlines that they close (with its walls), and lines that close none."""

    outlines: list[shapely.Polygon]
    lines: list[shapely.LineString]


def overhead(drawing: Drawing, guesses: tuple[LayerGuess, ...], job: Job) -> tuple[Finding, ...]:
    """One finding for each room that dashed lines lie in, with their places and sizes."""
    dashed = _dashed_lines(drawing, guesses)
    if not len(dashed):
        return ()
    tree = shapely.STRtree(dashed)
    found = []
    for storey in job.storeys:
        for room in storey.rooms:
            shape = sound_polygon(room)
            near = tree.query(shape, predicate="intersects")
            if not len(near):
                continue
            above = _above(shape, dashed[near])
            if above.outlines or above.lines:
                found.append(_finding(storey.id, room, above))
    return tuple(found)


def _dashed_lines(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> NDArray[np.object_]:
    work = drawing.lines
    source = np.array([is_dashed(s.linetype) and s.role == "line" for s in drawing.sources] or [False])
    layer = np.array([g.role not in NOT_ABOVE for g in guesses] or [False])
    layer &= np.array([s.state == "on" for s in drawing.layers] or [False])
    if not (source.any() and layer.any()):
        return np.zeros(0, object)
    near = np.all(np.abs(work.segments) < FARTHEST_MM, axis=1)
    rows = near & source[work.segment_source] & layer[work.segment_layer]
    return np.asarray(shapely.linestrings(work.segments[rows].reshape(-1, 2, 2)))


def _above(shape: shapely.Polygon, dashed: NDArray[np.object_]) -> _Above:
    inner = shape.buffer(-FROM_WALL_MM, join_style="mitre")
    inside = shapely.intersection(dashed, inner)
    kept = dashed[shapely.length(inside) > 1.0]
    if not len(kept) or len(kept) > MOST_LINES or tangled(shapely.get_coordinates(kept).reshape(-1, 4)):
        return _Above([], [])
    lines = shapely.line_merge(shapely.union_all(shapely.intersection(kept, shape)))
    pieces = [p for p in shapely.get_parts(lines) if p.geom_type == "LineString"]
    reaching = [_to_the_wall(p, shape.boundary) for p in pieces]
    outlines = _outlines(shape, parcels([*reaching, shape.boundary]), shapely.union_all(reaching).buffer(1.0))
    if len(outlines) > MOST_PARTS:
        return _Above([], [])
    held = shapely.union_all(outlines).buffer(5.0) if outlines else None
    free = [p for p in pieces if held is None or not held.covers(p)]
    return _Above(outlines, [p for p in free if p.length >= SHORTEST_MM] if len(free) <= MOST_PARTS else [])


def _to_the_wall(line: shapely.LineString, wall: shapely.Geometry) -> shapely.LineString:
    """An end that stops just short of the wall is meant to reach it."""
    xy = shapely.get_coordinates(line)
    ends = []
    for end, before in ((xy[0], xy[1]), (xy[-1], xy[-2])):
        d = end - before
        short = wall.distance(shapely.Point(end)) <= FROM_WALL_MM
        ends.append(end + d / max(float(np.hypot(*d)), 1e-9) * FROM_WALL_MM if short else end)
    return shapely.LineString([ends[0], *xy[1:-1], ends[1]])


def _outlines(shape: shapely.Polygon, parts: list[shapely.Polygon], dashed: shapely.Geometry) -> list[shapely.Polygon]:
    """Which parts of a room the dashed lines close, small before large; the rest of a room beside a beam is nothing of
    its own."""
    found: list[shapely.Polygon] = []
    told: list[shapely.Polygon] = []
    for part in sorted(parts, key=lambda p: float(p.area)):
        if not LEAST_M2 * 1e6 <= part.area <= HALF * shape.area:
            continue
        own = part.boundary.intersection(dashed)
        if own.length < OWN_BORDER * part.length:
            continue
        beside = shapely.union_all([border for border in told if border.intersects(own)])
        if own.difference(beside).length >= HALF * own.length:
            found.append(part)
            told.append(part.boundary.buffer(1.0))
        # a caller that is handed more than it tells tells none
        if len(found) > MOST_PARTS:
            break
    return found


def _finding(storey: str, room: Room, above: _Above) -> Finding:
    name = quoted(room.name) if room.name else room.title
    said = [_outline(p) for p in sorted(above.outlines, key=lambda p: -p.area)]
    said += [_line(p) for p in above.lines]
    first = (above.outlines or above.lines)[0].centroid
    where = Where(storey=storey, room=room.id, x_mm=first.x, y_mm=first.y)
    return noticed("dashed-overhead", where, room=name, listed=some_of(said, LISTED, "; "))


def _outline(part: shapely.Polygon) -> str:
    xy = shapely.get_coordinates(shapely.oriented_envelope(part))
    a, b = sorted((math.dist(xy[0], xy[1]), math.dist(xy[1], xy[2])))
    if a <= BEAM_MM and b >= 3 * a:
        what = tr("a beam or a boxing?")
    elif part.area <= ROOFLIGHT_M2 * 1e6:
        what = tr("a rooflight or a bulkhead?")
    else:
        what = tr("a lower or a sloping part of the ceiling?")
    at = part.centroid
    return tr(
        "an outline of {long} × {wide} m at {x}, {y} ({what})",
        long=shown(b / 1000),
        wide=shown(a / 1000),
        x=whole(at.x),
        y=whole(at.y),
        what=what,
    )


def _line(line: shapely.LineString) -> str:
    at = line.interpolate(0.5, normalized=True)
    return tr(
        "a line of {length} m at {x}, {y} (a ridge, a beam, or the edge of something above?)",
        length=shown(line.length / 1000),
        x=whole(at.x),
        y=whole(at.y),
    )
