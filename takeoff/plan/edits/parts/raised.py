"""What rises: dwarf walls from the floor, dormers into a slope."""

from __future__ import annotations

import math

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, meet
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.edits.lookup import finite, room_place
from takeoff.plan.edits.parts.places import longer_than_nothing, with_region
from takeoff.plan.model import Job, Plane, Region, RegionId, Ring, Room, RoomId
from takeoff.plan.shape import ceiling_height, curves_of, floor_height
from takeoff.units.printing import fmt2

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
        raise InputError("A dwarf wall is longer than nothing: click where it begins and where it ends.")
    s, r = room_place(job, room_id)
    storey, room = job.storeys[s], job.storeys[s].rooms[r]
    x, y = line.at(line.length / 2.0)
    floor = floor_height(room, x, y)
    if floor + height_mm >= ceiling_height(storey, room, x, y) - SAME_MM:
        raise InputError("A wall of this height reaches the ceiling: type less, or draw it as a pier.")
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
            "The ceiling is level here and a dormer stands in a slope: click a slope, or set "
            "the slopes of the room first."
        )
    ux, uy = plane.slope_x / steep, plane.slope_y / steep
    front = max(set_back_mm, 0.0) - _to_eaves(room, at, (ux, uy))
    back = (height_mm - plane.at(*at)) / steep
    if back - front < SAME_MM:
        there = plane.at(at[0] + ux * front, at[1] + uy * front)
        raise InputError(
            f"The slope is {fmt2(there / 1000.0)} m high at the front of the dormer: its "
            "ceiling lies above that; type a larger height."
        )
    top = min(p.at(at[0] + ux * back, at[1] + uy * back) for p in planes)
    if top < height_mm - SAME_MM:
        raise InputError(f"The ceiling behind the dormer is only {fmt2(top / 1000.0)} m high: type less than that.")
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
        raise InputError("This is in no room: click inside a room.")
    return min(found)
