"""Between rings with bulges and shapely's straight facets, so that curves are drawn as curves."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.geometry.rings import ring_curves
from takeoff.plan.model import Ring, Vertex
from takeoff.sheets.sheet_values import Course, Point

_FACET_RAD = math.radians(3)
"""Facets while shapes are cut; they are put back into arcs afterwards."""

_ON_ARC_MM = 0.6
"""A cut or offset vertex this near to a common radius belongs to an arc; offsetting facets of 3°
by half a metre moves vertices by 0.2 mm."""

_STEP_RAD = math.radians(6.5)
"""Vertices further apart than two facets are ends of different arcs."""

_FEWEST = 4
"""Vertices that make an arc: three may lie on a common radius by chance."""


def facets(curve: Curve) -> list[Point]:
    """Points along a curve from its start up to, not including, its end."""
    if curve.bulge == 0.0:
        return [(curve.x0, curve.y0)]
    count = max(1, math.ceil(curve.length / curve.radius / _FACET_RAD))
    return [curve.at(curve.length * k / count) for k in range(count)]


def course_curves(course: Course) -> list[Curve]:
    """The pieces of an open course; none for fewer than two points."""
    return [Curve(a[0], a[1], b[0], b[1], a[2]) for a, b in itertools.pairwise(course)]


def course_line(course: Course) -> LineString:
    """A course as a faceted line."""
    points = [point for curve in course_curves(course) for point in facets(curve)]
    return LineString([*points, course[-1][:2]])


def ring_polygon(rings: Sequence[Ring]) -> BaseGeometry:
    """The area of an outer ring less the inner ones, valid; empty for rings without an area."""
    outlines = [[p for curve in ring_curves(ring) for p in facets(curve)] for ring in rings if len(ring) > 1]
    outlines = [points for points in outlines if len(points) > 2]
    if not outlines:
        return Polygon()
    shape = shapely.make_valid(Polygon(outlines[0], outlines[1:]))
    return only_areas(shape)


def only_areas(shape: BaseGeometry) -> BaseGeometry:
    """The polygons of a shape; lines and points that an operation left over are dropped."""
    parts = [part for part in shapely.get_parts(shapely.get_parts(shape)) if isinstance(part, Polygon)]
    return MultiPolygon(parts) if len(parts) != 1 else parts[0]


def arc_centres(curves: Iterable[Curve]) -> tuple[Point, ...]:
    """Centres of the arcs among curves, each once to 0.001 mm."""
    return tuple(dict.fromkeys((round(c.cx, 3), round(c.cy, 3)) for c in curves if c.bulge))


def area_rings(shape: BaseGeometry, centres: Sequence[Point] = ()) -> tuple[Ring, ...]:
    """The rings of a shape's polygons, with runs of facets round a centre made arcs again."""
    rings = []
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon) and not part.is_empty:
            rings += [part.exterior, *part.interiors]
    return tuple(_with_arcs(list(ring.coords)[:-1], centres) for ring in rings)


def _with_arcs(points: list[Point], centres: Sequence[Point]) -> Ring:
    if not centres:
        return tuple((x, y, 0.0) for x, y in points)
    start = _start_off_arc(points, centres)
    points = points[start:] + points[:start]
    ring: list[Vertex] = []
    at, count = 0, len(points)
    while at < count:
        last, centre = _longest_run(points, at, centres)
        if centre is None:
            ring.append((*points[at], 0.0))
            at += 1
            continue
        middle = (at + last) // 2
        ring.append((*points[at], _bulge(points[at], points[middle], centre)))
        ring.append((*points[middle], _bulge(points[middle], points[last % count], centre)))
        at = last
    return tuple(ring)


def _start_off_arc(points: list[Point], centres: Sequence[Point]) -> int:
    """A vertex where no arc runs through, so that none is cut at the ring's start."""
    for k in range(len(points)):
        around = [points[k - 1], points[k], points[(k + 1) % len(points)]]
        if all(_longest_run(around, 0, centres, fewest=3)[1] is None for _ in (0,)):
            return k
    return 0


def _longest_run(
    points: list[Point], at: int, centres: Sequence[Point], fewest: int = _FEWEST
) -> tuple[int, Point | None]:
    """The last vertex (it may be one past the list: the first again) of an arc that starts here."""
    best, found = at, None
    for centre in centres:
        radius = math.dist(points[at], centre)
        last = at
        while last < len(points):
            here, after = points[last % len(points)], points[(last + 1) % len(points)]
            if last + 1 > len(points) or abs(math.dist(after, centre) - radius) > _ON_ARC_MM:
                break
            if abs(_turn(here, after, centre)) > _STEP_RAD:
                break
            last += 1
        if last - at + 1 >= fewest and last > best:
            best, found = min(last, len(points)), centre
    return best, found


def _turn(a: Point, b: Point, centre: Point) -> float:
    """The angle from a to b about a centre, within ±π."""
    angle = math.atan2(b[1] - centre[1], b[0] - centre[0]) - math.atan2(a[1] - centre[1], a[0] - centre[0])
    return (angle + math.pi) % (2 * math.pi) - math.pi


def _bulge(a: Point, b: Point, centre: Point) -> float:
    return math.tan(_turn(a, b, centre) / 4.0)
