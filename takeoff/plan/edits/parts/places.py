"""Where quick parts stand: places on walls, strips along them, and what may be in the way."""

from __future__ import annotations

from typing import Literal

import msgspec
import shapely

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.plan.check.heights import ceilings_below_floors
from takeoff.plan.check.laid import SAME_MM, lay_out
from takeoff.plan.check.outlines import ring_fault
from takeoff.plan.check.regions import unsound_regions
from takeoff.plan.check.wording import room_name
from takeoff.plan.edits.fitting import in_wall
from takeoff.plan.edits.heights import add_region
from takeoff.plan.edits.lookup import finite, ring_of, room_of, room_place, side_place
from takeoff.plan.edits.moving import keep_sound
from takeoff.plan.edits.outlines import fresh_number
from takeoff.plan.model import Field, Job, Region, RegionId, Ring, Room, RoomId, Side, SideId
from takeoff.plan.shape import curves_of, ring_polygon
from takeoff.units.printing import fmt2


class OnWall(msgspec.Struct, frozen=True):
    """A place on a wall face: so far along a side from its start, mm."""

    room: RoomId
    side: SideId
    along_mm: float


def place_on_wall(job: Job, room_id: RoomId, side_id: SideId, at: Point) -> OnWall:
    """The place on that side nearest to a point of the plan."""
    curve = straight_or_round(job, room_id, side_id)[1]
    return OnWall(room_id, side_id, min(max(curve.where(*at)[0], 0.0), curve.length))


def straight_or_round(job: Job, room_id: RoomId, side_id: SideId) -> tuple[Side, Curve]:
    """A side and its course. Raises InputError for ids that the job does not have."""
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    return ring[index], curves_of(ring)[index]


def straight(job: Job, room_id: RoomId, side_id: SideId, what: str) -> tuple[Side, Curve]:
    """A side that is straight. Raises InputError for a curved one."""
    side, curve = straight_or_round(job, room_id, side_id)
    if curve.bulge:
        raise InputError(f"{what} stands at a straight wall, and this one is curved: take another wall.")
    return side, curve


def longer_than_nothing(**lengths_mm: float) -> None:
    """Raises InputError for the first of these that is no length above nought; names with _ for blanks."""
    for name, length in lengths_mm.items():
        finite(**{name: length})
        if length < SAME_MM:
            said = name.removesuffix("_mm").replace("_", " ")
            raise InputError(f"The {said} is a length above nought: type it again.")


def nothing_between(job: Job, room_id: RoomId, side_id: SideId, from_mm: float, to_mm: float) -> None:
    """Raises InputError where an opening stands between two places along a wall."""
    for name, u0, u1 in in_wall(job, room_id, side_id):
        if u0 < to_mm - SAME_MM and u1 > from_mm + SAME_MM:
            raise InputError(
                f"{name} is there, {fmt2(u0 / 1000.0)} to {fmt2(u1 / 1000.0)} m along the wall: "
                "put it beside the opening."
            )


def strip_along(room: Room, side_id: SideId, out_mm: float, from_mm: float, to_mm: float) -> Ring:
    """A strip so wide into the room along a straight side. At an end of the side it runs up to the wall
    that meets it there, even where that is not square."""
    number, index = side_place(room, side_id)
    curves = curves_of(ring_of(room, number))
    here, before, after = curves[index], curves[index - 1], curves[(index + 1) % len(curves)]
    inner = Curve(
        here.x0 - here.dy * out_mm, here.y0 + here.dx * out_mm, here.x1 - here.dy * out_mm, here.y1 + here.dx * out_mm
    )
    near_start, near_end = from_mm <= SAME_MM, to_mm >= here.length - SAME_MM
    start, end = inner.at(from_mm), inner.at(to_mm)
    if near_start:
        start = _up_to(inner, before, start, here)
    if near_end:
        end = _up_to(inner, after, end, here)
    foot = (here.x0, here.y0) if near_start else here.at(from_mm)
    far = (here.x1, here.y1) if near_end else here.at(to_mm)
    return tuple((x, y, 0.0) for x, y in (foot, far, end, start))


