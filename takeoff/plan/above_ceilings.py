"""What lies above ceilings: rooms of which nobody has said it, in groups that one answer is likely to fit."""

from __future__ import annotations

import msgspec
import shapely

from takeoff.plan.model import AboveClass, Job, Room, RoomId, Storey
from takeoff.plan.shape import sound_polygon

COVERED = 0.5
"""A room lies under others where more of it does (common practice, no source)."""


class Ceilings(msgspec.Struct, frozen=True):
    """Rooms of a storey of which nobody has said what lies above, and what the job lets one think: rooms of
    the next storey lie over them, or their ceilings slope or have rooflights; else *unknown*."""

    storey: str
    rooms: tuple[RoomId, ...]
    likely: AboveClass


def unsaid_ceilings(job: Job) -> tuple[Ceilings, ...]:
    """The groups, storey by storey; none where every room has its answer."""
    found = []
    for storey in job.storeys:
        unsaid = [room for room in storey.rooms if room.above == "unknown"]
        if not unsaid:
            continue
        over = shapely.union_all([sound_polygon(room) for room in _next_above(job, storey)])
        groups: dict[AboveClass, list[RoomId]] = {}
        for room in unsaid:
            groups.setdefault(_likely(storey, room, over), []).append(room.id)
        found += [Ceilings(str(storey.id), tuple(rooms), likely) for likely, rooms in groups.items()]
    return tuple(found)


def _next_above(job: Job, storey: Storey) -> tuple[Room, ...]:
    """The rooms of the lowest storey above; plans that lie beside each other share no ground with it."""
    higher = [other for other in job.storeys if other.level_mm > storey.level_mm]
    return min(higher, key=lambda other: other.level_mm).rooms if higher else ()


def _likely(storey: Storey, room: Room, over: shapely.Geometry) -> AboveClass:
    own = sound_polygon(room)
    if own.area and own.intersection(over).area > COVERED * own.area:
        return "same"
    sloped = room.ceiling is not None and any(plane.slope_x or plane.slope_y for plane in room.ceiling.planes)
    return "roof" if sloped or any(light.room == room.id for light in storey.rooflights) else "unknown"
