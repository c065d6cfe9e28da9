"""Storeys, rooms and their sides."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import (
    all_openings,
    all_rooms,
    changed,
    changed_storey,
    finite,
    index_of,
    room_place,
    unused,
    with_room,
    with_side,
    with_storey,
)
from takeoff.plan.model import (
    Behind,
    Confidence,
    Job,
    Opening,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    WallType,
    WallTypeId,
)
from takeoff.plan.read_on_site import SetTogether

replace = msgspec.structs.replace


def add_storey(job: Job, storey: Storey) -> Job:
    """The job with a storey more, after the others; its own id and those in it must be new."""
    unused(job.storeys, storey.id, "storey")
    for room in storey.rooms:
        unused(all_rooms(job), room.id, "room")
    for name in (*(o.id for o in storey.openings), *(light.id for light in storey.rooflights)):
        unused(all_openings(job), name, "opening")
    return replace(job, storeys=(*job.storeys, storey))


def remove_storey(job: Job, storey_id: StoreyId) -> Job:
    """The job without that storey and all in it."""
    index = index_of(job.storeys, storey_id, "storey", "The job")
    return replace(job, storeys=job.storeys[:index] + job.storeys[index + 1 :])


def rename_storey(job: Job, storey_id: StoreyId, name: str) -> Job:
    """The storey under another name; its id stays."""
    return with_storey(job, storey_id, lambda storey: changed(storey, name=name))


def set_storey_times(job: Job, storey_id: StoreyId, times: int) -> Job:
    """How often the storey is built."""
    _whole(times)
    return with_storey(job, storey_id, lambda storey: changed(storey, times=times))


def add_room(job: Job, storey_id: StoreyId, room: Room) -> Job:
    """The job with a room more on that storey; its id must be new."""
    unused(all_rooms(job), room.id, "room")
    return with_storey(job, storey_id, lambda storey: replace(storey, rooms=(*storey.rooms, room)))


def remove_room(job: Job, room_id: RoomId) -> Job:
    """The job without that room, its openings and its rooflights."""
    s, r = room_place(job, room_id)
    storey = job.storeys[s]
    rest = replace(
        storey,
        rooms=storey.rooms[:r] + storey.rooms[r + 1 :],
        openings=_others(storey.openings, room_id),
        rooflights=tuple(light for light in storey.rooflights if light.room != room_id),
        set_together=_without(storey.set_together, room_id),
    )
    return changed_storey(job, s, rest)


def _without(together: SetTogether | None, room_id: RoomId) -> SetTogether | None:
    """How the other rooms are set together; None where nothing joins them any more."""
    if together is None:
        return None
    joins = tuple(join for join in together.joins if room_id not in (join.room, join.beyond))
    checks = tuple(check for check in together.checks if room_id not in (check.room, check.beyond))
    return replace(together, joins=joins, checks=checks) if joins else None


def _others(openings: tuple[Opening, ...], room_id: RoomId) -> tuple[Opening, ...]:
    kept = tuple(opening for opening in openings if opening.room != room_id)
    return openings if len(kept) == len(openings) else kept


def rename_room(job: Job, room_id: RoomId, name: str, number: str | None = None) -> Job:
    """The room under another name, and number where one is given; its id stays."""

    def renamed(room: Room) -> Room:
        return changed(room, name=name, number=room.number if number is None else number)

    return with_room(job, room_id, renamed)


def set_times(job: Job, room_id: RoomId, times: int) -> Job:
    """How often the room is built on its storey."""
    _whole(times)
    return with_room(job, room_id, lambda room: changed(room, times=times))


def set_room_confidence(job: Job, room_id: RoomId, confidence: Confidence) -> Job:
    """Accept a room (*sure*) or leave it open. To refuse one, remove it."""
    return with_room(job, room_id, lambda room: changed(room, confidence=confidence))


def set_side_kind(
    job: Job, room_id: RoomId, side_id: SideId, kind: Literal["wall", "open"],
    open_from_mm: float | None = None, open_to_mm: float | None = None,
) -> Job:  # fmt: skip
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


def set_side_wall_type(
    job: Job, room_id: RoomId, side_id: SideId, wall_type: WallTypeId | None, face: Literal["a", "b"] = "a"
) -> Job:
    """Which finish stands on a side; None: the drawn line is the finished face."""
    if wall_type is not None:
        index_of(job.wall_types, wall_type, "wall type", "The job")
    return with_side(job, room_id, side_id, lambda side: changed(side, wall_type=wall_type, wall_face=face))


def _whole(times: int) -> None:
    if times < 1:
        raise InputError(f"It cannot be built {times} times: type 1 or more, or remove it.")
