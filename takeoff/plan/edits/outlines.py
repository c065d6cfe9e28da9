"""Rooms and piers drawn by hand, and sides bent to arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.geometry.rings import curves_area, inside, ring_area, ring_curves
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.plan.check.outlines import ring_fault
from takeoff.plan.edits.lookup import (
    all_openings,
    all_rooms,
    changed,
    finite,
    ring_of,
    room_of,
    room_place,
    side_place,
    with_ring,
    with_room,
)
from takeoff.plan.edits.placing import exchanged, shifted
from takeoff.plan.edits.rooms import add_room, add_storey
from takeoff.plan.model import Job, Opening, OpeningId, Ring, Room, RoomId, Side, SideId, Source, Storey, StoreyId
from takeoff.plan.shape import curves_of, vertices

replace = msgspec.structs.replace

SHALLOWEST_MM = 1.0
"""A side bent by less than this is straight."""


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


def sound_ring(ring: Ring, what: str, turn: float) -> Ring:
    """The ring running the way it must: anticlockwise for turn 1, clockwise for −1.

    Raises InputError for one that crosses itself or encloses nothing.
    """
    for x, y, bulge in ring:
        finite(x=x, y=y, bulge=bulge)
    fault = ring_fault(ring)
    if fault is not None:
        raise InputError(f"The {what} {fault[0]}: draw it again.")
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
    sound = sound_ring(ring, "outline", 1.0)
    if sound is not ring:
        given = [given[(-k - 1) % len(ring)] for k in range(len(ring))]
    sides = tuple(
        Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y, bulge=bulge, source=source)
        for k, ((x, y, bulge), source) in enumerate(zip(sound, given, strict=True), 1)
    )
    names = [room.name for room in all_rooms(job)]
    called = name or fresh_number(names, "Room ")
    return with_new_room(job, storey_id, Room(id=new_room_id(job), outline=sides, name=called))


def with_new_room(job: Job, storey_id: StoreyId | None, room: Room, openings: tuple[Opening, ...] = ()) -> Job:
    """The job with a room and what is in its walls; their ids are made new where they are taken."""
    if not job.storeys:
        job = add_storey(job, Storey(id=StoreyId("1"), name="Ground floor"))
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
    sound = sound_ring(ring, "pier", -1.0)
    own = ring_curves(sound)
    rings = [curves_of(sides) for sides in room.rings]
    touches = any(_meet(a, b) for a in own for other in rings for b in other)
    x, y = own[0].at(own[0].length / 2.0)
    within = inside(rings[0], x, y) and not any(inside(other, x, y) for other in rings[1:])
    holds = any(inside(own, other[0].x0, other[0].y0) for other in rings[1:])
    if touches or not within or holds:
        text = "stands against a wall or lies outside it" if not holds else "holds another pier"
        raise InputError(
            f"The pier {text}: draw it free within “{room.name or room.id}”, or move the room's own corners round it."
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
        raise InputError("This side is of the room's own outline: choose a side of a pier.")
    gone = {side.id for side in ring_of(room, number)}
    rest = replace(room, inner=room.inner[: number - 1] + room.inner[number:])
    return exchanged(job, rest, lambda opening: None if opening.side in gone else opening)


def _meet(a: Curve, b: Curve) -> bool:
    from takeoff.geometry.curves import meet

    return bool(meet(a, b))


def bend_side(job: Job, room_id: RoomId, side_id: SideId, rise_mm: float) -> Job:
    """A side bent to an arc that rises so far out of the room in its middle; negative: into it.

    What stands on the side stays by the place where it stood. A rise of nothing makes it straight.
    Raises InputError where the arc would cross another side, or be more than half a circle.
    """
    finite(rise_mm=rise_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    old = curves_of(ring)[index]
    chord = math.dist((old.x0, old.y0), (old.x1, old.y1))
    if abs(rise_mm) > chord / 2.0 + SNAP_MM:
        raise InputError(
            f"An arc over {chord / 1000.0:.3f} m rises at most half of that: type less, or part the side first."
        )
    # Rooms lie to the left of their sides: an arc that turns left bulges out of the room.
    bulge = 0.0 if abs(rise_mm) < SHALLOWEST_MM else 2.0 * rise_mm / chord
    if bulge == ring[index].bulge:
        return job
    sides = (*ring[:index], replace(ring[index], bulge=bulge), *ring[index + 1 :])
    fault = ring_fault(vertices(sides))
    if fault is not None or curves_area(curves_of(sides)) * (1.0 if number == 0 else -1.0) <= 0:
        raise InputError("The arc would cross another side of the room: type a smaller rise.")
    new = curves_of(sides)[index]
    placed = replace(shifted(sides[index], lambda u: _same_place(old, new, u)), bulge=bulge)
    bent = with_ring(room, number, (*ring[:index], placed, *ring[index + 1 :]))

    def stay(opening: Opening) -> Opening | None:
        if opening.side != side_id:
            return opening
        middle = _same_place(old, new, opening.offset_mm + opening.width_mm / 2.0)
        return changed(opening, offset_mm=middle - opening.width_mm / 2.0)

    return exchanged(job, bent, stay)


def _same_place(old: Curve, new: Curve, along: float) -> float:
    """How far along the new curve that place is which lies square to the chord from the old one, mm.

    Both stand on one chord; the new one is at most half a circle, so there is one such place.
    """
    if along <= 0.0:
        return 0.0
    if along >= old.length:
        return new.length
    x, y = old.at(along)
    chord = math.dist((old.x0, old.y0), (old.x1, old.y1))
    ux, uy = (old.x1 - old.x0) / chord, (old.y1 - old.y0) / chord
    from_middle = (x - old.x0) * ux + (y - old.y0) * uy - chord / 2.0
    if not new.bulge:
        return min(max(from_middle + chord / 2.0, 0.0), chord)
    turned_by = math.asin(min(max(from_middle / new.radius, -1.0), 1.0))
    return min(max(new.length / 2.0 + turned_by * new.radius, 0.0), new.length)


def storey_holding(job: Job, room_id: RoomId) -> StoreyId:
    """The storey of a room. Raises InputError when there is no such room."""
    return job.storeys[room_place(job, room_id)[0]].id
