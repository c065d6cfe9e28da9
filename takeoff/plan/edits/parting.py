"""Rooms parted in two by a straight line, and two rooms made one.

What stands on the sides, in the ceiling and on the floor stays where it is in the building and
goes with the part that it lies in.
"""

from __future__ import annotations

import itertools
import math
from typing import Literal, NamedTuple, TypeVar

import msgspec
from shapely import unary_union
from shapely.geometry.base import BaseGeometry

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.geometry.rings import curves_area, inside, ring_area, ring_curves
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import mark, tr
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits.corner_edits import delete_corner, freed, insert_corner
from takeoff.plan.edits.facing_sides import Facing, facing_sides
from takeoff.plan.edits.lookup import (
    changed,
    changed_storey,
    exchanged,
    finite,
    fresh_id,
    fresh_number,
    new_room_id,
    room_of,
    room_place,
    storey_holding,
)
from takeoff.plan.edits.room_edits import add_room, remove_room
from takeoff.plan.model import (
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    RegionId,
    Ring,
    Room,
    RoomId,
    Side,
    SideId,
    Stair,
    Vertex,
)
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.shape import curves_of, ring_polygon, vertices

replace = msgspec.structs.replace

AT_CORNER_MM = 1.0
"""A line that meets a side this near to its end parts the room at that corner."""


_LEAST_MM2 = 1e4
"""A part smaller than a hand is none: a line along a side, or one that only touches a corner."""


JOG_MM = 5.0
"""Two rooms that are joined make one wall where their sides are so little out of line (common practice, no
source: it goes under the coat)."""

_SAME_WAY, _ASLANT = 0.99, 0.7
"""Cosines: within 8° of one another; more than 45° off."""

_OVERLAP_MM = 1e-4
"""Pieces that are put together overlap by this, so that none is left between them."""

Parted = TypeVar("Parted", Region, Exclusion)
"""What has an outline that a line can part."""


class Cut(NamedTuple):
    """Where a line runs through a room: (index of the side, mm along it) where it enters and leaves."""

    enter: tuple[int, float]
    leave: tuple[int, float]


def split_room(
    job: Job,
    room_id: RoomId,
    one: Point,
    other: Point,
    kind: Literal["wall", "open"] = "wall",
    thickness_mm: float = 100.0,
    name: str | None = None,
) -> Job:
    """The room parted by the line through two points, where it runs through the room between them.

    *wall*: the parts stand ``thickness_mm`` apart, half on either side of the line. *open*: they
    share the line as an open side. The room keeps its id at the left of the line (seen from ``one``
    to ``other``); the part at the right gets a new one. Printed area and
    readings were the whole's: they go. Raises InputError where the line does not part the room,
    meets a pier, or meets a side within an opening.
    """
    finite(x_mm=one[0], y_mm=one[1], other_x_mm=other[0], other_y_mm=other[1], thickness_mm=thickness_mm)
    if math.dist(one, other) <= SNAP_MM:
        raise InputError(tr("The line has no length: put its ends on two walls of the room."))
    if thickness_mm < 0:
        raise InputError(tr("The thickness of the wall must be more than 0."))
    half = thickness_mm / 2.0 if kind == "wall" else 0.0
    room = room_of(job, room_id)
    left, right = (_cut(room, one, other, by) for by in (half, -half))
    _refuse_piers(room, one, other, half)
    ends = [left.enter, left.leave, right.enter, right.leave]
    _refuse_openings(job, room, left, right)
    job, corners = _with_corners(job, room_id, ends)
    return _parted(job, room_id, corners, kind, name)


