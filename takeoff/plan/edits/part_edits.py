"""Quick parts: what stands in many rooms, each one edit with two or three dimensions.

All are made of what a plan has anyway: sides, regions of ceiling and floor, exclusions. Lengths are mm,
heights mm above the storey's datum unless they are said to be from the floor or the ceiling.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from typing import Literal

import msgspec
import shapely

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, crossings, meet
from takeoff.language import mark, tr
from takeoff.plan.edits.coat_edits import add_exclusion, new_exclusion_id, remove_exclusion
from takeoff.plan.edits.height_edits import add_region
from takeoff.plan.edits.lookup import finite, fresh_number, ring_of, room_of, room_place, side_curve, side_place
from takeoff.plan.edits.opening_edits import in_wall
from takeoff.plan.edits.wall_edits import keep_sound
from takeoff.plan.model import Exclusion, Field, Job, Plane, Region, RegionId, Ring, Room, RoomId, Side, SideId
from takeoff.plan.room_faults import SAME_MM, ceilings_below_floors, lay_out, ring_fault, unsound_regions
from takeoff.plan.shape import ceiling_height, curves_of, floor_height, ring_polygon
from takeoff.units.printing import shown


class OnWall(msgspec.Struct, frozen=True):
    """A place on a wall face: so far along a side from its start, mm."""

    room: RoomId
    side: SideId
    along_mm: float


def straight(job: Job, room_id: RoomId, side_id: SideId) -> tuple[Side, Curve]:
    """A side that is straight. Raises InputError for a curved one."""
    side, curve = side_curve(job, room_id, side_id)
    if curve.bulge:
        raise InputError(tr("This needs a straight wall, and this one is curved: select another wall."))
    return side, curve


_LENGTH_ABOVE_ZERO = mark("The length must be more than 0.")
_ABOVE_ZERO = {
    "width_mm": mark("The width must be more than 0."),
    "height_mm": mark("The height must be more than 0."),
    "depth_mm": mark("The depth must be more than 0."),
    "thickness_mm": mark("The thickness must be more than 0."),
    "run_mm": mark("The run must be more than 0."),
    "out_mm": mark("How far it stands out must be more than 0."),
    "down_mm": mark("How far it comes down must be more than 0."),
}


def longer_than_nothing(**lengths_mm: float) -> None:
    """Raises InputError for the first of these that is no length above nought; names with _ for blanks."""
    for name, length in lengths_mm.items():
        finite(**{name: length})
        if length < SAME_MM:
            raise InputError(tr(_ABOVE_ZERO.get(name, _LENGTH_ABOVE_ZERO)))


def nothing_between(job: Job, room_id: RoomId, side_id: SideId, from_mm: float, to_mm: float) -> None:
    """Raises InputError where an opening stands between two places along a wall."""
    for name, u0, u1 in in_wall(job, room_id, side_id):
        if u0 < to_mm - SAME_MM and u1 > from_mm + SAME_MM:
            raise InputError(
                tr(
                    "{opening} is there, {start} to {end} m along the wall: place this beside it.",
                    opening=name,
                    start=shown(u0 / 1000.0),
                    end=shown(u1 / 1000.0),
                )
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
            tr(
                "{part}: no room between floor and ceiling. Make it less high, or place it elsewhere.",
                part=_called(region.what),
            )
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
            raise InputError(
                tr("{part}: it would stand in a lowered or raised part. Remove that part first.", part=_called(what))
            )
    return after


_PART = mark("part")


def _called(what: str) -> str:
    """A part at the start of a sentence: "Boxing"."""
    name = tr(what or _PART)
    return name[:1].upper() + name[1:]


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
        raise InputError(tr("{part}: it does not fit between the walls there. Make it smaller.", part=_called(what)))
    shape = ring_polygon(ring)
    outside = shape.difference(space).area
    if outside <= shape.length * SAME_MM / 2.0:
        return ring
    within = max(shapely.get_parts(shape.intersection(space)), key=lambda part: part.area, default=None)
    if within is None or within.geom_type != "Polygon" or within.area < shape.area / 2.0:
        raise InputError(
            tr(
                "{part}: it would stand outside {room}. Place it within the room, or make it smaller.",
                part=_called(what),
                room=room.title,
            )
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
                tr(
                    "{part}: it would cross what is there ({other}). Place it beside that, or remove that first.",
                    part=_called(region.what),
                    other=tr(other.what or _PART),
                )
            )
        if shared > sliver and abs(shape.area - there.area) <= sliver:
            raise InputError(tr("{part}: it is there already. Remove it first.", part=_called(other.what)))


_BESIDE_MM = 0.5
"""Floor and ceiling are looked at so far inside of the wall."""

_LOOKED = 8
"""The ceiling is looked at in so many steps along a wall: what sticks out above it is cut off anyway."""


def fitted_units(
    job: Job, start: OnWall, end: OnWall, height_mm: float, from_mm: float = 0.0, what: str = "units"
) -> Job:
    """Units from one place on the walls of a room to another, the shorter way round its corners, from
    ``from_mm`` to ``height_mm`` above the floor: the walls behind them are left out.

    Raises InputError for places in different rooms or rings, and for units of no size.
    """
    _stands(from_mm, height_mm)
    if start.room != end.room:
        raise InputError(tr("Units run along the walls of one room: click both ends in it."))
    room = room_of(job, start.room)
    ring_a, ring_b = (side_place(room, place.side)[0] for place in (start, end))
    if ring_a != ring_b:
        raise InputError(tr("One end is at a pier and the other at a wall: click both at the same."))
    stretches = [s for s in _between(room, ring_a, start, end) if s[0].has_wall]
    if not stretches:
        raise InputError(tr("The units have no width: click where they begin and where they end."))
    after = job
    for side, curve, u0, u1 in stretches:
        after = _covered(after, room, side, curve, (u0, u1), (from_mm, height_mm), what)
    return _fitted(job, after, what)


def _between(room: Room, number: int, start: OnWall, end: OnWall) -> list[tuple[Side, Curve, float, float]]:
    """The stretches of walls from one place to the other, the shorter way round."""
    ring = ring_of(room, number)
    curves = curves_of(ring)
    ways = [list(_way(ring, curves, one, other)) for one, other in ((start, end), (end, start))]
    return min(ways, key=lambda way: sum(u1 - u0 for _, _, u0, u1 in way))


def _way(
    ring: tuple[Side, ...], curves: list[Curve], start: OnWall, end: OnWall
) -> Iterator[tuple[Side, Curve, float, float]]:
    """The stretches in the order of the ring."""
    names = [side.id for side in ring]
    index, last = names.index(start.side), names.index(end.side)
    at = start.along_mm
    first = True
    while True:
        curve = curves[index]
        stops = index == last and not (first and end.along_mm < at)
        to = end.along_mm if stops else curve.length
        if to - at > SAME_MM:
            yield ring[index], curve, at, to
        if stops:
            return
        index, at, first = (index + 1) % len(ring), 0.0, False


def tile_walls(
    job: Job, room_id: RoomId, sides: Collection[SideId], height_mm: float, from_mm: float = 0.0,
    what: str = "tiles",
) -> Job:  # fmt: skip
    """Tiles over the whole length of these walls, up to a height above the floor: not coated.

    Tiles of that name which cover such a wall already get the new height.
    """
    _stands(from_mm, height_mm)
    room, after = room_of(job, room_id), job
    for side_id in sides:
        number, index = side_place(room, side_id)
        side, curve = ring_of(room, number)[index], curves_of(ring_of(room, number))[index]
        if not side.has_wall:
            continue
        for old in (side.treatment or room.walls).exclusions:
            if old.what == what and _spans(old, curve.length) and side.treatment is not None:
                after = remove_exclusion(after, room_id, old.id)
        after = _covered(after, room, side, curve, (0.0, curve.length), (from_mm, height_mm), what)
    return _fitted(job, after, what)


def _spans(exclusion: Exclusion, length_mm: float) -> bool:
    us = [u for u, _, _ in exclusion.outline]
    return min(us) <= SAME_MM and max(us) >= length_mm - SAME_MM


def _stands(from_mm: float, height_mm: float) -> None:
    finite(from_mm=from_mm)
    longer_than_nothing(height_mm=height_mm)
    if from_mm < 0 or height_mm - from_mm < SAME_MM:
        raise InputError(tr("The upper edge must be above the lower edge: type both again."))


def _covered(
    job: Job, room: Room, side: Side, curve: Curve, stretch: tuple[float, float],
    heights_mm: tuple[float, float], what: str,
) -> Job:  # fmt: skip
    """The job with a stretch of a side left out between two heights above the floor, up to its ceiling at
    most; the very job where its ceiling is lower than all of it."""
    u0, u1 = stretch
    floor = floor_height(room, *curve.beside((u0 + u1) / 2.0, _BESIDE_MM))
    s, _ = room_place(job, room.id)
    ceiling = max(
        ceiling_height(job.storeys[s], room, *curve.beside(u0 + (u1 - u0) * k / _LOOKED, _BESIDE_MM))
        for k in range(_LOOKED + 1)
    )
    low, high = floor + heights_mm[0], min(floor + heights_mm[1], ceiling)
    if high - low < SAME_MM:
        return job
    outline = ((u0, low, 0.0), (u1, low, 0.0), (u1, high, 0.0), (u0, high, 0.0))
    name = new_exclusion_id(room_of(job, room.id))
    return add_exclusion(job, room.id, side.id, Exclusion(id=name, outline=outline, what=what))


def _fitted(before: Job, after: Job, what: str) -> Job:
    """The job after, where anything was left out in it."""
    if after is before:
        raise InputError(
            tr("{part}: the ceiling there is below their lower edge. Type lower heights.", part=_called(what))
        )
    return after


def bulkhead(job: Job, room_id: RoomId, side_id: SideId, out_mm: float, down_mm: float) -> Job:
    """A bulkhead, or boxing, under the ceiling along the whole of a straight side: so far out from the wall
    and so far down from the ceiling at the middle of it.

    Raises InputError where it would reach the floor or does not fit into the room.
    """
    longer_than_nothing(width_mm=out_mm, depth_mm=down_mm)
    curve = straight(job, room_id, side_id)[1]
    above, below = _heights_at(job, room_id, curve, curve.length / 2.0)
    room = room_of(job, room_id)
    if above - down_mm <= below + SAME_MM:
        raise InputError(
            tr(
                "The ceiling is only {height} m above the floor there: make the bulkhead less deep.",
                height=shown((above - below) / 1000.0),
            )
        )
    # planes stand on the drawn ceiling, of which the build-up is taken off
    plane = Plane(z_mm=above - down_mm + room.ceiling_build_up_mm)
    outline = strip_along(room, side_id, out_mm, 0.0, curve.length)
    region = Region(id=RegionId("new"), op="lower", outline=outline, planes=(plane,), what="bulkhead")
    return with_region(job, room_id, "ceiling", region)


def stair_soffit(
    job: Job, room_id: RoomId, side_id: SideId, low_end_mm: float, towards: Literal["start", "end"],
    width_mm: float, run_mm: float, low_mm: float, high_mm: float | None = None,
) -> Job:  # fmt: skip
    """The soffit under a stair along a straight side. Its low end lies so far along the side, ``low_mm``
    above the floor; from there it rises over its run towards the side's start or end, up to ``high_mm``
    above the floor, or to the ceiling. What would run through the wall is cut off.

    Raises InputError where it does not rise or does not fit into the room.
    """
    longer_than_nothing(width_mm=width_mm, run_mm=run_mm)
    finite(low_end_mm=low_end_mm, low_mm=low_mm, high_mm=high_mm)
    curve = straight(job, room_id, side_id)[1]
    room = room_of(job, room_id)
    foot = min(max(low_end_mm, 0.0), curve.length)
    sign = 1.0 if towards == "end" else -1.0
    head = min(max(foot + sign * run_mm, 0.0), curve.length)
    if abs(head - foot) < SAME_MM:
        raise InputError(tr("No wall remains on that side: let the soffit rise the other way."))
    above, below = _heights_at(job, room_id, curve, (foot + head) / 2.0)
    high = above - below if high_mm is None else high_mm
    if low_mm < 0 or high - low_mm < SAME_MM:
        raise InputError(
            tr(
                "The soffit would run from {low} to {high} m, which is not upwards: type its heights again.",
                low=shown(low_mm / 1000.0),
                high=shown(high / 1000.0),
            )
        )
    slope = sign * (high - low_mm) / run_mm
    x, y = curve.at(foot)
    plane = Plane(
        z_mm=below + low_mm + room.ceiling_build_up_mm,
        slope_x=slope * curve.dx,
        slope_y=slope * curve.dy,
        at_x_mm=x,
        at_y_mm=y,
    )
    outline = strip_along(room, side_id, width_mm, min(foot, head), max(foot, head))
    region = Region(id=RegionId("new"), op="lower", outline=outline, planes=(plane,), what="stair soffit")
    return with_region(job, room_id, "ceiling", region)


def _heights_at(job: Job, room_id: RoomId, curve: Curve, along_mm: float) -> tuple[float, float]:
    """(ceiling, floor), finished, above the datum beside a place on a side, mm."""
    s, r = room_place(job, room_id)
    storey = job.storeys[s]
    (x, y), (dx, dy) = curve.at(along_mm), curve.direction(along_mm)
    px, py = x - dy * _BESIDE_MM, y + dx * _BESIDE_MM
    return ceiling_height(storey, storey.rooms[r], px, py), floor_height(storey.rooms[r], px, py)


_FAR_MM = 1e6
"""Longer than any room."""

_LEAST_SLOPE = math.tan(math.radians(1.0))
"""A ceiling less steep than this is level for a dormer."""


def dwarf_wall(
    job: Job, room_id: RoomId, start: Point, end: Point, thickness_mm: float, height_mm: float,
    coat_top: bool = True,
) -> Job:  # fmt: skip
    """A wall that ends below the ceiling, along a line through its middle, so thick and so high above the
    floor; its sides are coated, its top too unless it is capped.

    Raises InputError where it would reach the ceiling or stand outside the room.
    """
    longer_than_nothing(thickness_mm=thickness_mm, height_mm=height_mm)
    line = Curve(*start, *end)
    finite(length=line.length)
    if line.length < SAME_MM:
        raise InputError(tr("The dwarf wall has no length: click where it begins and where it ends."))
    s, r = room_place(job, room_id)
    storey, room = job.storeys[s], job.storeys[s].rooms[r]
    x, y = line.at(line.length / 2.0)
    floor = floor_height(room, x, y)
    if floor + height_mm >= ceiling_height(storey, room, x, y) - SAME_MM:
        raise InputError(tr("A wall of this height reaches the ceiling: type less, or draw it as a pier."))
    region = Region(
        id=RegionId("new"),
        op="raise",
        outline=_about(line, thickness_mm / 2.0, 0.0, line.length),
        planes=(Plane(z_mm=floor + height_mm - room.floor_build_up_mm),),
        what="dwarf wall",
        coat_sides=True,
        coat_face=coat_top,
    )
    return with_region(job, room_id, "floor", region)


def _about(line: Curve, half_mm: float, from_mm: float, to_mm: float) -> Ring:
    """A rectangle about a stretch of a line."""
    (ax, ay), (bx, by) = line.at(from_mm), line.at(to_mm)
    ox, oy = -line.dy * half_mm, line.dx * half_mm
    return tuple(
        (x, y, 0.0) for x, y in ((ax - ox, ay - oy), (bx - ox, by - oy), (bx + ox, by + oy), (ax + ox, ay + oy))
    )


def dormer(job: Job, room_id: RoomId, at: Point, width_mm: float, height_mm: float, set_back_mm: float = 0.0) -> Job:
    """A dormer with a level ceiling in the slope over a point: so wide about that point, its ceiling
    ``height_mm`` above the datum, its front so far in from the wall at the eaves (at that wall for 0). It
    reaches back to where the slope is as high as its ceiling.

    Raises InputError where the ceiling is level, or is not low enough at the front or high enough behind.
    """
    longer_than_nothing(width_mm=width_mm, height_mm=height_mm)
    finite(set_back_mm=set_back_mm)
    s, r = room_place(job, room_id)
    storey, room = job.storeys[s], job.storeys[s].rooms[r]
    planes = room.ceiling.planes if room.ceiling is not None else ()
    plane = min(planes, key=lambda p: p.at(*at), default=Plane(z_mm=storey.height_mm))
    steep = math.hypot(plane.slope_x, plane.slope_y)
    if steep < _LEAST_SLOPE:
        raise InputError(
            tr(
                "The ceiling is level here and a dormer stands in a slope: click a slope, or set "
                "the slopes of the room first."
            )
        )
    ux, uy = plane.slope_x / steep, plane.slope_y / steep
    front = max(set_back_mm, 0.0) - _to_eaves(room, at, (ux, uy))
    back = (height_mm - plane.at(*at)) / steep
    if back - front < SAME_MM:
        there = plane.at(at[0] + ux * front, at[1] + uy * front)
        raise InputError(
            tr(
                "The slope is {height} m high at the front of the dormer, and its ceiling must be higher: "
                "type a larger height.",
                height=shown(there / 1000.0),
            )
        )
    top = min(p.at(at[0] + ux * back, at[1] + uy * back) for p in planes)
    if top < height_mm - SAME_MM:
        raise InputError(
            tr(
                "The ceiling behind the dormer is only {height} m high: type less than that.",
                height=shown(top / 1000.0),
            )
        )
    line = Curve(at[0], at[1], at[0] + ux * _FAR_MM, at[1] + uy * _FAR_MM)
    region = Region(
        id=RegionId("new"),
        op="raise",
        outline=_about(line, width_mm / 2.0, front, back),
        planes=(Plane(z_mm=height_mm),),
        what="dormer",
    )
    return with_region(job, room_id, "ceiling", region)


def _to_eaves(room: Room, at: Point, up: Point) -> float:
    """How far down the slope the wall lies from a point, mm. Raises InputError outside the room."""
    down = Curve(at[0], at[1], at[0] - up[0] * _FAR_MM, at[1] - up[1] * _FAR_MM)
    found = [t for curve in curves_of(room.outline) for t, _ in meet(down, curve)]
    if not found:
        raise InputError(tr("This point is in no room: click inside a room."))
    return min(found)


replace = msgspec.structs.replace
