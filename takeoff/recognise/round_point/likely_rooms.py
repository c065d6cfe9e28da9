"""The rooms that may be meant by a point, the likeliest first.

Which lines are walls is tried in several ways: as the whole drawing was read, with its gaps shut or open; all that
may bound something but for what stands in rooms; and all that is drawn. What is reached among them from the point
without passing a door is a room for each way and each width of door. The likeliest is closed by walls with two faces
for most of its length and by few mouths, holds one name, has the area that is printed in it and covers no room that is
known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.model import Vertex
from takeoff.recognise.rooms.borders import Border, rings_of
from takeoff.recognise.rooms.making import Written, own_area, written_in
from takeoff.recognise.round_point.drawn_outlines import Outline, outlines
from takeoff.recognise.round_point.known_ground import Ground, Way
from takeoff.recognise.round_point.reached_ground import ROUND_MM, Reached, field, reached

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HALF_MM, SIZE_MM = (6_000.0, 12_000.0, 30_000.0, 64_000.0), (30.0, 40.0, 75.0, 160.0)
"""Half the ground that is looked at, the next where the room goes on beyond it, and how finely."""
AS_MUCH, LARGEST_MM2 = 0.015, 400e6
"""What has as many squares in the same place, but for this part, was reached before; what is larger is not looked at
once something was found."""
CERTAIN = 0.85
"""Walls for this part of the border are walls all round."""
LEAST_M2, SMALL_M2, LARGE_M2 = 0.6, 1.5, 120.0
"""A room is no smaller; one that is smaller than the second, or larger than the third, is less likely."""
BARE_M2 = 3.0
"""What is smaller and has no name is rather a bed, a table or a duct."""
SAME_SHAPE = 0.97
"""Two outlines that have this part of their ground in common are one."""
READ, DOUBTED = 0.45, 2.0
"""What speaks for a space that was read beside one that is only reached, and what against one that is there already in
doubt: who points at it wants another."""
WALL_MM, STEP_MM, PARALLEL = (40.0, 480.0), 120.0, 0.12
"""The other face of a wall lies so far off its one, parallel to within 7 degrees; it is looked for at every step."""
DOOR_MM, NECK_MM, PART_MM2 = 1150.0, 490.0, 5e5
"""A door in its frame is no wider than the first; two grounds of a room with no more than twice the second between
them, each of so much beside the walls, are rather two rooms."""
SAME_THICK_MM, UNUSUAL = 15.0, 0.5
"""Walls of one plan have few thicknesses; two lines that are otherwise far apart count for so much of a wall."""
ENDED, ON_LINE_MM = 3.0, 5.0
"""What speaks for an outline that runs along a line which the user drew for rooms to end at."""
NO_LINES = np.zeros((0, 4))
STARTS_MM = np.array(
    [(0.0, 0.0), *((r * np.cos(t), r * np.sin(t)) for r in (500.0, 1000.0) for t in np.arange(6) * np.pi / 3)]
)
"""Where a disc starts from, round the point: that may lie on a table or a bed."""


class Likely(NamedTuple):
    """A room that may be meant: its outline in mm near the origin, its rings with their arcs, what is written in it,
    whether the printed area is its own, which part of its border are walls and which part was shut, its score, and
    whether it was read as a space of the whole drawing."""

    polygon: shapely.Polygon
    rings: tuple[tuple[Vertex, ...], ...]
    written: Written
    printed: bool
    walled: float
    shut: float
    score: float
    read: bool


def likely_rooms(
    ground: Ground,
    x: float,
    y: float,
    taken: Sequence[shapely.Polygon] = (),
    bounds: Floats = NO_LINES,
    doubted: Sequence[shapely.Polygon] = (),
) -> list[Likely]:
    """The rooms that may be meant by a point near the origin, the likeliest first; empty where nothing is closed
    round it. ``taken``: rooms that are known, which bound others and lie in none; ``bounds`` (n, 4): lines that the
    user drew for rooms to end at; ``doubted``: rooms that are there in doubt."""
    at = shapely.Point(x, y)
    more = np.concatenate([bounds, *_borders(taken)])
    drawn = shapely.multilinestrings(bounds.reshape(-1, 2, 2))
    found = [
        _judged(ground, space.polygon, space.rings, np.zeros((0, 4)), READ, taken)
        for space in ground.spaces
        if space.polygon.contains(at) and not space.polygon.crosses(drawn)
    ]
    seen: list[_Sign] = []
    for way in ground.ways:
        if not way.of_walls and any(_beyond_doubt(one) for one in found):
            break
        for shape in _outlines(way, x, y, more, seen):
            if any(_alike(shape.polygon, space.polygon) for space in ground.spaces):
                continue
            border = Border(shape.graph, shape.arc, ground.arcs)
            rings = tuple(tuple(ring) for ring in rings_of(border, shape.polygon))
            found.append(_judged(ground, shape.polygon, rings, shape.shut, way.worth, taken))
    found = [_weighed(f, bounds, doubted) for f in found if f.polygon.area >= LEAST_M2 * 1e6]
    found.sort(key=lambda f: -f.score)
    kept: list[Likely] = []
    for f in found:
        if not any(_alike(f.polygon, k.polygon) for k in kept):
            kept.append(f)
    return kept


def _beyond_doubt(likely: Likely) -> bool:
    """Whether all lines that are drawn need not be tried as well: the printed area agrees, or there is one name, and
    walls all round."""
    if likely.printed:
        return True
    return len(likely.written.names) == 1 and likely.walled >= CERTAIN and likely.shut <= 1.0 - CERTAIN


def _weighed(likely: Likely, bounds: Floats, doubted: Sequence[shapely.Polygon]) -> Likely:
    """With what the user says by lines for rooms to end at, and by pointing where a room in doubt is already."""
    score = likely.score
    if len(bounds):
        middle = shapely.points((bounds[:, :2] + bounds[:, 2:]) / 2)
        score += ENDED if (shapely.distance(middle, likely.polygon.exterior) <= ON_LINE_MM).any() else 0.0
    if not likely.printed and any(_alike(likely.polygon, other) for other in doubted):
        score -= DOUBTED
    return likely._replace(score=score)


def _alike(a: shapely.Polygon, b: shapely.Polygon) -> bool:
    if min(a.area, b.area) < SAME_SHAPE * max(a.area, b.area):
        return False
    both = a.intersection(b).area
    return bool(both >= SAME_SHAPE * (a.area + b.area - both))


def _near(xy: Floats, x: float, y: float, half: float) -> NDArray[np.int64]:
    low, high = np.minimum(xy[:, :2], xy[:, 2:]), np.maximum(xy[:, :2], xy[:, 2:])
    return np.flatnonzero(((low <= [x + half, y + half]) & (high >= [x - half, y - half])).all(axis=1))


def _borders(taken: Sequence[shapely.Polygon]) -> list[Floats]:
    rings = [shapely.get_coordinates(polygon.exterior) for polygon in taken]
    return [np.hstack([ring[:-1], ring[1:]]) for ring in rings]


class _Sign(NamedTuple):
    """By what ground that was reached is known again: where it begins, how much it is, by how many mouths."""

    size_mm: float
    at: tuple[int, int]
    squares: int
    mouths: int

    def same(self, other: _Sign) -> bool:
        apart = max(abs(a - b) for a, b in zip(self.at, other.at, strict=True))
        alike = abs(self.squares - other.squares) <= AS_MUCH * self.squares
        return self.size_mm == other.size_mm and self.mouths == other.mouths and apart <= 3 and alike


def _outlines(way: Way, x: float, y: float, more: Floats, seen: list[_Sign]) -> list[Outline]:
    """What is reached from the point among the lines of one way and some more, and was not reached before."""
    found: list[Outline] = []
    wanted = list(ROUND_MM)
    at = shapely.Point(x, y)
    ends = np.concatenate([way.xy.reshape(-1, 2), more.reshape(-1, 2)])
    if not len(ends) or (ends.min(axis=0) >= (x, y)).any() or (ends.max(axis=0) <= (x, y)).any():
        return []
    for half, size in zip(HALF_MM, SIZE_MM, strict=True):
        rows, others = _near(way.xy, x, y, half), _near(more, x, y, half)
        own = np.concatenate([way.xy[rows], more[others]])
        arc = np.concatenate([way.arc[rows], np.full(len(others), -1)])
        base = field(own, (x - half, y - half), (x + half, y + half), size)
        beyond: list[float] = []
        for starts in (STARTS_MM[:1], STARTS_MM[1:]):
            for r in wanted:
                for got in reached(base, np.array([x, y]) + starts, r):
                    if not got.whole:
                        beyond.append(r)
                    elif _is_new(got, size, seen, bool(found)):
                        found += [s for s in outlines(own, arc, base, got, way.of_walls) if s.polygon.contains(at)]
            if found or beyond:
                break
        wanted = list(dict.fromkeys(beyond))
        if not wanted or (found and half > HALF_MM[0]) or (not way.of_walls and found):
            break
    return found


def _is_new(got: Reached, size_mm: float, seen: list[_Sign], found: bool) -> bool:
    sign = _Sign(size_mm, (got.inner[0], got.inner[1]), int(got.inside.sum()), len(got.mouths))
    if any(sign.same(other) for other in seen):
        return False
    seen.append(sign)
    return not found or sign.squares * size_mm * size_mm <= LARGEST_MM2


def _judged(
    ground: Ground,
    polygon: shapely.Polygon,
    rings: tuple[tuple[Vertex, ...], ...],
    shut_lines: Floats,
    worth: float,
    taken: Sequence[shapely.Polygon],
) -> Likely:
    area = float(polygon.area) / 1e6
    shapely.prepare(polygon)
    written = written_in([w for w in ground.spoken if shapely.contains_xy(polygon, w.x, w.y)], area)
    walled, shut = _walled(ground, polygon, shut_lines)
    wide = np.hypot(*(shut_lines[:, 2:] - shut_lines[:, :2]).T)
    ways = float(wide[wide > DOOR_MM].sum() / polygon.exterior.length)
    score = worth + 3.0 * walled - 1.0 * shut - 3.0 * ways - 0.7 * _necks(polygon)
    printed = own_area(written, area) is not None
    if printed:
        score += 4.0
    elif len(written.areas) == 1:
        said = written.areas[0].words.value
        score += 1.5 * max(0.0, 1.0 - 8.0 * abs(said - area) / max(said, area))
    names = len(written.names)
    score += 1.0 if names == 1 else 0.7 * min(1 - names, 0)
    score -= 1.5 if area < SMALL_M2 else 0.0
    score -= 1.0 if area < BARE_M2 and not names else 0.0
    score -= 1.0 if area > LARGE_M2 else 0.0
    score += 0.8 * area * 1e6 / float(polygon.minimum_rotated_rectangle.area)
    score -= 4.0 * sum(float(polygon.intersection(t).area) for t in taken) / float(polygon.area)
    return Likely(polygon, rings, written, printed, walled, shut, score, worth == READ)


def _necks(polygon: shapely.Polygon) -> int:
    """How many places of a door's width part the outline into grounds of a room's size."""
    parts = shapely.get_parts(polygon.simplify(NECK_MM / 10).buffer(-NECK_MM, join_style="mitre"))
    return max(int((shapely.area(parts) >= PART_MM2).sum()) - 1, 0)


def _walled(ground: Ground, polygon: shapely.Polygon, shut_lines: Floats) -> tuple[float, float]:
    """(which part of the outline is a wall with its other face behind it, which part was shut across a mouth)"""
    ring = polygon.exterior
    steps = np.arange(STEP_MM / 2, ring.length, STEP_MM)
    at = shapely.get_coordinates(shapely.line_interpolate_point(ring, steps))
    nxt = shapely.get_coordinates(shapely.line_interpolate_point(ring, steps + 1.0))
    unit = nxt - at
    unit /= np.maximum(np.hypot(*unit.T), 1e-9)[:, None]
    out = np.stack([unit[:, 1], -unit[:, 0]], axis=1) * (1 if shapely.is_ccw(ring) else -1)
    rays = shapely.linestrings(np.stack([at + out * WALL_MM[0], at + out * WALL_MM[1]], axis=1))
    low, high = at.min(axis=0) - 600, at.max(axis=0) + 600
    xy = ground.drawn
    near = xy[((np.minimum(xy[:, :2], xy[:, 2:]) <= high) & (np.maximum(xy[:, :2], xy[:, 2:]) >= low)).all(axis=1)]
    way = near[:, 2:] - near[:, :2]
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    backed = np.zeros(len(at))
    if len(near):
        ray, line = shapely.STRtree(shapely.linestrings(near.reshape(-1, 2, 2))).query(rays, predicate="intersects")
        cross = np.abs(unit[ray, 0] * way[line, 1] - unit[ray, 1] * way[line, 0])
        ray, line = ray[cross <= PARALLEL], line[cross <= PARALLEL]
        backed[ray] = UNUSUAL if len(ground.thick) else 1.0
        if len(ground.thick):
            off = near[line, :2] - at[ray]
            far = np.abs(off[:, 0] * way[line, 1] - off[:, 1] * way[line, 0])
            usual = (np.abs(far[:, None] - ground.thick[None]) <= SAME_THICK_MM).any(axis=1)
            backed[ray[usual]] = 1.0
    shut = np.zeros(len(at), bool)
    if len(shut_lines):
        cut = shapely.multilinestrings(shut_lines.reshape(-1, 2, 2))
        shut = shapely.dwithin(shapely.points(at), cut, 5.0)
    return float((backed * ~shut).sum() / max((~shut).sum(), 1)), float(shut.mean())