def _cut(room: Room, one: Point, other: Point, left_mm: float) -> Cut:
    """Where the line, moved to its left, runs through the outline about its middle."""
    length = math.dist(one, other)
    dx, dy = (other[0] - one[0]) / length, (other[1] - one[1]) / length
    ax, ay = one[0] - dy * left_mm, one[1] + dx * left_mm
    line = Curve(ax, ay, ax + dx * length, ay + dy * length)
    curves = curves_of(room.outline)
    found: dict[tuple[int, float], float] = {}
    for index, curve in enumerate(curves):
        for x, y in crossings(line, curve):
            t, _ = curve.where(x, y)
            along = (x - ax) * dx + (y - ay) * dy
            if abs(t - curve.length) <= AT_CORNER_MM:
                # the corner belongs to the side that starts there
                found[(index + 1) % len(curves), 0.0] = along
            elif -AT_CORNER_MM <= t < curve.length:
                found[index, 0.0 if t < AT_CORNER_MM else t] = along
    places = sorted((along, *at) for at, along in found.items())
    for before, after in itertools.pairwise(places):
        middle = (before[0] + after[0]) / 2.0
        if before[0] < length / 2.0 < after[0] and inside(curves, ax + dx * middle, ay + dy * middle):
            if after[0] - before[0] <= AT_CORNER_MM:
                break
            return Cut(before[1:], after[1:])
    raise InputError(
        tr(
            "The line does not divide “{room}”: draw it through the room, from one wall to another.",
            room=room.name or room.title,
        )
    )


def _refuse_piers(room: Room, one: Point, other: Point, half_mm: float) -> None:
    length = math.dist(one, other)
    dx, dy = (other[0] - one[0]) / length, (other[1] - one[1]) / length
    for sides in room.inner:
        offs = [(s.y_mm - one[1]) * dx - (s.x_mm - one[0]) * dy for s in sides]
        if min(offs) < half_mm and max(offs) > -half_mm:
            raise InputError(
                tr("The line meets a pier of “{room}”: divide the room beside it.", room=room.name or room.title)
            )


def _refuse_openings(job: Job, room: Room, left: Cut, right: Cut) -> None:
    """An opening may not stand where the line, or the wall along it, meets a side."""
    s, _ = room_place(job, room.id)
    lengths = [curve.length for curve in curves_of(room.outline)]
    places = {str(side.id): index for index, side in enumerate(room.outline)}
    total = [sum(lengths[:k]) for k in range(len(lengths))]
    spans = []
    # the outline runs anticlockwise: from the left line to the right one where it enters, and from the
    # right one to the left where it leaves
    for first, last in ((left.enter, right.enter), (right.leave, left.leave)):
        start, end = (total[index] + t for index, t in (first, last))
        spans.append((start, end if end >= start - SNAP_MM else end + sum(lengths)))
    for opening in job.storeys[s].openings:
        if opening.room != room.id or opening.side not in places:
            continue
        begin = total[places[opening.side]] + opening.offset_mm
        for shift in (0.0, sum(lengths)):
            lo, hi = begin + shift, begin + shift + opening.width_mm
            if any(
                lo < end - SNAP_MM and hi > start + SNAP_MM
                if end > start + SNAP_MM
                else lo + SNAP_MM < start < hi - SNAP_MM
                for start, end in spans
            ):
                raise InputError(
                    tr("The line meets {opening}: divide the room beside it.", opening=opening.title)
                    if opening.mark
                    else tr(_MEETS[opening.kind])
                )


_MEETS = {
    "window": mark("The line meets a window: divide the room beside it."),
    "door": mark("The line meets a door: divide the room beside it."),
    "open": mark("The line meets a doorway: divide the room beside it."),
}


def _with_corners(job: Job, room_id: RoomId, ends: list[tuple[int, float]]) -> tuple[Job, list[SideId]]:
    """The job with a corner at each of these places, and the ids of the sides that start there."""
    room = room_of(job, room_id)
    curves = curves_of(room.outline)
    wanted = {at: curves[at[0]].at(at[1]) for at in ends}
    found: dict[tuple[int, float], SideId] = {}
    # From the far end of each side, so that what is before keeps its id and its place.
    for index, t in sorted(wanted, reverse=True):
        own = room.outline[index].id
        if t == 0.0:
            found[index, t] = own
            continue
        taken = [side.id for ring in (room_of(job, room_id).outline, *room.inner) for side in ring]
        name = SideId(fresh_id(taken, own))
        x, y = wanted[index, t]
        job = insert_corner(job, room_id, own, x, y, name)
        found[index, t] = name
    return job, [found[at] for at in ends]


