"""From a measured storey to its plan as values: bodies of walls, openings in them, rooms with their bands."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import shapely
from shapely.geometry import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import Face, RoomTakeoff
from takeoff.plan.model import Opening, Reveal, Ring, Room, Side, Storey, Vertex
from takeoff.plan.shape import vertex_rings
from takeoff.sheets.corner_marks import corner_marks
from takeoff.sheets.curved import arc_centres, area_rings, only_areas, ring_polygon
from takeoff.sheets.sheet_values import Course, Plan, PlanOpening, PlanRoom, Point, Strip
from takeoff.sheets.wall_names import opening_names, wall_letters
from takeoff.units.printing import feet_inches, fmt2

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


_FRAME_MM = 70.0
"""Depth at which a frame is drawn; no reading gives it (common practice, no source)."""

_SLACK_MM = 1.0
"""A cut reaches this far past both faces, so that no sliver of wall is left."""

_SAGITTA = 1e-3
"""By how much of its radius a wall in facets of 3° may stand off its arc, with some to spare."""

_THINNEST_MM = 10.0


def opening_of(opening: Opening, side: Curve, face: Face | None, body: BaseGeometry, label: str = "") -> PlanOpening:
    """The picture of an opening in its host side; its jambs are kept within the side."""
    start = min(max(opening.offset_mm, 0.0), side.length)
    end = min(start + opening.width_mm, side.length)
    thick = _thickness(side, (start + end) / 2.0, face, body)
    near, far = _between(side, start, end, 0.0), _between(side, start, end, thick)
    strips = _strips(side, start, end, opening.reveal, 0.0, 1.0, thick)
    if opening.reveal_beyond is not None and opening.kind != "open":
        strips += _strips(side, start, end, opening.reveal_beyond, thick, -1.0, thick)
    return PlanOpening(
        id=str(opening.id),
        kind=opening.kind,
        face=near,
        far=far,
        frame=_frame(opening, side, start, end, thick),
        strips=tuple(strips),
        sure=opening.confidence == "sure",
        label=label,
        swings=opening.swings,
    )


def cutter(opening: PlanOpening) -> BaseGeometry:
    """The area an opening takes out of its wall, faces included."""
    near, far = _points(opening.face), _points(opening.far)
    slack = _SLACK_MM + _SAGITTA * _radius(opening)
    near_out = [_far_room(p, q, slack) for p, q in zip(near, far, strict=True)]
    far_out = [_far_room(q, p, slack) for p, q in zip(near, far, strict=True)]
    return shapely.make_valid(shapely.polygons([*near_out, *far_out[::-1]]))


def _thickness(side: Curve, at_mm: float, face: Face | None, body: BaseGeometry) -> float:
    for behind in face.behind if face else ():
        if behind.from_mm <= at_mm <= behind.to_mm and behind.thickness_mm:
            return max(behind.thickness_mm, _THINNEST_MM)
    return max(thickness_at(body, side, at_mm) or NOMINAL_MM, _THINNEST_MM)


def _between(side: Curve, start: float, end: float, depth: float) -> tuple[Vertex, Vertex]:
    """The line between the jambs at a depth behind the face, curved as the wall is."""
    part = side.part(start, end) if end > start else side
    return (*_behind(side, start, depth), part.bulge), (*_behind(side, end, depth), 0.0)


def _behind(side: Curve, at_mm: float, depth: float) -> Point:
    """The point so far behind the face: to the right of a side whose room lies on its left."""
    (x, y), (dx, dy) = side.at(at_mm), side.direction(at_mm)
    return x + dy * depth, y - dx * depth


def _strips(
    side: Curve, start: float, end: float, reveal: Reveal, face: float, inwards: float, thick: float
) -> list[Strip]:
    """Coated jambs from the face at depth ``face`` towards the frame; splay narrows the frame."""
    strips = []
    for at, sense, strip in ((start, 1.0, reveal.start), (end, -1.0, reveal.end)):
        depth = min(strip.depth_mm, thick)
        if strip.coat and depth > 0:
            dx, dy = side.direction(at)
            set_in = sense * depth * math.tan(math.radians(reveal.splay_deg))
            strips.append(
                Strip(
                    _behind(side, at, face),
                    _behind(side, at + set_in, face + inwards * depth),
                    (dx * sense, dy * sense),
                )
            )
    return strips


def _frame(opening: Opening, side: Curve, start: float, end: float, thick: float) -> tuple[tuple[Vertex, Vertex], ...]:
    """The two lines of a window's frame, behind its reveal or else in mid wall; none for the rest."""
    if opening.kind != "window":
        return ()
    depth = max(opening.reveal.start.depth_mm, opening.reveal.end.depth_mm)
    frame = min(_FRAME_MM, thick * 0.6)
    if not 0 < depth <= thick - frame:
        depth = (thick - frame) / 2.0 if depth == 0 else thick - frame
    return _between(side, start, end, depth), _between(side, start, end, depth + frame)


