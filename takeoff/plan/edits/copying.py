"""Rooms copied with everything in and on them, and put down elsewhere.

What is copied is a small job of its own with one storey, so that it travels as a job file's JSON.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TypeVar, cast

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import (
    all_openings,
    all_rooms,
    changed,
    changed_storey,
    finite,
    index_of,
    room_of,
    room_place,
)
from takeoff.plan.edits.outlines import fresh_number
from takeoff.plan.edits.rooms import add_storey, add_wall_type, remove_room
from takeoff.plan.model import (
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    Ring,
    Rooflight,
    Room,
    RoomId,
    Side,
    Storey,
    StoreyId,
)

replace = msgspec.structs.replace
Id = TypeVar("Id", bound=str)
Held = TypeVar("Held", Opening, Rooflight)
Moved = tuple[float, float]
"""By how much, x and y in mm."""


def copied_rooms(job: Job, room_ids: Collection[RoomId]) -> Job:
    """A job of these rooms alone, with their openings, rooflights and wall types, all where they are.

    Openings that other rooms host are not among them: ``services.copying`` adds those. Raises InputError
    for no rooms, and for rooms of several storeys.
    """
    if not room_ids:
        raise InputError("Nothing is chosen to copy: choose a room first.")
    places = {room_place(job, name)[0] for name in room_ids}
    if len(places) > 1:
        raise InputError("These rooms are on several storeys: choose rooms of one, or duplicate the storey.")
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
        convention=job.convention,
        wall_types=tuple(kind for kind in job.wall_types if kind.id in types),
    )


def pasted_rooms(
    job: Job, copied: Job, storey_id: StoreyId | None, by: Moved = (0.0, 0.0)
) -> tuple[Job, tuple[RoomId, ...]]:
    """The job with the copied rooms once more on a storey, moved by ``by``, and their new ids.

    A room without a height of its own takes that of the storey it comes to. A number that the job
    has already is left out, and so is what only the drawing said of the original. A job without
    storeys gets one. Raises InputError for a copy that holds no rooms.
    """
    if not any(storey.rooms for storey in copied.storeys):
        raise InputError("What was copied holds no rooms: copy rooms first.")
    finite(x_mm=by[0], y_mm=by[1])
    if not job.storeys:
        job = add_storey(job, Storey(id=StoreyId("1"), name="Ground floor"))
    place = 0 if storey_id is None else index_of(job.storeys, storey_id, "storey", "The job")
    for kind in copied.wall_types:
        if all(known.id != kind.id for known in job.wall_types):
            job = add_wall_type(job, kind)
    rooms = _fresh([room.id for room in all_rooms(job)], [r.id for r in all_rooms(copied)], "r")
    doors = _fresh([o.id for o in all_openings(job)], [o.id for o in all_openings(copied)], "o")
    numbers = {room.number for room in all_rooms(job)}
    storey = job.storeys[place]
    new = [_put(room, rooms, doors, by, numbers) for room in all_rooms(copied)]
    openings = [_rehosted(o, rooms, doors) for s in copied.storeys for o in s.openings]
    lights = [
        replace(_rehosted(light, rooms, doors), outline=moved_ring(light.outline, by))
        for s in copied.storeys
        for light in s.rooflights
    ]
    storey = replace(
        storey,
        rooms=(*storey.rooms, *new),
        openings=(*storey.openings, *openings),
        rooflights=(*storey.rooflights, *lights),
    )
    return changed_storey(job, place, storey), tuple(room.id for room in new)


def cut_rooms(job: Job, room_ids: Collection[RoomId]) -> Job:
    """The job without these rooms and what is in them."""
    for name in room_ids:
        room_of(job, name)
        job = remove_room(job, name)
    return job


def moved_room(room: Room, by: Moved) -> Room:
    """The room elsewhere, with all that is given in plan: heights, regions, what is left out overhead."""
    dx, dy = by
    if not dx and not dy:
        return room

    def sides(ring: tuple[Side, ...]) -> tuple[Side, ...]:
        return tuple(replace(side, x_mm=side.x_mm + dx, y_mm=side.y_mm + dy) for side in ring)

    return replace(
        room,
        outline=sides(room.outline),
        inner=tuple(sides(ring) for ring in room.inner),
        ceiling=_moved_field(room.ceiling, by),
        floor=_moved_field(room.floor, by),
        ceiling_treatment=_moved_treatment(room.ceiling_treatment, by),
    )


def moved_ring(ring: Ring, by: Moved) -> Ring:
    """A ring elsewhere."""
    return tuple((x + by[0], y + by[1], bulge) for x, y, bulge in ring)


def renamed_picks(room: Room, doors: Mapping[OpeningId, OpeningId]) -> Room:
    """The room with its picks of corners naming openings by their new ids."""
    picks = tuple(replace(pick, corner=_renamed(pick.corner, doors)) for pick in room.corners)
    return changed(room, corners=picks)


def _renamed(corner: str, doors: Mapping[OpeningId, OpeningId]) -> str:
    """A corner's name is that of its surfaces, in order; strips of an opening begin with its id."""
    plain, ends = corner, ""
    for mark in ("#", "@"):
        plain, found, end = plain.partition(mark)
        ends = found + end + ends
    names = []
    for surface in plain.split("|"):
        holder, dot, strip = surface.rpartition(".")
        own = holder.removesuffix(".beyond")
        beyond = holder[len(own) :]
        names.append(f"{doors[OpeningId(own)]}{beyond}{dot}{strip}" if own in doors else surface)
    return "|".join(sorted(names)) + ends


def _put(
    room: Room,
    rooms: Mapping[RoomId, RoomId],
    doors: Mapping[OpeningId, OpeningId],
    by: Moved,
    numbers: Collection[str],
) -> Room:
    made = renamed_picks(moved_room(room, by), doors)
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


def _moved_field(field: Field | None, by: Moved) -> Field | None:
    if field is None:
        return None
    return replace(
        field,
        planes=tuple(_moved_plane(plane, by) for plane in field.planes),
        regions=tuple(_moved_region(region, by) for region in field.regions),
    )


def _moved_region(region: Region, by: Moved) -> Region:
    return replace(
        region, outline=moved_ring(region.outline, by), planes=tuple(_moved_plane(plane, by) for plane in region.planes)
    )


def _moved_plane(plane: Plane, by: Moved) -> Plane:
    return replace(plane, at_x_mm=plane.at_x_mm + by[0], at_y_mm=plane.at_y_mm + by[1])


def _moved_treatment(treatment: CeilingTreatment, by: Moved) -> CeilingTreatment:
    def moved(exclusion: Exclusion) -> Exclusion:
        return replace(exclusion, outline=moved_ring(exclusion.outline, by))

    return changed(treatment, exclusions=tuple(moved(one) for one in treatment.exclusions))