def _parted(job: Job, room_id: RoomId, corners: list[SideId], kind: Literal["wall", "open"], name: str | None) -> Job:
    room = room_of(job, room_id)
    p1, q1, p2, q2 = corners
    left = _cut_ring(room, q1, p1, kind)
    right = _cut_ring(room, p2, q2, kind)
    if min(ring_area(vertices(left)), ring_area(vertices(right))) < _LEAST_MM2:
        raise InputError(tr("The line runs along a wall and divides nothing: draw it across the room."))
    new_id = new_room_id(job)
    called = name if name is not None else _second_name(job, room)
    first = _part(room, left, room.id, room.name)
    second = _part(room, right, new_id, called)
    s, _ = room_place(job, room_id)
    shape = ring_polygon(vertices(right))
    moved = {side.id for side in right}
    piers = {side.id for ring in second.inner for side in ring}
    gone = [o for o in job.storeys[s].openings if o.room == room_id and o.side in moved | piers]
    taken = {str(o.id) for o in gone}
    job = exchanged(job, first, lambda opening: None if str(opening.id) in taken else opening)
    job = add_room(job, storey_holding(job, room_id), second)
    added: list[Opening] = [replace(o, room=new_id) for o in gone]
    job = exchanged(job, second, added=tuple(added))
    return _with_lights(job, s, room_id, new_id, shape)


def _with_lights(job: Job, s: int, room_id: RoomId, new_id: RoomId, shape: BaseGeometry) -> Job:
    storey = job.storeys[s]
    lights = tuple(
        replace(light, room=new_id)
        if light.room == room_id and shape.contains(ring_polygon(light.outline).centroid)
        else light
        for light in storey.rooflights
    )
    if all(a is b for a, b in zip(lights, storey.rooflights, strict=True)):
        return job
    return replace(job, storeys=(*job.storeys[:s], replace(storey, rooflights=lights), *job.storeys[s + 1 :]))


def _second_name(job: Job, room: Room) -> str:
    if not room.name:
        return ""
    names = [r.name for storey in job.storeys for r in storey.rooms]
    stem, _, number = room.name.rpartition(" ")
    if stem and number.isdecimal():
        # "Room 3" is parted into itself and the next free number
        return fresh_number(names, f"{stem} ")
    return fresh_number([*names, f"{room.name} 1"], f"{room.name} ")


def _cut_ring(room: Room, start: SideId, end: SideId, kind: Literal["wall", "open"]) -> tuple[Side, ...]:
    """The sides from the corner ``start`` up to the corner ``end``, closed by a new side."""
    ids = [side.id for side in room.outline]
    first, last = ids.index(start), ids.index(end)
    n = len(ids)
    run = [room.outline[(first + k) % n] for k in range((last - first) % n)]
    taken = [str(side.id) for side in room.sides]
    corner = room.outline[last]
    cut = Side(id=SideId(fresh_number(taken, "s")), x_mm=corner.x_mm, y_mm=corner.y_mm, kind=kind)
    return (*run, cut)


def _part(room: Room, outline: tuple[Side, ...], room_id: RoomId, name: str) -> Room:
    """One part of a room: what lies in it of piers, fields and ceiling."""
    shape = ring_polygon(vertices(outline))
    curves = ring_curves(vertices(outline))
    inner = tuple(ring for ring in room.inner if inside(curves, ring[0].x_mm, ring[0].y_mm))
    kept = {side.id for ring in (outline, *inner) for side in ring}
    return replace(
        room, id=room_id, name=name, outline=outline, inner=inner, printed_area_m2=None, readings=None,
        number=room.number if room_id == room.id else "",
        ceiling=_field_in(room.ceiling, shape), floor=_field_in(room.floor, shape),
        ceiling_treatment=_ceiling_in(room.ceiling_treatment, shape, kept),
        stair=_stair_in(room.stair, shape),
    )  # fmt: skip


def _stair_in(stair: Stair | None, shape: BaseGeometry) -> Stair | None:
    """The stair, for the part of a room in which its middle lies."""
    away = stair is not None and bool(stair.outline) and not shape.intersects(ring_polygon(stair.outline).centroid)
    return None if away else stair


def _field_in(field: Field | None, shape: BaseGeometry) -> Field | None:
    if field is None or not field.regions:
        return field
    return replace(
        field,
        regions=tuple(
            replace(region, outline=piece)
            for region in field.regions
            if (piece := _piece(region.outline, shape)) is not None
        ),
    )


