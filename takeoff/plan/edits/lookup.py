"""Finding a part of a job by its id, and putting a changed one in its place."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, Literal, Protocol, TypeVar

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.language import mark, tr
from takeoff.plan.model import (
    Job,
    Opening,
    OpeningId,
    Rooflight,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    WallTreatment,
)
from takeoff.plan.shape import curves_of


class _Named(Protocol):
    @property
    def id(self) -> str: ...


V = TypeVar("V", bound=msgspec.Struct)
N = TypeVar("N", bound=_Named)


def changed(value: V, **fields: Any) -> V:
    """The record with these fields; the very same record where they are equal already."""
    if all(getattr(value, name) == new for name, new in fields.items()):
        return value
    return msgspec.structs.replace(value, **fields)


def finite(**numbers: float | None) -> None:
    """Raises InputError for the first of these that is NaN or infinite."""
    for name, number in numbers.items():
        if number is not None and not math.isfinite(number):
            raise InputError(tr("{field} is not a number: type a length.", field=name))


def at_place(items: tuple[N, ...], index: int, new: N) -> tuple[N, ...]:
    """The items with one exchanged; the same tuple where it is the same object."""
    return items if items[index] is new else (*items[:index], new, *items[index + 1 :])


def index_of(items: Sequence[_Named], name: str, what: str) -> int:
    """Where the item of this id stands. Raises InputError when there is none."""
    for index, item in enumerate(items):
        if item.id == name:
            return index
    raise InputError(tr(_NO_SUCH[what], name=name))


_NO_SUCH = {
    "storey": mark("The job has no storey “{name}”: select one that it has."),
    "room": mark("The job has no room “{name}”: select one that it has."),
    "opening": mark("The job has no opening “{name}”: select one that it has."),
    "rooflight": mark("The job has no rooflight “{name}”: select one that it has."),
}
_NEEDS_ID = {
    "storey": mark("A storey needs an id that is not blank."),
    "room": mark("A room needs an id that is not blank."),
    "opening": mark("An opening needs an id that is not blank."),
    "exclusion": mark("A masked part needs an id that is not blank."),
    "region": mark("A part of a floor or ceiling needs an id that is not blank."),
}
_TAKEN_ID = {
    "storey": mark("The id “{name}” names a storey already: use another."),
    "room": mark("The id “{name}” names a room already: use another."),
    "opening": mark("The id “{name}” names an opening already: use another."),
    "exclusion": mark("The id “{name}” names a masked part already: use another."),
    "region": mark("The id “{name}” names a part of a floor or ceiling already: use another."),
}


def unused(items: Sequence[_Named], name: str, what: str) -> None:
    """Raises InputError when the id is empty or taken."""
    if not name.strip():
        raise InputError(tr(_NEEDS_ID[what]))
    if any(item.id == name for item in items):
        raise InputError(tr(_TAKEN_ID[what], name=name))


def fresh_id(taken: Sequence[str], base: str) -> str:
    """``base`` with the first number that no taken id has: "s1.2", "s1.3"…"""
    number = 2
    while f"{base}.{number}" in taken:
        number += 1
    return f"{base}.{number}"


def storey_of(job: Job, storey_id: StoreyId) -> Storey:
    """The storey of that id. Raises InputError when there is none."""
    return job.storeys[index_of(job.storeys, storey_id, "storey")]


def with_storey(job: Job, storey_id: StoreyId, change: Callable[[Storey], Storey]) -> Job:
    """The job with one storey changed."""
    index = index_of(job.storeys, storey_id, "storey")
    return changed_storey(job, index, change(job.storeys[index]))


def changed_storey(job: Job, index: int, storey: Storey) -> Job:
    """The job with the storey at ``index`` exchanged; the job itself where it is the same."""
    if storey is job.storeys[index]:
        return job
    return msgspec.structs.replace(job, storeys=at_place(job.storeys, index, storey))


Within = Literal["rooms", "openings", "rooflights"]
"""What a storey holds by the id of each."""


def _place(job: Job, within: Within, name: str) -> tuple[int, int]:
    """Storey index and index in it of a room, an opening or a rooflight."""
    for s, storey in enumerate(job.storeys):
        for index, one in enumerate(getattr(storey, within)):
            if one.id == name:
                return s, index
    raise InputError(tr(_NO_SUCH[within[:-1]], name=name))


def _with_one(job: Job, within: Within, name: str, change: Callable[[Any], Any]) -> Job:
    """The job with one of them changed; the job itself where it is the same object."""
    s, index = _place(job, within, name)
    storey = job.storeys[s]
    old = getattr(storey, within)
    new = change(old[index])
    if new is old[index]:
        return job
    return changed_storey(job, s, msgspec.structs.replace(storey, **{within: at_place(old, index, new)}))


def room_place(job: Job, room_id: RoomId) -> tuple[int, int]:
    """Storey index and room index of a room. Raises InputError when there is none."""
    return _place(job, "rooms", room_id)


def room_of(job: Job, room_id: RoomId) -> Room:
    """The room of that id. Raises InputError when there is none."""
    s, r = room_place(job, room_id)
    return job.storeys[s].rooms[r]


def with_room(job: Job, room_id: RoomId, change: Callable[[Room], Room]) -> Job:
    """The job with one room changed."""
    return _with_one(job, "rooms", room_id, change)


def side_place(room: Room, side_id: SideId) -> tuple[int, int]:
    """Ring (0 the outer) and index of a side. Raises InputError when there is none."""
    for number, ring in enumerate(room.rings):
        for index, side in enumerate(ring):
            if side.id == side_id:
                return number, index
    raise InputError(
        tr("“{room}” has no wall “{side}”: select one that it has.", room=room.name or room.title, side=side_id)
    )


def ring_of(room: Room, number: int) -> tuple[Side, ...]:
    """Ring 0 is the outer, 1 the first inner one."""
    return room.outline if number == 0 else room.inner[number - 1]


def with_ring(room: Room, number: int, sides: tuple[Side, ...]) -> Room:
    """The room with one ring exchanged; the room itself where all sides are the same objects."""
    old = ring_of(room, number)
    if len(old) == len(sides) and all(a is b for a, b in zip(old, sides, strict=True)):
        return room
    if number == 0:
        return msgspec.structs.replace(room, outline=sides)
    inner = (*room.inner[: number - 1], sides, *room.inner[number:])
    return msgspec.structs.replace(room, inner=inner)


def with_side(job: Job, room_id: RoomId, side_id: SideId, change: Callable[[Side], Side]) -> Job:
    """The job with one side of a room changed."""

    def in_room(room: Room) -> Room:
        number, index = side_place(room, side_id)
        ring = ring_of(room, number)
        return with_ring(room, number, at_place(ring, index, change(ring[index])))

    return with_room(job, room_id, in_room)


def opening_of(job: Job, opening_id: OpeningId) -> Opening:
    """The opening of that id. Raises InputError when there is none (or a rooflight)."""
    s, o = _place(job, "openings", opening_id)
    return job.storeys[s].openings[o]


def with_opening(job: Job, opening_id: OpeningId, change: Callable[[Opening], Opening]) -> Job:
    """The job with one opening changed."""
    return _with_one(job, "openings", opening_id, change)


def rooflight_of(job: Job, light_id: OpeningId) -> Rooflight:
    """The rooflight of that id. Raises InputError when there is none."""
    s, index = _place(job, "rooflights", light_id)
    return job.storeys[s].rooflights[index]


def with_rooflight(job: Job, light_id: OpeningId, change: Callable[[Rooflight], Rooflight]) -> Job:
    """The job with one rooflight changed."""
    return _with_one(job, "rooflights", light_id, change)


def all_rooms(job: Job) -> list[Room]:
    """Every room of every storey."""
    return [room for storey in job.storeys for room in storey.rooms]


def all_openings(job: Job) -> list[Opening | Rooflight]:
    """Every opening and rooflight of every storey; they share their ids."""
    found: list[Opening | Rooflight] = []
    for storey in job.storeys:
        found += storey.openings
        found += storey.rooflights
    return found


def fresh_number(taken: Sequence[str], prefix: str) -> str:
    """The prefix with the first number from 1 that no taken id has: "r3"."""
    number = 1
    known = set(taken)
    while f"{prefix}{number}" in known:
        number += 1
    return f"{prefix}{number}"


def new_room_id(job: Job) -> RoomId:
    """An id that no room of the job has."""
    return RoomId(fresh_number([str(room.id) for room in all_rooms(job)], "r"))


def storey_holding(job: Job, room_id: RoomId) -> StoreyId:
    """The storey of a room. Raises InputError when there is no such room."""
    return job.storeys[room_place(job, room_id)[0]].id


def side_curve(job: Job, room_id: RoomId, side_id: SideId) -> tuple[Side, Curve]:
    """A side and its course. Raises InputError for ids that the job does not have."""
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    return ring[index], curves_of(ring)[index]


replace = msgspec.structs.replace
Change = Callable[[Opening], Opening | None]


def exchanged(job: Job, room: Room, change: Change | None = None, added: tuple[Opening, ...] = ()) -> Job:
    """The job with a room exchanged for this one of the same id, its openings changed (None takes one
    away) and more added. What is not touched stays the very same object."""
    s, r = room_place(job, room.id)
    storey = job.storeys[s]
    kept = []
    for opening in storey.openings:
        new = change(opening) if change is not None and opening.room == room.id else opening
        if new is not None:
            kept.append(new)
    openings = (*kept, *added)
    if len(openings) == len(storey.openings) and all(a is b for a, b in zip(openings, storey.openings, strict=True)):
        openings = storey.openings
    if openings is storey.openings and room is storey.rooms[r]:
        return job
    rooms = (*storey.rooms[:r], room, *storey.rooms[r + 1 :])
    return changed_storey(job, s, replace(storey, rooms=rooms, openings=openings))


def shifted(side: Side, place: Callable[[float], float]) -> Side:
    """The side with what is behind it, and what of it is coated or left out, at other places along it.

    Exclusions keep their shape and move with their middle.
    """
    behind = tuple(
        changed(b, from_mm=place(b.from_mm), to_mm=None if b.to_mm is None else place(b.to_mm)) for b in side.behind
    )
    treatment = with_parts(side.treatment, place)
    if treatment is not None and treatment.exclusions:
        moved = []
        for exclusion in treatment.exclusions:
            us = [u for u, _, _ in exclusion.outline]
            middle = (min(us) + max(us)) / 2.0
            by = place(middle) - middle
            outline = tuple((u + by, z, bulge) for u, z, bulge in exclusion.outline)
            moved.append(changed(exclusion, outline=outline))
        treatment = changed(treatment, exclusions=tuple(moved))
    return changed(side, behind=behind, treatment=treatment)


def with_parts(treatment: WallTreatment | None, place: Callable[[float], float]) -> WallTreatment | None:
    """A treatment with the stretches that it coats at other places; one from the very start still begins there."""
    if treatment is None or not treatment.parts_mm:
        return treatment
    parts = tuple(
        (0.0 if a == 0 else max(0.0, place(a)), None if b is None else max(0.0, place(b)))
        for a, b in treatment.parts_mm
    )
    return changed(treatment, parts_mm=parts)


def whole_times(times: int) -> None:
    """Raises InputError for what is built less than once."""
    if times < 1:
        raise InputError(tr("It cannot be repeated {times} times: type 1 or more, or remove it.", times=times))
