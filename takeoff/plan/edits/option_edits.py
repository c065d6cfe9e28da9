"""Edits of options: treatments put side by side, and the coat of a job kept as one."""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr, tr_count
from takeoff.plan.edits.lookup import changed, ring_of, with_ring, with_room
from takeoff.plan.model import Border, Job, Room, Side, SideId, WallTreatment
from takeoff.plan.option_records import CoatOption, KeptBand, KeptRoom, KeptSide

MOST_OPTIONS = 4
"""More side by side nobody compares."""

LONGEST_NAME = 80
LONGEST_MM = 5000.0


def add_option(job: Job, option: CoatOption) -> Job:
    """The job with an option more, under an id of its own; one of the same name is replaced. Raises InputError for a
    fifth one, and for lengths that none has."""
    if not 0.0 <= option.return_mm <= LONGEST_MM or not 0.0 <= (option.band_mm or 0.0) <= LONGEST_MM:
        raise InputError(tr("The length of a return or ceiling band must be 0 to 5000 mm."))
    name = option.name.strip()[:LONGEST_NAME]
    same = next((one for one in job.options if one.name.casefold() == name.casefold()), None)
    if same is None and len(job.options) >= MOST_OPTIONS:
        raise InputError(
            tr_count(
                "The job has {count} option already: remove it first.",
                "The job has {count} options already: remove one of them first.",
                len(job.options),
            )
        )
    if same is not None:
        new = msgspec.structs.replace(option, id=same.id, name=name)
        listed = tuple(new if one.id == same.id else one for one in job.options)
        return job if listed == job.options else msgspec.structs.replace(job, options=listed)
    taken = {one.id for one in job.options}
    own = next(f"o{k}" for k in range(1, MOST_OPTIONS + 2) if f"o{k}" not in taken)
    return msgspec.structs.replace(job, options=(*job.options, msgspec.structs.replace(option, id=own, name=name)))


def remove_option(job: Job, option_id: str) -> Job:
    """The job without that option. Raises InputError where it has none of that id."""
    option_of(job, option_id)
    return msgspec.structs.replace(job, options=tuple(one for one in job.options if one.id != option_id))


def option_of(job: Job, name: str) -> CoatOption:
    """The option of that id, number (from 1 on) or name. Raises InputError where there is none."""
    wanted = " ".join(name.casefold().split())
    for number, one in enumerate(job.options, 1):
        if wanted in (one.id, str(number), one.name.casefold()):
            return one
    if not job.options:
        raise InputError(tr("The job has no options yet: add one first."))
    known = ", ".join(f"{number} {one.name}" for number, one in enumerate(job.options, 1))
    raise InputError(tr("The job has no option “{name}”: use one of {known}.", name=name, known=known))


def keep_coat(job: Job, name: str) -> Job:
    """The job with its coat as it stands kept as an option of that name."""
    return add_option(job, CoatOption(id="", name=name, way="kept", rooms=coat_of(job)))


def coat_of(job: Job) -> tuple[KeptRoom, ...]:
    """What is coated in each room; the same for jobs that are coated alike, however their treatments say it."""
    return tuple(_kept_room(room) for storey in job.storeys for room in storey.rooms)


def with_coat(job: Job, rooms: tuple[KeptRoom, ...]) -> Job:
    """The job coated as it was kept. Rooms and walls that are new since then stay as they are; the very same job where
    it is coated so."""
    known = {str(room.id) for storey in job.storeys for room in storey.rooms}
    for kept in rooms:
        if kept.room in known:
            job = with_room(job, kept.room, lambda room, kept=kept: _coated(room, kept))  # type: ignore[arg-type, misc]
    return job


def _kept_room(room: Room) -> KeptRoom:
    sides = tuple(_kept_side(side, side.treatment or room.walls) for side in room.sides if side.has_wall)
    ceiling = room.ceiling_treatment
    only = tuple(
        KeptBand(width_mm=b.width_mm, sides=tuple(map(str, b.sides)), what=b.what, along_parts=b.along_parts)
        for b in (ceiling.only if ceiling.coat else ())
    )
    return KeptRoom(room=str(room.id), sides=sides, ceiling=ceiling.coat, only=only)


def _kept_side(side: Side, coat: WallTreatment) -> KeptSide:
    if not coat.coat:
        return KeptSide(side=str(side.id), coat=False)
    return KeptSide(side=str(side.id), start_mm=coat.start_mm, end_mm=coat.end_mm, parts_mm=coat.parts_mm)


def _coated(room: Room, kept: KeptRoom) -> Room:
    if _kept_room(room) == kept:
        return room
    wanted = {one.side: one for one in kept.sides}
    for number in range(1 + len(room.inner)):
        sides = tuple(_with_side(room, side, wanted.get(str(side.id))) for side in ring_of(room, number))
        room = with_ring(room, number, sides)
    only = tuple(
        Border(
            width_mm=band.width_mm, sides=tuple(map(SideId, band.sides)), what=band.what, along_parts=band.along_parts
        )
        for band in kept.only
    )
    return changed(room, ceiling_treatment=changed(room.ceiling_treatment, coat=kept.ceiling, only=only))


def _with_side(room: Room, side: Side, kept: KeptSide | None) -> Side:
    base = side.treatment or room.walls
    if kept is None or _kept_side(side, base) == kept:
        return side
    new = changed(base, coat=kept.coat, start_mm=kept.start_mm, end_mm=kept.end_mm, parts_mm=kept.parts_mm)
    return changed(side, treatment=None if new == room.walls else new)
