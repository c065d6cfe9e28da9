"""A storey and its takeoff as a plan picture in plan mm: everything but the scale is decided."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import Face, RoomTakeoff
from takeoff.plan.model import Ring, Room, Side, Storey
from takeoff.plan.shape import vertex_rings
from takeoff.sheets.bodies import near_rooms, wall_bodies, without_open_sides
from takeoff.sheets.corner_marks import corner_marks
from takeoff.sheets.curved import arc_centres, area_rings, ring_polygon
from takeoff.sheets.model import Course, Plan, PlanOpening, PlanRoom, Point
from takeoff.sheets.plan_openings import cutter, opening_of
from takeoff.sheets.wall_names import opening_names, wall_letters
from takeoff.units.printing import fmt2

_PART_MM = 5.0
"""A stretch that stops this much short of its face's end is a return with its length written."""

_SHORT_MM = 1.0
"""Shorter pieces of coat are not drawn."""


def plan_of(
    storey: Storey,
    measured: Mapping[str, RoomTakeoff],
    names: Mapping[str, str],
    figures: Mapping[str, str],
    title: str,
) -> Plan:
    """The picture of one storey.

    ``measured``, ``names`` and ``figures`` ("41.3 m² to coat") are keyed by room id; a room that
    was not measured is drawn without coat. A storey without rooms gives an empty plan.
    """
    framed = frame_of(storey, measured)
    curves, openings = framed.curves, framed.openings
    overhead = tuple(region.outline for r in storey.rooms if r.ceiling for region in r.ceiling.regions)
    beads, fillets, lines = corner_marks(list(measured.values()), curves, openings)
    return Plan(
        storey=str(storey.id),
        title=title,
        rooms=tuple(room_in_plan(room, measured.get(room.id), framed, names, figures) for room in storey.rooms),
        walls=framed.walls,
        nominal=framed.nominal,
        openings=openings,
        beads=beads,
        fillets=fillets,
        overhead_beads=lines,
        overhead=overhead,
        rooflights=tuple(light.outline for light in storey.rooflights),
        centres=framed.centres,
    )


class Framed(NamedTuple):
    """A storey's walls and openings, and what a room's picture is made with: the sides of each room by id, and
    the area that openings take out of walls."""

    curves: Mapping[str, Mapping[str, tuple[Side, Curve]]]
    walls: tuple[Ring, ...]
    nominal: bool
    openings: tuple[PlanOpening, ...]
    cuts: BaseGeometry
    centres: tuple[Point, ...]


def frame_of(storey: Storey, measured: Mapping[str, RoomTakeoff]) -> Framed:
    """All of a storey's picture that is of no single room; empty for a storey without rooms."""
    curves = {str(room.id): _room_curves(room) for room in storey.rooms}
    spaces = [ring_polygon(_rings(room)) for room in storey.rooms]
    body, nominal = wall_bodies(spaces, storey.building)
    body = near_rooms(body, spaces)
    body = without_open_sides(body, [c for r in storey.rooms for c, s in _outline(r) if s.kind == "open"])
    openings = _openings(storey, measured, body)
    cuts = shapely.union_all([cutter(opening) for opening in openings if opening.sure])
    centres = arc_centres(c for sides in curves.values() for _, c in sides.values())
    return Framed(curves, area_rings(body.difference(cuts), centres), nominal, openings, cuts, centres)


def _outline(room: Room) -> list[tuple[Curve, Side]]:
    """Every side of a room, outer ring first, as a curve and what it is."""
    pairs = []
    for ring in room.rings:
        for side, after in zip(ring, (*ring[1:], *ring[:1]), strict=True):
            pairs.append((Curve(side.x_mm, side.y_mm, after.x_mm, after.y_mm, side.bulge), side))
    return pairs


def _room_curves(room: Room) -> dict[str, tuple[Side, Curve]]:
    return {str(side.id): (side, curve) for curve, side in _outline(room)}


def _rings(room: Room) -> tuple[Ring, ...]:
    return vertex_rings(room)


def _openings(storey: Storey, measured: Mapping[str, RoomTakeoff], body: BaseGeometry) -> tuple[PlanOpening, ...]:
    sides = {(room.id, side.id): (side, curve) for room in storey.rooms for curve, side in _outline(room)}
    faces = {(room.room, face.id): face for room in measured.values() for face in room.faces}
    names = opening_names(storey.openings, storey.rooms)
    drawn = []
    for opening in storey.openings:
        host = sides.get((opening.room, opening.side))
        if host is not None and host[1].length > 0:
            face = faces.get((opening.room, opening.side))
            drawn.append(opening_of(opening, host[1], face, body, names[opening.id].label))
    return tuple(drawn)


def room_in_plan(
    room: Room, measured: RoomTakeoff | None, framed: Framed, names: Mapping[str, str], figures: Mapping[str, str]
) -> PlanRoom:
    """The picture of a room in its frame: with the same openings at its walls always the same one."""
    sides = framed.curves[room.id]
    coat: list[Course] = []
    parts: list[tuple[Course, str]] = []
    for face in measured.faces if measured else ():
        if face.id in sides:
            curve = sides[face.id][1]
            coat += _coat_courses(face, curve, framed.cuts)
            parts += _parts(face, curve)
    return PlanRoom(
        id=str(room.id),
        rings=_rings(room),
        coat=tuple(coat),
        parts=tuple(parts),
        open_sides=tuple(_course(curve) for side, curve in sides.values() if side.kind == "open"),
        name=names.get(room.id, str(room.id)),
        figure=figures.get(room.id, ""),
        sure=room.confidence == "sure",
        letters=tuple(
            (_course(sides[key][1]), letter)
            for key, letter in wall_letters(room).items()
            if sides[key][0].kind == "wall"
        ),
    )


def _course(curve: Curve) -> Course:
    return ((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0))


def _coat_courses(face: Face, curve: Curve, cuts: BaseGeometry) -> list[Course]:
    """The coated stretches of a face without its openings."""
    courses = []
    for start, end in face.coated_mm:
        for a, b in _without_cuts(curve, max(start, 0.0), min(end, curve.length), cuts):
            courses.append(_course(curve.part(a, b)))
    return courses


def _without_cuts(curve: Curve, start: float, end: float, cuts: BaseGeometry) -> list[tuple[float, float]]:
    """What is left of a stretch (mm along the face) once openings are taken out."""
    if end - start < _SHORT_MM:
        return []
    count = 1 if curve.bulge == 0.0 else max(2, int((end - start) / curve.radius / 0.05))
    steps = [start + (end - start) * k / count for k in range(count + 1)]
    left = LineString([curve.at(t) for t in steps]).difference(cuts)
    pieces = []
    for part in shapely.get_parts(shapely.line_merge(left)):
        if part.length < _SHORT_MM:
            continue
        ends = sorted(curve.where(*part.coords[k])[0] for k in (0, -1))
        pieces.append((max(ends[0], start), min(ends[1], end)))
    return pieces


def _parts(face: Face, curve: Curve) -> list[tuple[Course, str]]:
    whole = sum(b - a for a, b in face.coated_mm) >= curve.length - _PART_MM
    if whole:
        return []
    return [
        (_course(curve.part(a, min(b, curve.length))), fmt2((b - a) / 1000.0))
        for a, b in face.coated_mm
        if min(b, curve.length) - a > _SHORT_MM
    ]