def _piece(outline: Ring, shape: BaseGeometry) -> Ring | None:
    """What of an outline lies in a part: the whole ring where it lies within, the clipped one where
    the line runs through it; None for nothing. Clipped arcs become short straight sides."""
    own = ring_polygon(outline)
    shared = own.intersection(shape)
    if shared.area >= own.area * (1.0 - 1e-6):
        return outline
    if shared.area <= own.area * 1e-6:
        return None
    parts = [part for part in getattr(shared, "geoms", [shared]) if part.geom_type == "Polygon"]
    largest = max(parts, key=lambda part: part.area)
    ring: list[Vertex] = [(x, y, 0.0) for x, y in list(largest.exterior.coords)[:-1]]
    return tuple(ring)


def _ceiling_in(whole: CeilingTreatment, shape: BaseGeometry, kept: set[SideId]) -> CeilingTreatment:
    exclusions = tuple(
        replace(e, outline=piece) for e in whole.exclusions if (piece := _piece(e.outline, shape)) is not None
    )
    left_on, only = (_borders_in(borders, kept) for borders in (whole.left_on, whole.only))
    # a ceiling that was coated along some walls only, of which this part has none, is not coated
    coat = whole.coat and (bool(only) or not whole.only)
    return replace(whole, exclusions=exclusions, left_on=left_on, only=only, coat=coat)


def _borders_in(borders: tuple[Border, ...], kept: set[SideId]) -> tuple[Border, ...]:
    found = []
    for border in borders:
        own = tuple(side for side in border.sides if side in kept)
        if own or not border.sides:
            found.append(border if own == border.sides else replace(border, sides=own))
    return tuple(found)


def across(room: Room, start: Point, direction: Point) -> Point | None:
    """Where a line from a point, in a unit direction, first meets the outline again; None where it does
    not. A start on the outline is passed over."""
    line = Curve(*start, start[0] + direction[0], start[1] + direction[1])
    found = []
    for curve in curves_of(room.outline):
        for x, y in crossings(line, curve):
            t, _ = curve.where(x, y)
            along = (x - start[0]) * direction[0] + (y - start[1]) * direction[1]
            if along > AT_CORNER_MM and -SNAP_MM <= t <= curve.length + SNAP_MM:
                found.append((along, x, y))
    return min(found)[1:] if found else None


def join_rooms(job: Job, room_id: RoomId, other_id: RoomId) -> Job:
    """The second room made part of the first; what stands between them goes, with its openings.

    Where they share sides these are taken away. Else the wall between them is, over the longest
    stretch where both stand on it; its thickness becomes two short sides. The first keeps its id,
    name, heights and coats; what is higher, lower or coated otherwise in the second stays so, as a
    region and on its sides. Printed areas and readings go. Raises InputError for rooms that do not
    lie side by side.
    """
    one, other = room_of(job, room_id), room_of(job, other_id)
    if room_id == other_id or room_place(job, room_id)[0] != room_place(job, other_id)[0]:
        raise InputError(tr("Only two rooms of one storey can be joined: select a second room beside the first."))
    facing = facing_sides(one, other)
    if not facing:
        raise InputError(
            tr(
                "“{one}” and “{other}” are not side by side: select rooms with a wall or an open side between them.",
                one=one.name or one.title,
                other=other.name or other.title,
            )
        )
    shared = [f for f in facing if f.apart <= SAME_MM]
    taken = shared or [_to_its_ends(one, other, max(facing, key=lambda f: f.one_to - f.one_from))]
    job, gone_one = freed(job, room_id, [(f.one, f.one_from, f.one_to) for f in taken])
    job, gone_other = freed(job, other_id, [(f.other, f.other_from, f.other_to) for f in taken])
    return _united(job, room_id, other_id, gone_one, gone_other)


def _to_its_ends(one: Room, other: Room, f: Facing) -> Facing:
    """The stretch of a wall between two rooms drawn out to the corners where a side of the one goes straight on
    into a side of the other: a wall that meets them aslant is longer on one face than on the other."""
    mine, theirs = curves_of(one.outline), curves_of(other.outline)
    i = next(k for k, side in enumerate(one.outline) if side.id == f.one)
    j = next(k for k, side in enumerate(other.outline) if side.id == f.other)
    # outlines run anticlockwise, so the start of the one's side lies across from the end of the other's
    if _goes_on(mine[i - 1], theirs[(j + 1) % len(theirs)]):
        f = f._replace(one_from=0.0, other_to=theirs[j].length)
    if _goes_on(theirs[j - 1], mine[(i + 1) % len(mine)]):
        f = f._replace(one_to=mine[i].length, other_from=0.0)
    return f


