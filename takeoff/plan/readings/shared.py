"""Openings that two rooms share: where they were read, and which opening of the storey they are."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.adjustment import Point
from takeoff.plan.model import Opening, Reveal, Room, RoomId, Side, SideId, Storey
from takeoff.plan.read_on_site import Join, ReadOpening
from takeoff.plan.readings.start import side_ids, way_round

SAME_PLACE_MM = 100.0
"""An opening that stands this near to where it was read is the one that was read: it may have been moved
a little since (common practice, no source)."""

SideLine = tuple[Side, Point, Point, Point]


def label(room: Room) -> str:
    """What a room is called: its name, else its id."""
    return room.name or str(room.id)


def side_line(room: Room, side_id: SideId) -> SideLine:
    """(side, start, end, outward direction) of a side as it stands now. Raises InputError without one."""
    index = next((k for k, side in enumerate(room.outline) if side.id == side_id), None)
    if index is None:
        raise InputError(f"{label(room)} has no side {side_id}: choose one that it has.")
    side, after = room.outline[index], room.outline[(index + 1) % len(room.outline)]
    start, end = (side.x_mm, side.y_mm), (after.x_mm, after.y_mm)
    length = math.dist(start, end)
    return side, start, end, ((end[1] - start[1]) / length, -(end[0] - start[0]) / length)


def from_to(room: Room, side_id: SideId, number: int, length_mm: float) -> tuple[float, float]:
    """Where an opening was read to begin and end along its side in the ring, mm. Raises InputError where
    none was read."""
    read = _read(room, side_id, number)
    if read is None or room.readings is None:
        raise InputError(f"{label(room)} has no opening {number + 1} read in side {side_id}: choose one.")
    if way_round(room.readings.sides) > 0:
        return read.from_mm, read.to_mm
    return length_mm - read.to_mm, length_mm - read.from_mm


def _read(room: Room, side_id: SideId, number: int) -> ReadOpening | None:
    if room.readings is None:
        return None
    sides = dict(zip(side_ids(room.readings.sides), room.readings.sides, strict=True))
    openings = sides[side_id].openings if side_id in sides else ()
    return openings[number] if 0 <= number < len(openings) else None


def opening_read(storey: Storey, room_id: RoomId, side_id: SideId, number: int) -> Opening | None:
    """The room's own opening that stands where one was read; None where none does, or nothing was read."""
    room = next((room for room in storey.rooms if room.id == room_id), None)
    if room is None or _read(room, side_id, number) is None or all(s.id != side_id for s in room.outline):
        return None
    _, start, end, _ = side_line(room, side_id)
    first, last = from_to(room, side_id, number, math.dist(start, end))
    own = [o for o in storey.openings if o.room == room_id and o.side == side_id]
    middle = (first + last) / 2.0
    near = min(own, key=lambda o: abs(o.offset_mm + o.width_mm / 2.0 - middle), default=None)
    if near is None or abs(near.offset_mm + near.width_mm / 2.0 - middle) > SAME_PLACE_MM:
        return None
    return near


def host_opening(storey: Storey, join: Join) -> Opening | None:
    """The opening of a join's first room; None where the join is of walls, or it is gone."""
    return None if join.opening is None else opening_read(storey, join.room, join.side, join.opening)


def turned(reveal: Reveal) -> Reveal:
    """A reveal seen from the other side of the wall, where the first jamb is the last."""
    return msgspec.structs.replace(reveal, start=reveal.end, end=reveal.start)