def _points(line: tuple[Vertex, Vertex]) -> list[Point]:
    curve = Curve(line[0][0], line[0][1], line[1][0], line[1][1], line[0][2])
    count = 12 if curve.bulge else 1
    return [curve.at(curve.length * k / count) for k in range(count + 1)]


def _radius(opening: PlanOpening) -> float:
    bulge = opening.face[0][2]
    return max(Curve(*a[:2], *b[:2], a[2]).radius for a, b in (opening.face, opening.far)) if bulge else 0.0


def _far_room(point: Point, other: Point, by_mm: float) -> Point:
    """``point`` moved so far away from ``other``."""
    step = by_mm / (math.dist(point, other) or 1.0)
    return point[0] + (point[0] - other[0]) * step, point[1] + (point[1] - other[1]) * step


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
    feet: bool = False,
    north_deg: float | None = None,
) -> Plan:
    """The picture of one storey.

    ``measured``, ``names`` and ``figures`` ("41.3 m² to coat") are keyed by room id; a room that
    was not measured is drawn without coat. A storey without rooms gives an empty plan. ``feet``: lengths are written
    in feet and inches. ``north_deg``: where north lies, None where nobody knows.
    """
    framed = frame_of(storey, measured)
    curves, openings = framed.curves, framed.openings
    overhead = tuple(region.outline for r in storey.rooms if r.ceiling for region in r.ceiling.regions)
    beads, fillets, lines = corner_marks(list(measured.values()), curves, openings)
    return Plan(
        storey=str(storey.id),
        title=title,
        rooms=tuple(room_in_plan(room, measured.get(room.id), framed, names, figures, feet) for room in storey.rooms),
        walls=framed.walls,
        nominal=framed.nominal,
        openings=openings,
        beads=beads,
        fillets=fillets,
        overhead_beads=lines,
        overhead=overhead,
        rooflights=tuple(light.outline for light in storey.rooflights),
        centres=framed.centres,
        north_deg=north_deg,
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
    room: Room,
    measured: RoomTakeoff | None,
    framed: Framed,
    names: Mapping[str, str],
    figures: Mapping[str, str],
    feet: bool = False,
) -> PlanRoom:
    """The picture of a room in its frame: with the same openings at its walls always the same one."""
    sides = framed.curves[room.id]
    coat: list[Course] = []
    parts: list[tuple[Course, str]] = []
    for face in measured.faces if measured else ():
        if face.id in sides:
            curve = sides[face.id][1]
            coat += _coat_courses(face, curve, framed.cuts)
            parts += _parts(face, curve, feet)
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


def _parts(face: Face, curve: Curve, feet: bool) -> list[tuple[Course, str]]:
    whole = sum(b - a for a, b in face.coated_mm) >= curve.length - _PART_MM
    if whole:
        return []
    return [
        (_course(curve.part(a, min(b, curve.length))), feet_inches(b - a) if feet else fmt2((b - a) / 1000.0))
        for a, b in face.coated_mm
        if min(b, curve.length) - a > _SHORT_MM
    ]