def _goes_on(before: Curve, after: Curve) -> bool:
    """Whether one straight side runs on, over a gap, into another."""
    if before.bulge or after.bulge or before.dx * after.dx + before.dy * after.dy < _SAME_WAY:
        return False
    return all(before.where(x, y)[1] <= SAME_MM for x, y in ((after.x0, after.y0), (after.x1, after.y1)))


def _united(job: Job, room_id: RoomId, other_id: RoomId, gone_one: set[SideId], gone_other: set[SideId]) -> Job:
    one, other = room_of(job, room_id), room_of(job, other_id)
    names = _new_names(one, other)
    own = [(s, one.outline[(k + 1) % len(one.outline)]) for k, s in enumerate(one.outline) if s.id not in gone_one]
    theirs = [
        (_taken_over(s, names, one, other), other.outline[(k + 1) % len(other.outline)])
        for k, s in enumerate(other.outline)
        if s.id not in gone_other
    ]
    taken = [*(s.id for s in one.sides), *names.values()]
    rings = _rings(own + theirs, taken)
    areas = [curves_area(curves_of(ring)) for ring in rings]
    outer = max(range(len(rings)), key=lambda k: areas[k])
    holes = tuple(ring for k, ring in enumerate(rings) if k != outer and areas[k] < 0)
    if len(holes) != len(rings) - 1 or areas[outer] <= 0:
        raise InputError(
            tr(
                "“{one}” and “{other}” do not make one outline: correct their walls first.",
                one=one.name or one.title,
                other=other.name or other.title,
            )
        )
    piers = tuple(tuple(_taken_over(s, names, one, other) for s in ring) for ring in other.inner)
    s, _ = room_place(job, room_id)
    before = job.storeys[s]
    whole = ring_polygon(vertices(rings[outer]))
    gap = whole.difference(ring_polygon(vertices(one.outline))).difference(ring_polygon(vertices(other.outline)))
    room = replace(
        one, outline=rings[outer], inner=(*one.inner, *piers, *holes), printed_area_m2=None, readings=None,
        ceiling=_joined_field(one.ceiling, other.ceiling, before.height_mm, other, "ceiling", gap),
        floor=_joined_field(one.floor, other.floor, 0.0, other, "floor", gap),
        ceiling_treatment=_joined_ceiling(one, other, names, gap),
        above=one.above if one.above == other.above else "unknown",
        stair=one.stair or other.stair, counted=_counted_in_both(one, other, names),
    )  # fmt: skip
    moved = tuple(
        replace(o, room=room_id, side=names[o.side])
        for o in before.openings
        if o.room == other_id and o.side not in gone_other
    )
    lights = tuple(changed(light, room=room_id) if light.room == other_id else light for light in before.rooflights)
    job = changed_storey(job, s, replace(before, rooflights=lights))
    job = remove_room(job, other_id)
    job = exchanged(job, room, lambda opening: None if opening.side in gone_one else opening, moved)
    return _without_straight_corners(job, room_id)


def _counted_in_both(one: Room, other: Room, names: dict[SideId, SideId]) -> tuple[CountedItem, ...]:
    """What is counted in two rooms, alike ones added up, with the walls of the second by their new names."""
    renamed = {str(old): str(new) for old, new in names.items()}
    kept = list(one.counted)
    for item in other.counted:
        item = changed(item, side=renamed.get(item.side) if item.side else None)
        alike = next((k for k, own in enumerate(kept) if changed(own, count=item.count) == item), None)
        if alike is None:
            kept.append(item)
        else:
            kept[alike] = changed(item, count=item.count + kept[alike].count)
    return tuple(kept)


def _new_names(one: Room, other: Room) -> dict[SideId, SideId]:
    """A name for each side of the second room that no side of the first has."""
    taken = [str(s.id) for s in one.sides]
    names = {}
    for ring in other.rings:
        for side in ring:
            new = SideId(str(side.id) if side.id not in taken else fresh_id(taken, str(side.id)))
            taken.append(str(new))
            names[side.id] = new
    return names


