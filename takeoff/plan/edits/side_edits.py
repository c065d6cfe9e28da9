"""What a side is: a wall or open, what is behind it, of what wall; opened and closed with the rooms that share it."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.corner_edits import freed
from takeoff.plan.edits.facing_sides import partners
from takeoff.plan.edits.lookup import changed, finite, ring_of, room_of, room_place, side_place, with_side
from takeoff.plan.model import Behind, Job, Room, RoomId, Side, SideId, WallType
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.said import mm

replace = msgspec.structs.replace


def set_side_kind(
    job: Job,
    room_id: RoomId,
    side_id: SideId,
    kind: Literal["wall", "open"],
    open_from_mm: float | None = None,
    open_to_mm: float | None = None,
) -> Job:
    """Make a side a wall, or open over all its height or a range of it (above the datum)."""
    finite(open_from_mm=open_from_mm, open_to_mm=open_to_mm)
    if kind == "wall":
        open_from_mm = open_to_mm = None

    def reshaped(side: Side) -> Side:
        return changed(side, kind=kind, open_from_mm=open_from_mm, open_to_mm=open_to_mm)

    return with_side(job, room_id, side_id, reshaped)


def set_behind(job: Job, room_id: RoomId, side_id: SideId, behind: tuple[Behind, ...]) -> Job:
    """What lies behind a side, stretch by stretch; none leaves it to what is drawn."""
    for stretch in behind:
        finite(from_mm=stretch.from_mm, to_mm=stretch.to_mm, thickness_mm=stretch.thickness_mm)
    return with_side(job, room_id, side_id, lambda side: changed(side, behind=behind))


def add_wall_type(job: Job, wall_type: WallType) -> Job:
    """The job with a wall type more, or with the one of that id exchanged."""
    finite(finish_a_mm=wall_type.finish_a_mm, finish_b_mm=wall_type.finish_b_mm)
    others = tuple(known for known in job.wall_types if known.id != wall_type.id)
    if len(others) == len(job.wall_types):
        return replace(job, wall_types=(*others, wall_type))
    kept = tuple(wall_type if known.id == wall_type.id else known for known in job.wall_types)
    return changed(job, wall_types=kept)


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
            tr(
                "A wall of {thickness} stands between {room} and {other}: join the rooms, or put a doorway "
                "into the wall.",
                thickness=mm(f.apart),
                room=room.title,
                other=other.title,
            )
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
            raise InputError(tr("In this wall stands {opening}: delete it first.", opening=opening.title))