def _up_to(inner: Curve, neighbour: Curve, square: Point, here: Curve) -> Point:
    """Where the strip's inner line meets the neighbour that turns into the room; else square to the wall."""
    if neighbour.bulge or neighbour.length <= SAME_MM:
        return square
    found = crossings(inner, neighbour)
    if not found:
        return square
    t, _ = neighbour.where(*found[0])
    on_it = -SAME_MM <= t <= neighbour.length + SAME_MM
    middle = neighbour.at(neighbour.length / 2.0)
    into = (middle[1] - here.y0) * here.dx - (middle[0] - here.x0) * here.dy > 0
    return found[0] if on_it and into else square


def with_region(job: Job, room_id: RoomId, which: Literal["ceiling", "floor"], region: Region) -> Job:
    """The job with a region more, under a name that is free. What sticks out of the room is cut off.

    Raises InputError where most of it lies outside, or where it would cross another region.
    """
    room = room_of(job, room_id)
    s, _ = room_place(job, room_id)
    outline = _cut_to_room(lay_out(job.storeys[s], room).polygon, region.outline, room, region.what)
    region = msgspec.structs.replace(region, id=new_region_id(room), outline=outline)
    field = room.ceiling if which == "ceiling" else room.floor
    if field is not None:
        _crosses_none(field, region)
    after = add_region(job, room_id, which, region)
    if _without_void(after, room_id) and not _without_void(job, room_id):
        raise InputError(
            f"Between floor and ceiling there is no room for the {region.what}: make it less "
            "high, or place it elsewhere."
        )
    return after


def with_outline(before: Job, after: Job, room_id: RoomId, what: str) -> Job:
    """The job after an edit of a room's outline. Raises InputError where the room would cross itself, or a
    lowered or raised part would be left outside of it."""
    keep_sound(before, after, {room_id})
    s, _ = room_place(after, room_id)
    laid = lay_out(after.storeys[s], room_of(after, room_id))
    was = lay_out(before.storeys[s], room_of(before, room_id))
    known = {finding.where.surface for finding in unsound_regions(was)}
    for finding in unsound_regions(laid):
        if finding.where.surface not in known:
            raise InputError(f"The {what} would stand in a lowered or raised part that is there: take that out first.")
    return after


def _without_void(job: Job, room_id: RoomId) -> bool:
    """Whether a room's ceiling comes below its floor somewhere."""
    s, _ = room_place(job, room_id)
    found = ceilings_below_floors(lay_out(job.storeys[s], room_of(job, room_id)))
    return any(finding.severity == "error" for finding in found)


def new_region_id(room: Room) -> RegionId:
    """An id that no region of the room has: "p1", "p2"…"""
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    return RegionId(fresh_number([str(r.id) for field in fields for r in field.regions], "p"))


def _cut_to_room(space: shapely.Polygon, ring: Ring, room: Room, what: str) -> Ring:
    if ring_fault(ring) is not None:
        raise InputError(f"The {what} does not fit between the walls there: make it smaller.")
    shape = ring_polygon(ring)
    outside = shape.difference(space).area
    if outside <= shape.length * SAME_MM / 2.0:
        return ring
    within = max(shapely.get_parts(shape.intersection(space)), key=lambda part: part.area, default=None)
    if within is None or within.geom_type != "Polygon" or within.area < shape.area / 2.0:
        raise InputError(
            f"The {what} would stand outside {room_name(room)}: place it within the room, or make it smaller."
        )
    plain = shapely.simplify(shapely.geometry.polygon.orient(within), SAME_MM / 2.0)
    return tuple((float(x), float(y), 0.0) for x, y in plain.exterior.coords[:-1])


def _crosses_none(field: Field, region: Region) -> None:
    shape = ring_polygon(region.outline)
    for other in field.regions:
        there = ring_polygon(other.outline)
        shared = shape.intersection(there).area
        sliver = min(shape.length, there.length) * SAME_MM / 2.0
        if shared > sliver and min(shape.area, there.area) - shared > sliver:
            raise InputError(
                f"The {region.what} would cross the {other.what or 'part'} that is there: place "
                "it beside it, or take that out first."
            )
        if shared > sliver and abs(shape.area - there.area) <= sliver:
            raise InputError(f"The {other.what or 'part'} is there already: take it out first.")