def _taken_over(side: Side, names: dict[SideId, SideId], one: Room, other: Room) -> Side:
    """A side of the second room as one of the first: what it got from its room becomes its own."""
    treatment = side.treatment
    if treatment is None and other.walls != one.walls:
        treatment = other.walls
    return replace(side, id=names[side.id], treatment=treatment)


def _rings(pieces: list[tuple[Side, Side]], taken: list[SideId]) -> list[tuple[Side, ...]]:
    """Closed rings of sides, each given with what begins at its end; gaps are closed by short sides."""
    left = list(pieces)
    rings = []
    while left:
        ring = [left.pop(0)]
        while True:
            end = (ring[-1][1].x_mm, ring[-1][1].y_mm)
            to_first = math.dist(end, (ring[0][0].x_mm, ring[0][0].y_mm))
            found = min(left, key=lambda p: math.dist(end, (p[0].x_mm, p[0].y_mm)), default=None)
            off = math.inf if found is None else math.dist(end, (found[0].x_mm, found[0].y_mm))
            if off > SAME_MM and min(off, to_first) > SAME_MM:
                after = ring[0][0] if to_first <= off or found is None else found[0]
                jamb = _between(ring[-1][0], after, SideId(fresh_id(taken, "jamb")), end)
                taken.append(jamb.id)
                ring.append((jamb, after))
            if to_first <= off or found is None:
                break
            left.remove(found)
            ring.append(found)
        rings.append(tuple(side for side, _ in ring))
    return rings


def _between(before: Side, after: Side, name: SideId, at: Point) -> Side:
    """The end of the wall that goes: it is made and coated as the sides at both its ends, where they are alike."""
    if _alike(before, after):
        return replace(before, id=name, x_mm=at[0], y_mm=at[1], bulge=0.0, behind=())
    return Side(id=name, x_mm=at[0], y_mm=at[1])


def _bridged(one: Ring, other: Ring, gap: BaseGeometry) -> Ring | None:
    """Two pieces of an outline that a wall parted as one again, over the gap that the wall leaves; None where
    they do not become one."""
    pieces = [ring_polygon(one), ring_polygon(other)]
    over = unary_union(pieces).convex_hull.intersection(gap.buffer(_OVERLAP_MM, join_style="mitre"))
    whole = unary_union([*pieces, over]).simplify(_OVERLAP_MM)
    if whole.geom_type != "Polygon" or whole.interiors:
        return None
    ring: list[Vertex] = [(x, y, 0.0) for x, y in list(whole.exterior.normalize().coords)[:-1]]
    return tuple(ring)


def _rejoined(
    own: tuple[Parted, ...], theirs: tuple[Parted, ...], gap: BaseGeometry
) -> tuple[tuple[Parted, ...], tuple[Parted, ...]]:
    """The first room's parts, those that the second has a piece of made whole, and the second's other parts."""
    rest = list(theirs)
    mine = []
    for part in own:
        twin = next((t for t in rest if replace(t, outline=part.outline) == part), None)
        ring = None if twin is None else _bridged(part.outline, twin.outline, gap)
        if twin is not None and ring is not None:
            rest.remove(twin)
            part = replace(part, outline=ring)
        mine.append(part)
    return tuple(mine), tuple(rest)


def _joined_field(
    own: Field | None, theirs: Field | None, level_mm: float, other: Room, what: str, gap: BaseGeometry
) -> Field | None:
    """The first room's field, with the second's as a region of its own where it differs. Regions that were one
    before a line parted them are one again."""
    if own == theirs and (own is None or not own.regions):
        return own
    flat = Field(planes=(Plane(z_mm=level_mm),))
    base, added = own or flat, theirs or flat
    mine, rest = _rejoined(base.regions, added.regions, gap)
    base, added = replace(base, regions=mine), replace(added, regions=rest)
    taken = [str(region.id) for region in base.regions]
    regions = []
    if base.planes != added.planes:
        name = RegionId(fresh_id(taken, f"{what} of {other.id}"))
        taken.append(str(name))
        regions.append(
            Region(
                id=name,
                op="set",
                outline=vertices(other.outline),
                planes=added.planes,
                what=tr(_PART_OF[what], room=other.name or other.title),
                coat_face=None,
                source=added.source,
            )
        )
    for region in added.regions:
        name = RegionId(str(region.id) if region.id not in taken else fresh_id(taken, str(region.id)))
        taken.append(str(name))
        regions.append(replace(region, id=name))
    return replace(base, regions=(*base.regions, *regions))


