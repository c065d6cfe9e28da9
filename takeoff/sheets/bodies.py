"""Wall bodies in plan: what lies between rooms and within the building's outline."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Ring
from takeoff.sheets.curved import only_areas, ring_polygon

NOMINAL_MM = 200.0
"""Thickness at which a wall is drawn where nothing says how thick it is (common practice, no source)."""

_CLOSE_MM = 260.0
"""Half the widest gap between two rooms that is drawn as a wall."""

_SOLID_MM = 650.0
"""Wider than this, what no room covers within a building is a space and no wall."""

_AROUND_MM = 1200.0
"""Walls further than this beyond all rooms are not drawn."""

_TOUCH_MM = 2.0
"""Slack by which a room may stick out of the building's outline and still lie in it."""


def wall_bodies(rooms: Sequence[BaseGeometry], building: Sequence[Ring]) -> tuple[BaseGeometry, bool]:
    """The walls' area, rooms taken out, and whether some of it is drawn at nominal thickness.

    Without rooms and building it is empty.
    """
    spaces = shapely.union_all(list(rooms))
    outline = shapely.union_all([ring_polygon([ring]) for ring in building])
    inside = shapely.buffer(outline, _TOUCH_MM, join_style="mitre")
    shapely.prepare(inside)
    strays = [room for room in rooms if not room.is_empty and not inside.covers(room)]
    body = outline.difference(spaces)
    wide = _grow(_grow(body, -_SOLID_MM / 2), _SOLID_MM / 2 + _TOUCH_MM)
    body = body.difference(wide.difference(_grow(spaces, NOMINAL_MM)))
    if strays:
        closed = _grow(_grow(shapely.union_all(strays), _CLOSE_MM), -_CLOSE_MM)
        body = body.union(_grow(closed, NOMINAL_MM).difference(spaces))
    return only_areas(body), bool(strays)


def near_rooms(body: BaseGeometry, rooms: Sequence[BaseGeometry]) -> BaseGeometry:
    """The walls around the rooms; garden walls and wings without a room would press the plan."""
    if not rooms or body.is_empty:
        return body
    left, low, right, high = shapely.total_bounds(list(rooms))
    frame = shapely.box(left - _AROUND_MM, low - _AROUND_MM, right + _AROUND_MM, high + _AROUND_MM)
    return body if frame.covers(body) else only_areas(body.intersection(frame))


def without_open_sides(body: BaseGeometry, open_sides: Sequence[Curve]) -> BaseGeometry:
    """The walls with a gap beyond every open side, where one space runs into the next."""
    gaps = [_beyond(side) for side in open_sides if side.length > 0]
    return only_areas(body.difference(MultiPolygon(gaps) if len(gaps) == 1 else shapely.union_all(gaps)))


def thickness_at(body: BaseGeometry, side: Curve, at_mm: float) -> float | None:
    """How thick the wall behind a point of a side is, mm; None where no wall is known there."""
    (x, y), (dx, dy) = side.at(at_mm), side.direction(at_mm)
    reach = 2 * _CLOSE_MM + _SOLID_MM
    ray = shapely.linestrings([(x, y), (x + dy * reach, y - dx * reach)])
    for part in shapely.get_parts(ray.intersection(body)):
        near, far = (shapely.distance(shapely.points(x, y), shapely.get_point(part, k)) for k in (0, -1))
        near, far = min(near, far), max(near, far)
        if near <= _TOUCH_MM and far > _TOUCH_MM:
            return float(far)
    return None


def _grow(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    return shapely.buffer(shape, by_mm, join_style="mitre", mitre_limit=3.0)


def _beyond(side: Curve) -> BaseGeometry:
    points = [side.at(side.length * k / 12) for k in range(13)] if side.bulge else [side.at(0.0), side.at(side.length)]
    steps = [side.length * k / (len(points) - 1) for k in range(len(points))]
    reach = NOMINAL_MM + _TOUCH_MM
    outer = []
    for point, step in zip(points, steps, strict=True):
        dx, dy = side.direction(step)
        outer.append((point[0] + dy * reach, point[1] - dx * reach))
    inner = []
    for point, step in zip(points, steps, strict=True):
        dx, dy = side.direction(step)
        inner.append((point[0] - dy * _TOUCH_MM, point[1] + dx * _TOUCH_MM))
    return shapely.make_valid(shapely.polygons([*inner, *outer[::-1]]))
