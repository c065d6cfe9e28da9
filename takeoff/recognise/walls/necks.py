"""Necks of spaces: ways from one room into another that no wall end looks across, because a wall ends beside a corner,
two corners stand opposite each other, or a door hangs in the mouth of a corridor. They are closed where a door swings
in them, and where they go on from a wall's end, as wide as a leaf, or a little wider between two names: a printed area
is met by chance among many ways."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import parcels
from takeoff.plan.reasons import because
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.walls.believed_gaps import DOORWAY_MM, PLAIN_GAP, Gap, quad_of
from takeoff.recognise.walls.drawn_stairs import Flight, outline_of
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.opening_evidence import Swings
from takeoff.recognise.walls.room_spaces import Space

Floats = NDArray[np.float64]

NARROWEST_MM = 500.0
"""A way is no narrower (common practice, no source)."""
LEAST_M2 = 1.2
"""Each part that a neck parts off is so large, or it is a niche (common practice, no source)."""
REFLEX_SINE = 0.3
"""A corner turns by more."""
ALIKE_MM, HUNG_MM = 150.0, 250.0
"""A leaf is as long as its way is wide, but for so much, and its hinge and where it shuts lie so near to the jambs."""
AT_STAIR_MM = 600.0
"""What ends so near to a flight is its well or the wall beside it, past which one turns on the landing."""
WALL_END_MM, WALL_DEEP_MM, ALONG_COS = 350.0, 800.0, 0.9
"""The end of a wall is as thick, its faces run back so far, and a way goes on from it within 25° of them; what is
shorter is a column."""
ROOM_M2 = 4.0
"""What a way without a leaf parts off is a room from this size on (common practice, no source)."""
LEAF_MM, NAMED_MM = 1050.0, 1800.0
"""Where leaves are drawn, a way without one that no other wall end looks across is no wider, nor one between two parts
that have a name each (common practice, no source)."""
NOT_ONE_MM = 700.0
"""What lies nearer to a way that is closed leads through the same wall."""
MOST_CORNERS = 400
"""A space with more corners than that has no plain walls."""


class Chord(NamedTuple):
    """A line across a space from a corner that juts into it, and how long it is."""

    start: Floats
    end: Floats
    width: float


def neck_gaps(
    spaces: list[Space], swings: Swings, gaps: list[Gap], flights: tuple[Flight, ...], words: list[Placed]
) -> list[Gap]:
    """The gaps that close such necks; none across a space that has none, and none from what stands between the
    ``flights`` of a stair. ``gaps``: those that are closed already; ``words``: those that speak of rooms."""
    taken = _hung_elsewhere(swings, gaps)
    stairs = shapely.union_all([outline_of(flight, AT_STAIR_MM) for flight in flights])
    found: list[Gap] = []
    for space in spaces:
        if space.polygon.area >= 2 * LEAST_M2 * 1e6:
            found += _of_space(space, swings, taken)
    if len(swings.hinge):
        signs = _Signs(
            shapely.STRtree([g.quad for g in gaps if g.kind == "door" and g.confirmed]),
            shapely.STRtree([shapely.Point(w.x, w.y) for w in words if w.words.kind == "name"]),
        )
        for space in spaces:
            # Where an area is printed, it tells what a room is.
            if not any(words[k].words.kind == "area" for k in space.words):
                found += _as_doorways(space, NAMED_MM, signs)
    else:
        found += [gap for space in spaces for gap in _as_doorways(space, DOORWAY_MM[1])]
    return [g for g in found if not shapely.MultiPoint(g.bridge.lines.reshape(2, 2)).intersects(stairs)]


def _hung_elsewhere(swings: Swings, gaps: list[Gap]) -> NDArray[np.bool_]:
    """Which swings hang in a gap that is closed, of their width."""
    taken = np.zeros(len(swings.hinge), bool)
    doors = [g for g in gaps if g.kind == "door"]
    if not len(taken) or not doors:
        return taken
    near = shapely.STRtree([g.quad for g in doors])
    row, gap = near.query(shapely.points(swings.hinge), predicate="dwithin", distance=HUNG_MM)
    for k, g in zip(row.tolist(), gap.tolist(), strict=True):
        width = doors[g].bridge.width_mm
        taken[k] |= min(abs(width - swings.radius[k]), abs(width - 2 * swings.radius[k])) <= ALIKE_MM
    return taken


def _of_space(space: Space, swings: Swings, taken: NDArray[np.bool_]) -> list[Gap]:
    polygon = shapely.orient_polygons(space.polygon)
    corners, edges = jutting_corners(polygon)
    if not 0 < len(corners) <= MOST_CORNERS or not polygon.is_valid:
        return []
    shapely.prepare(polygon)
    hung = [k for k in np.flatnonzero(~taken).tolist() if polygon.distance(shapely.Point(swings.hinge[k])) <= HUNG_MM]
    if not hung:
        return []
    reach = max(float(swings.radius[k]) for k in hung) + ALIKE_MM
    found: list[Gap] = []
    closed: list[shapely.LineString] = []
    for chord in sorted(chords(corners, edges, reach), key=lambda c: c.width):
        line = shapely.LineString([chord.start, chord.end])
        if not _hangs(chord, hung, swings) or any(line.distance(other) <= NOT_ONE_MM for other in closed):
            continue
        parts = parts_of(polygon, line) if runs_inside(polygon, line) else []
        if len(parts) != 2 or min(p.area for p in parts) < LEAST_M2 * 1e6:
            continue
        bridge = Bridge(np.array([(*chord.start, *beyond(chord))]), chord.width, 0.0, (-1, -1))
        found.append(Gap(bridge, "door", True, (because("swing"),), -1, quad_of(bridge)))
        closed.append(line)
    return found


class _Signs(NamedTuple):
    """The leaves of a plan and the names written in it."""

    leaves: shapely.STRtree
    names: shapely.STRtree

    def tell(self, parts: list[shapely.Polygon], width_mm: float) -> bool:
        """Whether each of the parts beside a way has a name, or a leaf at least where the way is no wider than one."""
        named = [len(self.names.query(part, predicate="contains")) > 0 for part in parts]
        hung = [len(self.leaves.query(part, predicate="dwithin", distance=ALIKE_MM)) > 0 for part in parts]
        return all(a or b for a, b in zip(named, hung, strict=True)) if width_mm <= LEAF_MM else all(named)


def _as_doorways(space: Space, widest_mm: float, signs: _Signs | None = None) -> list[Gap]:
    """Ways as wide as a door between two parts that are rooms by their size: where a plan draws no leaves every door is
    a plain gap, those between a wall's end and a corner beside it as well. ``signs``: those of a
    plan that draws leaves."""
    polygon = shapely.orient_polygons(space.polygon)
    corners, edges = jutting_corners(polygon)
    if float(polygon.area) < 2 * ROOM_M2 * 1e6 or not 0 < len(corners) <= MOST_CORNERS or not polygon.is_valid:
        return []
    shapely.prepare(polygon)
    ends = _wall_ends(polygon)
    for chord in sorted(chords(corners, edges, widest_mm), key=lambda c: c.width):
        if not any(_goes_on(chord, place, way) for place, way in ends):
            continue
        line = shapely.LineString([chord.start, chord.end])
        parts = parts_of(polygon, line) if chord.width >= DOORWAY_MM[0] and runs_inside(polygon, line) else []
        if len(parts) != 2 or min(p.area for p in parts) < ROOM_M2 * 1e6:
            continue
        if signs is None or signs.tell(parts, chord.width):
            bridge = Bridge(np.array([(*chord.start, *beyond(chord))]), chord.width, 0.0, (-1, -1))
            gap = Gap(bridge, "open", False, (PLAIN_GAP,), -1, quad_of(bridge))
            rest = [space._replace(polygon=part) for part in parts]
            return [gap, *(more for part in rest for more in _as_doorways(part, widest_mm, signs))]
    return []


def _wall_ends(polygon: shapely.Polygon) -> list[tuple[Floats, Floats]]:
    """(a corner, the unit direction in which its wall would go on) for both corners of the ends of walls that stand out
    into a space: as thick as a wall, with faces that run back side by side."""
    found = []
    for ring in (polygon.exterior, *polygon.interiors):
        xy = shapely.get_coordinates(shapely.simplify(ring, 0.05))[:-1]
        a, b, c, d = (np.roll(xy, -k, axis=0) for k in range(4))
        ahead, across, back = b - a, c - b, d - c
        long, thick, far = (np.maximum(np.hypot(*v.T), 1e-9) for v in (ahead, across, back))
        fits = (thick <= WALL_END_MM) & (np.minimum(long, far) >= WALL_DEEP_MM)
        fits &= (ahead * back).sum(axis=1) <= -ALONG_COS * long * far
        fits &= np.abs((ahead * across).sum(axis=1)) <= REFLEX_SINE * long * thick
        for k in np.flatnonzero(fits).tolist():
            if not polygon.contains(shapely.Point((b[k] + c[k]) / 2 - ahead[k] / long[k])):
                found += [(b[k], ahead[k] / long[k]), (c[k], ahead[k] / long[k])]
    return found


def _goes_on(chord: Chord, place: Floats, way: Floats) -> bool:
    """Whether a chord starts or ends at a place and leaves it rather in a direction."""
    for own, other in ((chord.start, chord.end), (chord.end, chord.start)):
        if float(np.hypot(*(own - place))) <= 1.0:
            return float((other - own) @ way) >= ALONG_COS * chord.width
    return False


def beyond(chord: Chord) -> tuple[float, float]:
    """The end of a chord, a hair into the wall that it ends on."""
    way = (chord.end - chord.start) / chord.width
    x, y = (chord.end + way * 0.05).tolist()
    return x, y


def jutting_corners(polygon: shapely.Polygon) -> tuple[Floats, Floats]:
    """(corners (c, 2) that jut into the space, all its edges (e, 4))"""
    jutting, edges = [], []
    for ring in (polygon.exterior, *polygon.interiors):
        xy = shapely.get_coordinates(shapely.simplify(ring, 0.05))[:-1]
        before, after = xy - np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0) - xy
        length = np.maximum(np.hypot(*before.T) * np.hypot(*after.T), 1e-9)
        turn = (before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]) / length
        jutting.append(xy[turn <= -REFLEX_SINE])
        edges.append(np.concatenate([xy, np.roll(xy, -1, axis=0)], axis=1))
    return np.concatenate(jutting), np.concatenate(edges)


def chords(corners: Floats, edges: Floats, reach: float) -> list[Chord]:
    """From each corner to the others within reach, and straight to the edges opposite."""
    found = []
    points = shapely.points(corners)
    i, j = shapely.STRtree(points).query(points, predicate="dwithin", distance=reach)
    for a, b in zip(i.tolist(), j.tolist(), strict=True):
        width = float(np.hypot(*(corners[b] - corners[a])))
        if a < b and width >= NARROWEST_MM:
            found.append(Chord(corners[a], corners[b], width))
    drawn = shapely.linestrings(edges.reshape(-1, 2, 2))
    i, j = shapely.STRtree(drawn).query(points, predicate="dwithin", distance=reach)
    for a, e in zip(i.tolist(), j.tolist(), strict=True):
        p, along = edges[e, :2], edges[e, 2:] - edges[e, :2]
        part = float((corners[a] - p) @ along) / max(float(along @ along), 1e-9)
        foot = p + along * part
        width = float(np.hypot(*(foot - corners[a])))
        if 0.0 < part < 1.0 and NARROWEST_MM <= width <= reach:
            found.append(Chord(corners[a], foot, width))
    return found


def _hangs(chord: Chord, hung: list[int], swings: Swings) -> bool:
    """Whether a door swings in a way: hinged at one of its jambs, and shut at the other."""
    for k in hung:
        if abs(float(swings.radius[k]) - chord.width) > ALIKE_MM:
            continue
        for jamb, other in ((chord.start, chord.end), (chord.end, chord.start)):
            hinged = float(np.hypot(*(swings.hinge[k] - jamb))) <= HUNG_MM
            if hinged and float(np.hypot(*(swings.ends[k] - other).T).min()) <= HUNG_MM:
                return True
    return False


def runs_inside(polygon: shapely.Polygon, line: shapely.LineString) -> bool:
    """Whether a chord runs through the space alone."""
    return bool(polygon.contains(line.interpolate(0.5, normalized=True))) and (
        float(line.difference(polygon).length) <= 1.0
    )


def parts_of(polygon: shapely.Polygon, line: shapely.LineString) -> list[shapely.Polygon]:
    """The parts of a space on both sides of a chord; the space alone where it goes round one of its ends."""
    return [p for p in parcels([polygon.boundary, _longer(line)]) if polygon.contains(shapely.point_on_surface(p))]


def _longer(line: shapely.LineString) -> shapely.LineString:
    (ax, ay), (bx, by) = line.coords
    dx, dy = (bx - ax) / line.length, (by - ay) / line.length
    return shapely.LineString([(ax - dx * 0.05, ay - dy * 0.05), (bx + dx * 0.05, by + dy * 0.05)])