_PART_OF = {"ceiling": mark("ceiling of {room}"), "floor": mark("floor of {room}")}


def _joined_ceiling(one: Room, other: Room, names: dict[SideId, SideId], gap: BaseGeometry) -> CeilingTreatment:
    own, theirs = one.ceiling_treatment, other.ceiling_treatment
    mine_out, rest = _rejoined(own.exclusions, theirs.exclusions, gap)
    exclusions = [*mine_out, *(replace(e, id=f"{other.id}/{e.id}") for e in rest)]
    if own.coat != theirs.coat:
        bare = one if theirs.coat else other
        exclusions.append(
            Exclusion(id=f"ceiling of {bare.id}", outline=vertices(bare.outline), what="ceiling not coated")
        )
    named = {"left_on": own.left_on, "only": own.only}
    other_named = {"left_on": theirs.left_on, "only": theirs.only}
    fields = {}
    for name, borders in named.items():
        mine = [b if b.sides else replace(b, sides=_ids(one)) for b in borders]
        added = [
            replace(b, sides=tuple(names[s] for s in b.sides or _ids(other) if s in names)) for b in other_named[name]
        ]
        both = own.coat and theirs.coat
        same = borders == other_named[name] and all(not b.sides for b in borders)
        fields[name] = borders if same else (*mine, *(added if both or name == "left_on" else ()))
    return replace(own, coat=own.coat or theirs.coat, exclusions=tuple(exclusions), **fields)


def _ids(room: Room) -> tuple[SideId, ...]:
    return tuple(side.id for side in room.sides)


def _without_straight_corners(job: Job, room_id: RoomId) -> Job:
    """Corners between two sides that run on into each other, and are alike, taken away."""
    k = 0
    while k < len(room_of(job, room_id).outline):
        ring = room_of(job, room_id).outline
        a, b = ring[k - 1], ring[k]
        ca, cb = curves_of(ring)[k - 1], curves_of(ring)[k]
        if len(ring) > 3 and ((_alike(a, b) and _runs_on(ca, cb)) or _is_jog(job, room_id, k)):
            job = delete_corner(job, room_id, b.id)
        else:
            k += 1
    return job


def _is_jog(job: Job, room_id: RoomId, k: int) -> bool:
    """Whether a side is a step so short that nobody sets it out, between two that run the same way, with
    nothing on it: two corners, each with its bead, where there is one wall."""
    room = room_of(job, room_id)
    curves = curves_of(room.outline)
    before, step, after = curves[k - 1], curves[k], curves[(k + 1) % len(curves)]
    held = any(o.room == room_id and o.side == room.outline[k].id for s in job.storeys for o in s.openings)
    return not (
        held
        or before.bulge
        or step.bulge
        or after.bulge
        or step.length > JOG_MM
        or before.dx * after.dx + before.dy * after.dy < _SAME_WAY
        or abs(before.dx * step.dx + before.dy * step.dy) > _ASLANT
    )


def _alike(a: Side, b: Side) -> bool:
    def what(side: Side) -> tuple[object, ...]:
        return (side.kind, side.open_from_mm, side.open_to_mm, side.wall_type, side.wall_face, side.treatment)

    plain = a.treatment is None or not (
        a.treatment.exclusions
        or a.treatment.parts_mm
        or a.treatment.start_mm is not None
        or a.treatment.end_mm is not None
    )
    return plain and what(a) == what(b)


def _runs_on(a: Curve, b: Curve) -> bool:
    if a.bulge or b.bulge:
        return bool(
            a.bulge
            and b.bulge
            and a.turn == b.turn
            and abs(a.radius - b.radius) <= SAME_MM
            and math.dist((a.cx, a.cy), (b.cx, b.cy)) <= SAME_MM
        )
    return a.where(b.x1, b.y1)[1] <= SAME_MM / 10.0 and a.dx * b.dx + a.dy * b.dy > 0
