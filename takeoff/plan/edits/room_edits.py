"""Rooms drawn, named and removed, piers in them, and rooms copied with everything in and on them.

What is copied is a small job of its own with one storey, so that it travels as a job file's JSON.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TypeVar, cast

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import meet
from takeoff.geometry.poses import Pose
from takeoff.geometry.rings import inside, ring_area, ring_curves
from takeoff.language import mark, tr
from takeoff.plan.edits.coat_edits import renamed_picks
from takeoff.plan.edits.lookup import (
    all_openings,
    all_rooms,
    changed,
    changed_storey,
    exchanged,
    finite,
    fresh_number,
    index_of,
    new_room_id,
    ring_of,
    room_of,
    room_place,
    side_place,
    unused,
    with_room,
    with_storey,
)
from takeoff.plan.edits.side_edits import add_wall_type
from takeoff.plan.edits.storey_edits import add_storey
from takeoff.plan.job_drawings import drawing_to_trace
from takeoff.plan.model import (
    Confidence,
    Job,
    Opening,
    OpeningId,
    Ring,
    Rooflight,
    Room,
    RoomId,
    SetTogether,
    Side,
    SideId,
    Source,
    Storey,
    StoreyId,
)
from takeoff.plan.moved import moved_light, moved_room
from takeoff.plan.room_faults import ring_fault
from takeoff.plan.shape import curves_of

replace = msgspec.structs.replace


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


def set_room_confidence(job: Job, room_id: RoomId, confidence: Confidence) -> Job:
    """Accept a room (*sure*) or leave it open. To refuse one, remove it."""
    return with_room(job, room_id, lambda room: changed(room, confidence=confidence))


def sound_ring(ring: Ring, what: str, turn: float) -> Ring:
    """The ring running the way it must: anticlockwise for turn 1, clockwise for −1.

    Raises InputError for one that crosses itself or encloses nothing.
    """
    for x, y, bulge in ring:
        finite(x=x, y=y, bulge=bulge)
    fault = ring_fault(ring)
    if fault is not None:
        raise InputError(tr("{ring} {fault}: draw it again.", ring=tr(what), fault=fault[0]))
    return ring if ring_area(ring) * turn > 0 else turned(ring)


def turned(ring: Ring) -> Ring:
    """The ring the other way round; every bulge goes with its side and changes its sign."""
    n = len(ring)
    return tuple((ring[-k % n][0], ring[-k % n][1], -ring[(-k - 1) % n][2]) for k in range(n))


def draw_room(job: Job, storey_id: StoreyId | None, ring: Ring, sources: Sequence[Source] = (), name: str = "") -> Job:
    """The job with a room of that outline, under the id that ``new_room_id`` gives.

    ``sources``: for each side as it was drawn, where it comes from; none: all *drawn*. A job
    without storeys gets one of the usual height, which is assumed. Without a name the room gets
    the next number: "Room 3".
    """
    given: list[Source] = list(sources) or ["drawn" for _ in ring]
    sound = sound_ring(ring, mark("The outline"), 1.0)
    if sound is not ring:
        given = [given[(-k - 1) % len(ring)] for k in range(len(ring))]
    sides = tuple(
        Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y, bulge=bulge, source=source)
        for k, ((x, y, bulge), source) in enumerate(zip(sound, given, strict=True), 1)
    )
    names = [room.name for room in all_rooms(job)]
    called = name or fresh_number(names, f"{tr('Room')} ")
    return with_new_room(job, storey_id, Room(id=new_room_id(job), outline=sides, name=called))


def with_new_room(job: Job, storey_id: StoreyId | None, room: Room, openings: tuple[Opening, ...] = ()) -> Job:
    """The job with a room and what is in its walls; their ids are made new where they are taken."""
    if not job.storeys:
        job = add_storey(job, Storey(id=StoreyId("1"), name=tr("Ground floor"), drawing=drawing_to_trace(job)))
    home = storey_id if storey_id is not None else job.storeys[0].id
    taken = [str(opening.id) for opening in all_openings(job)]
    own = []
    for opening in openings:
        name = str(opening.id) if str(opening.id) not in taken else fresh_number(taken, "o")
        taken.append(name)
        own.append(replace(opening, id=OpeningId(name), room=room.id))
    job = add_room(job, home, room)
    return exchanged(job, room_of(job, room.id), added=tuple(own))


def add_pier(job: Job, room_id: RoomId, ring: Ring, source: Source = "drawn") -> Job:
    """A pier, or a shaft, that stands free in a room: an inner ring.

    Raises InputError for one that is not wholly within the room, or touches another.
    """
    room = room_of(job, room_id)
    sound = sound_ring(ring, mark("The pier"), -1.0)
    own = ring_curves(sound)
    rings = [curves_of(sides) for sides in room.rings]
    touches = any(meet(a, b) for a in own for other in rings for b in other)
    x, y = own[0].at(own[0].length / 2.0)
    within = inside(rings[0], x, y) and not any(inside(other, x, y) for other in rings[1:])
    holds = any(inside(own, other[0].x0, other[0].y0) for other in rings[1:])
    if touches or not within or holds:
        if holds:
            raise InputError(tr("The pier has another pier in it: draw it where none is."))
        raise InputError(
            tr(
                "The pier touches a wall or lies outside: draw it clear within “{room}”, or move the room's own "
                "corners round it.",
                room=room.name or room.title,
            )
        )
    taken = [str(side.id) for side in room.sides]
    sides = []
    for px, py, bulge in sound:
        name = fresh_number(taken, "s")
        taken.append(name)
        sides.append(Side(id=SideId(name), x_mm=px, y_mm=py, bulge=bulge, source=source))
    return with_room(job, room_id, lambda r: replace(r, inner=(*r.inner, tuple(sides))))


def remove_pier(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The room without the inner ring that side belongs to, nor the openings in it."""
    room = room_of(job, room_id)
    number, _ = side_place(room, side_id)
    if number == 0:
        raise InputError(tr("This wall is of the room's own outline: select a side of a pier."))
    gone = {side.id for side in ring_of(room, number)}
    rest = replace(room, inner=room.inner[: number - 1] + room.inner[number:])
    return exchanged(job, rest, lambda opening: None if opening.side in gone else opening)


