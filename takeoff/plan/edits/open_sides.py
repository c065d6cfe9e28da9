"""Sides between two rooms opened and closed: one space runs into the next, on both faces at once."""

from __future__ import annotations

import math

from takeoff.errors import InputError
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.check.wording import mm, opening_name, room_name
from takeoff.plan.edits.joining import THICKEST_WALL_MM, Facing, facing_sides, freed
from takeoff.plan.edits.lookup import ring_of, room_of, room_place, side_place
from takeoff.plan.edits.rooms import set_side_kind
from takeoff.plan.model import Job, Room, RoomId, Side, SideId
from takeoff.plan.shape import curves_of


def open_side(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The side open, over all its height, where other rooms share it; theirs are opened with it.

    Where they share part of it only, it is parted there and the rest stays a wall. One with no
    room behind it is opened whole, which ``check`` asks about. Raises InputError where a wall
    stands between the rooms, or an opening in the stretch that would go.
    """
    room = room_of(job, room_id)
    if _side(room, side_id).kind == "open":
        return job
    beyond = partners(job, room_id, side_id)
    shared = [(other, f) for other, f in beyond if f.apart <= SAME_MM]
    if beyond and not shared:
        other, f = min(beyond, key=lambda pair: pair[1].apart)
        raise InputError(
            f"A wall of {mm(f.apart)} stands between {room_name(room)} and {room_name(other)}: "
            "join the rooms, or put an open way into the wall."
        )
    if not shared:
        _refuse_openings(job, room_id, side_id, 0.0, math.inf)
        return set_side_kind(job, room_id, side_id, "open")
    for other, f in shared:
        _refuse_openings(job, room_id, f.one, f.one_from, f.one_to)
        _refuse_openings(job, other.id, f.other, f.other_from, f.other_to)
    job, own = freed(job, room_id, [(f.one, f.one_from, f.one_to) for _, f in shared])
    for name in sorted(own):
        job = set_side_kind(job, room_id, name, "open")
    for other, f in shared:
        job, theirs = freed(job, other.id, [(f.other, f.other_from, f.other_to)])
        for name in sorted(theirs):
            job = set_side_kind(job, other.id, name, "open")
    return job


def close_side(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The open side a wall again, and with it the open sides of other rooms that lie on it."""
    room = room_of(job, room_id)
    if _side(room, side_id).kind == "wall":
        return job
    for other, f in partners(job, room_id, side_id):
        if f.apart <= SAME_MM:
            job = set_side_kind(job, other.id, f.other, "wall")
    return set_side_kind(job, room_id, side_id, "wall")


def partners(job: Job, room_id: RoomId, side_id: SideId) -> list[tuple[Room, Facing]]:
    """The other rooms' sides that face a side across a wall, or lie on it."""
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    left, low, right, high = curves_of(ring_of(room, number))[index].box
    far = THICKEST_WALL_MM

    def near(other: Room) -> bool:
        xs, ys = [s.x_mm for s in other.outline], [s.y_mm for s in other.outline]
        return min(xs) <= right + far and max(xs) >= left - far and min(ys) <= high + far and max(ys) >= low - far

    return [
        (other, f)
        for other in _others(job, room_id)
        if near(other)
        for f in facing_sides(room, other)
        if f.one == side_id
    ]


def _others(job: Job, room_id: RoomId) -> list[Room]:
    s, _ = room_place(job, room_id)
    return [room for room in job.storeys[s].rooms if room.id != room_id]


def _side(room: Room, side_id: SideId) -> Side:
    number, index = side_place(room, side_id)
    return ring_of(room, number)[index]


def _refuse_openings(job: Job, room_id: RoomId, side_id: SideId, start: float, end: float) -> None:
    s, _ = room_place(job, room_id)
    for opening in job.storeys[s].openings:
        if (
            opening.room == room_id
            and opening.side == side_id
            and (opening.offset_mm < end - SAME_MM and opening.offset_mm + opening.width_mm > start + SAME_MM)
        ):
            raise InputError(f"The {opening_name(opening)} stands in this side: delete it first.")
