"""Storeys added, named, copied, put in another order and removed. They are kept from the lowest up."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.edits.coat_edits import renamed_picks
from takeoff.plan.edits.lookup import (
    all_openings,
    all_rooms,
    changed,
    finite,
    fresh_number,
    index_of,
    storey_of,
    unused,
    whole_times,
    with_storey,
)
from takeoff.plan.job_drawings import drawing_to_trace, drawing_traced
from takeoff.plan.model import Job, Opening, OpeningId, Rooflight, Room, RoomId, Storey, StoreyId

replace = msgspec.structs.replace

FLOOR_MM = 300.0
"""A new storey stands so far above the ceiling below it (common practice, no source)."""

STOREY_NAMES = (
    mark("Basement"),
    mark("Ground floor"),
    mark("First floor"),
    mark("Second floor"),
    mark("Third floor"),
    mark("Fourth floor"),
    mark("Fifth floor"),
    mark("Sixth floor"),
    mark("Seventh floor"),
    mark("Eighth floor"),
    mark("Ninth floor"),
)


def new_storey(job: Job, after: StoreyId | None = None) -> tuple[Job, StoreyId]:
    """The job with an empty storey above ``after`` (the highest), as high as that one, and its id."""
    name = _new_id(job)
    if not job.storeys:
        return add_storey(job, Storey(id=name, name=tr(STOREY_NAMES[1]), drawing=drawing_to_trace(job))), name
    below = job.storeys[-1] if after is None else storey_of(job, after)
    storey = Storey(
        id=name,
        name=next_name(below.name, _names(job)),
        level_mm=_level_above(below),
        height_mm=below.height_mm,
        height_source=below.height_source,
        drawing=drawing_traced(job, below),
    )
    return _put_after(add_storey(job, storey), below.id), name


def copy_storey(job: Job, storey_id: StoreyId, openings: bool = True) -> tuple[Job, StoreyId]:
    """The job with a copy of a storey above it, with or without openings and rooflights, and its id."""
    old, name = storey_of(job, storey_id), _new_id(job)
    called = next_name(old.name, _names(job))
    job = duplicate_storey(job, storey_id, name, called, _level_above(old), openings)
    return _put_after(job, storey_id), name


def duplicate_storey(
    job: Job, storey_id: StoreyId, new_id: StoreyId, name: str, level_mm: float, openings: bool = True
) -> Job:
    """A copy of a storey at another level, after the others.

    Rooms and openings get their ids after the new storey's ("upper/kitchen"), sides and regions,
    which are named within their room, keep theirs.
    """
    finite(level_mm=level_mm)
    copy = replace(renamed_storey(storey_of(job, storey_id), new_id, str(new_id)), name=name, level_mm=level_mm)
    if not openings:
        # doors that rooms were set together by are gone too: they stay where they stand
        rooms = tuple(_without_read_openings(room) for room in copy.rooms)
        copy = replace(copy, rooms=rooms, openings=(), rooflights=(), set_together=None)
    return add_storey(job, copy)


def renamed_storey(storey: Storey, new_id: StoreyId, prefix: str) -> Storey:
    """The storey under another id, its rooms, openings and rooflights called "prefix/id". Sides and
    regions, which are named within their room, keep theirs."""
    held: list[Opening | Rooflight] = [*storey.openings, *storey.rooflights]
    doors = {one.id: OpeningId(f"{prefix}/{one.id}") for one in held}

    def room_id(name: RoomId) -> RoomId:
        return RoomId(f"{prefix}/{name}")

    together = storey.set_together
    if together is not None:
        together = replace(
            together,
            joins=tuple(replace(j, room=room_id(j.room), beyond=room_id(j.beyond)) for j in together.joins),
            checks=tuple(replace(c, room=room_id(c.room), beyond=room_id(c.beyond)) for c in together.checks),
        )
    return replace(
        storey,
        id=new_id,
        rooms=tuple(replace(renamed_picks(room, doors), id=room_id(room.id)) for room in storey.rooms),
        openings=tuple(replace(o, id=doors[o.id], room=room_id(o.room)) for o in storey.openings),
        rooflights=tuple(replace(o, id=doors[o.id], room=room_id(o.room)) for o in storey.rooflights),
        set_together=together,
    )


def move_storey(job: Job, storey_id: StoreyId, by: int) -> Job:
    """The storey so many places further up (negative: down) in the order; the job where it is there."""
    at = index_of(job.storeys, storey_id, "storey")
    to = min(max(at + by, 0), len(job.storeys) - 1)
    if to == at:
        return job
    rest = [storey for storey in job.storeys if storey.id != storey_id]
    rest.insert(to, job.storeys[at])
    return replace(job, storeys=tuple(rest))


def drop_storey(job: Job, storey_id: StoreyId) -> Job:
    """The job without that storey and all in it. Raises InputError for the last one."""
    if len(job.storeys) == 1:
        raise InputError(tr("This is the only storey: delete its rooms, or add another storey first."))
    return remove_storey(job, storey_id)


def next_name(name: str, taken: Sequence[str]) -> str:
    """What the storey above is called: "First floor" over "Ground floor"; else the name with a number."""
    for names in (STOREY_NAMES, tuple(tr(known) for known in STOREY_NAMES)):
        places = [known.casefold() for known in names]
        if name.casefold() in places[:-1]:
            above = names[places.index(name.casefold()) + 1]
            if above not in taken:
                return above
    base, number = name or tr("Storey"), 2
    while f"{base} ({number})" in taken:
        number += 1
    return f"{base} ({number})"


def _names(job: Job) -> tuple[str, ...]:
    return tuple(storey.name for storey in job.storeys)


def _level_above(storey: Storey) -> float:
    return storey.level_mm + storey.height_mm + FLOOR_MM


def _new_id(job: Job) -> StoreyId:
    """An id that no storey has, nor any room or opening begins with."""
    held = [str(one.id).partition("/")[0] for one in (*all_rooms(job), *all_openings(job))]
    return StoreyId(fresh_number([*(str(s.id) for s in job.storeys), *held], "s"))


def _put_after(job: Job, below: StoreyId) -> Job:
    """The storey that was added last, put right above another."""
    to = index_of(job.storeys, below, "storey") + 1
    return move_storey(job, job.storeys[-1].id, to - len(job.storeys) + 1)


def _without_read_openings(room: Room) -> Room:
    if room.readings is None:
        return room
    sides = tuple(changed(side, openings=()) for side in room.readings.sides)
    return replace(room, readings=changed(room.readings, sides=sides))


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
    index = index_of(job.storeys, storey_id, "storey")
    return replace(job, storeys=job.storeys[:index] + job.storeys[index + 1 :])


def rename_storey(job: Job, storey_id: StoreyId, name: str) -> Job:
    """The storey under another name; its id stays."""
    return with_storey(job, storey_id, lambda storey: changed(storey, name=name))


def set_storey_times(job: Job, storey_id: StoreyId, times: int) -> Job:
    """How often the storey is built."""
    whole_times(times)
    return with_storey(job, storey_id, lambda storey: changed(storey, times=times))
