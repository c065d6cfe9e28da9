"""A room answers for its own shape: rings, sides, curves, area, and the heights over a place.

Everything that asks a room what it looks like asks here, so that arcs, piers, build-ups and
regions are thought of once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from shapely import Polygon

from takeoff.geometry.curves import Curve
from takeoff.geometry.planes import Plane
from takeoff.geometry.rings import curves_area, inside, ring_curves
from takeoff.plan.model import Field, Job, Opening, Region, Ring, Rooflight, Room, Side, SideId, Storey

CHORDS = 32
"""Chords per arc of the polygons here. They only tell what overlaps; no quantity comes from them."""


def vertices(sides: Iterable[Side]) -> Ring:
    """A ring of sides as [x, y, bulge]."""
    return tuple((side.x_mm, side.y_mm, side.bulge) for side in sides)


Box = tuple[float, float, float, float]
"""(left, low, right, high), mm"""


def box_of(room: Room) -> Box:
    """The box about a room's corners."""
    xs, ys = [side.x_mm for side in room.outline], [side.y_mm for side in room.outline]
    return min(xs), min(ys), max(xs), max(ys)


def are_near(a: Box, b: Box, within_mm: float) -> bool:
    """Whether two boxes touch or lie that near to each other."""
    apart = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
    return apart <= within_mm


def vertex_rings(room: Room) -> tuple[Ring, ...]:
    """The room's rings as [x, y, bulge], the outer one first."""
    return tuple(vertices(ring) for ring in room.rings)


def curves_of(sides: Iterable[Side]) -> list[Curve]:
    """A ring of sides as curves, in order; none for an empty ring."""
    return ring_curves(vertices(sides))


def room_curves(room: Room) -> list[Curve]:
    """The curves of all the room's rings, in the order of its sides."""
    return [curve for ring in room.rings for curve in curves_of(ring)]


def curves_by_id(room: Room) -> dict[SideId, Curve]:
    """The curve of every side by the side's id."""
    return dict(zip((side.id for side in room.sides), room_curves(room), strict=True))


def holds(room: Room, x_mm: float, y_mm: float) -> bool:
    """Whether a point of the plan lies in the room and in none of its piers."""
    return inside(room_curves(room), x_mm, y_mm)


def chords(curves: Sequence[Curve]) -> list[tuple[float, float]]:
    """The corners of a ring, with points along its arcs."""
    points = []
    for curve in curves:
        points.append((curve.x0, curve.y0))
        if curve.bulge:
            points.extend(curve.at(curve.length * k / CHORDS) for k in range(1, CHORDS))
    return points


def ring_polygon(ring: Ring) -> Polygon:
    """The area within a ring, arcs as chords; the ring has three corners or an arc."""
    return Polygon(chords(ring_curves(ring)))


def polygon(room: Room) -> Polygon:
    """The room's area in plan, arcs as chords, piers left out."""
    shell, *holes = (chords(curves_of(ring)) for ring in room.rings)
    return Polygon(shell, holes)


def sound_polygon(room: Room) -> Polygon:
    """``polygon``, set right as far as it can be where its rings cross; empty where they enclose nothing."""
    shell, *holes = (chords(curves_of(ring)) for ring in room.rings)
    return _sound(shell, [hole for hole in holes if len(hole) > 2])


def outer_polygon(room: Room) -> Polygon:
    """The area within the room's outer ring with its piers, set right as far as it can be."""
    return _sound(chords(curves_of(room.outline)), [])


def _sound(shell: list[tuple[float, float]], holes: list[list[tuple[float, float]]]) -> Polygon:
    shape = Polygon(shell, holes) if len(shell) > 2 else Polygon()
    return shape if shape.is_valid else shape.buffer(0)


def ceiling_height(storey: Storey, room: Room, x_mm: float, y_mm: float) -> float:
    """Height of the finished ceiling above the datum at a point of the room's plan, mm."""
    return ceiling_plane(storey, room, x_mm, y_mm).at(x_mm, y_mm) - room.ceiling_build_up_mm


def ceiling_plane(storey: Storey, room: Room, x_mm: float, y_mm: float) -> Plane:
    """The plane in which the ceiling lies over a point of the room's plan, as it is drawn (without the build-up)."""
    if room.ceiling is None or not room.ceiling.planes:
        return Plane(z_mm=storey.height_mm)
    return _field_plane(room.ceiling, x_mm, y_mm, upper=True)


def floor_height(room: Room, x_mm: float, y_mm: float) -> float:
    """Height of the finished floor above the datum at a point of the room's plan, mm."""
    if room.floor is None or not room.floor.planes:
        return room.floor_build_up_mm
    return _field_plane(room.floor, x_mm, y_mm, upper=False).at(x_mm, y_mm) + room.floor_build_up_mm


def _field_plane(field: Field, x: float, y: float, *, upper: bool) -> Plane:
    """The plane that governs a field over a point."""

    def height(plane: Plane) -> float:
        return plane.at(x, y)

    combine = min if upper else max
    plane = combine(field.planes, key=height)
    for region in _around(field.regions, x, y):
        own = combine(region.planes, key=height)
        plane = own if region.op == "set" else (min if region.op == "lower" else max)(plane, own, key=height)
    return plane


def _around(regions: Sequence[Region], x: float, y: float) -> list[Region]:
    """The regions round a point, the largest first: each stands in the field of those around it."""
    found = []
    for region in regions:
        if not region.planes or _clear_of(region.outline, x, y):
            continue
        curves = ring_curves(region.outline)
        if inside(curves, x, y):
            found.append((abs(curves_area(curves)), region))
    return [region for _, region in sorted(found, key=lambda pair: -pair[0])]


def in_question(job: Job) -> tuple[Opening | Rooflight, ...]:
    """The openings and rooflights that are not measured until somebody takes them in, storey by storey."""
    every: list[Opening | Rooflight] = []
    for storey in job.storeys:
        every += storey.openings
        every += storey.rooflights
    return tuple(one for one in every if one.confidence != "sure")


def _clear_of(ring: Ring, x: float, y: float) -> bool:
    """Whether a point lies beyond the corners of a ring without arcs: most do, and curves are dear."""
    if any(bulge for _, _, bulge in ring):
        return False
    xs, ys = [vertex[0] for vertex in ring], [vertex[1] for vertex in ring]
    return not (min(xs) <= x <= max(xs) and min(ys) <= y <= max(ys))