Id = TypeVar("Id", bound=str)
Held = TypeVar("Held", Opening, Rooflight)


def copied_rooms(job: Job, room_ids: Collection[RoomId]) -> Job:
    """A job of these rooms alone, with their openings, rooflights and wall types, all where they are.

    Openings that other rooms host are not among them: ``services.copying`` adds those. Raises InputError
    for no rooms, and for rooms of several storeys.
    """
    if not room_ids:
        raise InputError(tr("Nothing is selected to copy: select a room first."))
    places = {room_place(job, name)[0] for name in room_ids}
    if len(places) > 1:
        raise InputError(tr("These rooms are on several storeys: select rooms of one, or duplicate the storey."))
    storey = job.storeys[places.pop()]
    rooms = tuple(room for room in storey.rooms if room.id in room_ids)
    own = tuple(o for o in storey.openings if o.room in room_ids)
    types = {side.wall_type for room in rooms for side in room.sides}
    alone = replace(
        storey,
        rooms=rooms,
        openings=own,
        building=(),
        set_together=None,
        times=1,
        rooflights=tuple(light for light in storey.rooflights if light.room in room_ids),
    )
    return Job(
        name=job.name,
        storeys=(alone,),
        system=job.system,
        system_copy=job.system_copy,
        convention=job.convention,
        customs=job.customs,
        wall_substrate=job.wall_substrate,
        ceiling_substrate=job.ceiling_substrate,
        wall_types=tuple(kind for kind in job.wall_types if kind.id in types),
        unsettled=job.unsettled,
    )


def pasted_rooms(
    job: Job, copied: Job, storey_id: StoreyId | None, by: tuple[float, float] = (0.0, 0.0)
) -> tuple[Job, tuple[RoomId, ...]]:
    """The job with the copied rooms once more on a storey, moved by ``by``, and their new ids.

    A room without a height of its own takes that of the storey it comes to. A number that the job
    has already is left out, and so is what only the drawing said of the original. A job without
    storeys gets one. Raises InputError for a copy that holds no rooms.
    """
    if not copied.has_rooms:
        raise InputError(tr("What was copied holds no rooms: copy rooms first."))
    finite(x_mm=by[0], y_mm=by[1])
    if not job.storeys:
        job = add_storey(job, Storey(id=StoreyId("1"), name=tr("Ground floor"), drawing=drawing_to_trace(job)))
    place = 0 if storey_id is None else index_of(job.storeys, storey_id, "storey")
    for kind in copied.wall_types:
        if all(known.id != kind.id for known in job.wall_types):
            job = add_wall_type(job, kind)
    rooms = _fresh([room.id for room in all_rooms(job)], [r.id for r in all_rooms(copied)], "r")
    doors = _fresh([o.id for o in all_openings(job)], [o.id for o in all_openings(copied)], "o")
    numbers = {room.number for room in all_rooms(job)}
    storey = job.storeys[place]
    pose = (*by, 0.0)
    new = [_put(room, rooms, doors, pose, numbers) for room in all_rooms(copied)]
    openings = [_rehosted(o, rooms, doors) for s in copied.storeys for o in s.openings]
    lights = [moved_light(_rehosted(light, rooms, doors), pose) for s in copied.storeys for light in s.rooflights]
    storey = replace(
        storey,
        rooms=(*storey.rooms, *new),
        openings=(*storey.openings, *openings),
        rooflights=(*storey.rooflights, *lights),
    )
    # rooms of another job bring along what was wrong with the drawing that they came from
    brought = tuple(one for one in copied.unsettled if one not in job.unsettled)
    job = replace(job, unsettled=(*job.unsettled, *brought)) if brought else job
    return changed_storey(job, place, storey), tuple(room.id for room in new)


def cut_rooms(job: Job, room_ids: Collection[RoomId]) -> Job:
    """The job without these rooms and what is in them."""
    for name in room_ids:
        room_of(job, name)
        job = remove_room(job, name)
    return job


def _put(
    room: Room,
    rooms: Mapping[RoomId, RoomId],
    doors: Mapping[OpeningId, OpeningId],
    pose: Pose,
    numbers: Collection[str],
) -> Room:
    made = renamed_picks(moved_room(room, pose), doors)
    number = "" if room.number in numbers else room.number
    return replace(made, id=rooms[room.id], number=number, printed_area_m2=None, evidence=())


def _rehosted(found: Held, rooms: Mapping[RoomId, RoomId], doors: Mapping[OpeningId, OpeningId]) -> Held:
    return replace(found, id=doors[found.id], room=rooms[found.room], evidence=())


def _fresh(taken: Collection[Id], wanted: Collection[Id], prefix: str) -> dict[Id, Id]:
    """For each wanted id itself where it is free, else one that is new."""
    known, new = set(taken), dict[Id, Id]()
    for name in wanted:
        own = name if name not in known else cast(Id, fresh_number([*known, *wanted], prefix))
        known.add(own)
        new[name] = own
    return new
