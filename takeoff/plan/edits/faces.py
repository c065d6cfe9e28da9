"""What of walls and ceilings is coated: whole, not, near a corner, but for strips; what is behind."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import (
    at_place,
    changed,
    finite,
    ring_of,
    room_of,
    side_place,
    with_ring,
    with_room,
    with_side,
)
from takeoff.plan.model import Band, Behind, BehindClass, Border, Job, Room, RoomId, Side, SideId, WallTreatment

replace = msgspec.structs.replace

Faces = Mapping[RoomId, Collection[SideId]]
"""Wall faces by room."""


def coat_sides(job: Job, faces: Faces, coat: bool) -> Job:
    """These faces coated over their whole length, or not at all; bands and outlines stay."""
    return _each(job, faces, lambda t: changed(t, coat=coat, start_mm=None, end_mm=None))


def set_returns(job: Job, faces: Faces, start_mm: float | None, end_mm: float | None) -> Job:
    """These faces coated only so far from their start and their end; nothing at an end: not from there.

    With neither they are not coated.
    """
    finite(start_mm=start_mm, end_mm=end_mm)
    if min(start_mm or 0.0, end_mm or 0.0) < 0:
        raise InputError("A return is not shorter than nothing: type its length.")
    start, end = start_mm or None, end_mm or None
    coat = start is not None or end is not None
    return _each(job, faces, lambda t: changed(t, coat=coat, start_mm=start, end_mm=end))


def set_band(
    job: Job, faces: Faces, edge: Literal["bottom", "top"], to_mm: float | None, what: str = "skirting",
    from_mm: float = 0.0,
) -> Job:  # fmt: skip
    """The strip of that name left on along these faces, up to ``to_mm`` from their bottom or top.

    None or 0 takes it away; strips of other names stay.
    """
    finite(to_mm=to_mm, from_mm=from_mm)
    if (to_mm or 0.0) < 0 or from_mm < 0 or (to_mm and to_mm <= from_mm):
        raise InputError("A strip that stays on ends above where it begins: type its height again.")

    def banded(treatment: WallTreatment) -> WallTreatment:
        old = next((b for b in treatment.bands if (b.edge, b.what) == (edge, what)), None)
        others = tuple(b for b in treatment.bands if b is not old)
        if not to_mm:
            return changed(treatment, bands=others)
        # a skirting stops at door frames and returns into openings without one
        new = Band(edge=edge, to_mm=to_mm, from_mm=from_mm, what=what, into_reveals=old.into_reveals if old else False)
        return treatment if new == old else changed(treatment, bands=(*others, new))

    return _each(job, faces, banded)


def answer_behind(
    job: Job, room_id: RoomId, side_id: SideId, stretches: Sequence[tuple[float, float]], cls: BehindClass
) -> Job:
    """What lies behind those stretches of a side (mm from its start), as the user says; what was said of
    them before goes, what was said of the rest stays."""
    for start, end in stretches:
        finite(from_mm=start, to_mm=end)

    def answered(side: Side) -> Side:
        kept = [piece for old in side.behind for piece in _outside_of(old, stretches)]
        new = (Behind(cls=cls, from_mm=start, to_mm=end) for start, end in stretches)
        return changed(side, behind=tuple(sorted((*kept, *new), key=lambda b: b.from_mm)))

    return with_side(job, room_id, side_id, answered)


def _outside_of(old: Behind, stretches: Sequence[tuple[float, float]]) -> list[Behind]:
    """What is left of a stretch outside of others."""
    pieces = [(old.from_mm, float("inf") if old.to_mm is None else old.to_mm)]
    for start, end in stretches:
        pieces = [piece for a, b in pieces for piece in ((a, min(b, start)), (max(a, end), b)) if piece[1] > piece[0]]
    if pieces == [(old.from_mm, float("inf") if old.to_mm is None else old.to_mm)]:
        return [old]
    return [replace(old, from_mm=a, to_mm=None if b == float("inf") else b) for a, b in pieces]


def coat_ceilings(job: Job, rooms: Collection[RoomId], coat: bool) -> Job:
    """These ceilings coated whole, but for what stays on, or not at all."""

    def coated(room: Room) -> Room:
        return changed(room, ceiling_treatment=changed(room.ceiling_treatment, coat=coat, only=()))

    return _rooms(job, rooms, coated)


def set_ceiling_band(job: Job, room_id: RoomId, width_mm: float | None, sides: Collection[SideId] = ()) -> Job:
    """The ceiling coated only so far from some walls (all where none are named); None or 0: not at all."""
    finite(width_mm=width_mm)
    if (width_mm or 0.0) < 0:
        raise InputError("A ceiling band is not narrower than nothing: type its width.")
    room = room_of(job, room_id)
    for side in sides:
        side_place(room, side)
    only = (Border(width_mm=width_mm, sides=tuple(sides), what="band"),) if width_mm else ()

    def banded(room: Room) -> Room:
        return changed(room, ceiling_treatment=changed(room.ceiling_treatment, coat=bool(only), only=only))

    return with_room(job, room_id, banded)


def set_coving(job: Job, rooms: Collection[RoomId], down_mm: float | None, out_mm: float | None = None) -> Job:
    """Coving left on round these rooms: so far down the walls and out over the ceiling (the same where
    only one is given); None or 0 takes it away."""
    finite(down_mm=down_mm, out_mm=out_mm)
    out = down_mm if out_mm is None else out_mm
    if (out or 0.0) < 0:
        raise InputError("Coving is not narrower than nothing: type its width.")
    job = set_band(job, {name: all_sides(room_of(job, name)) for name in rooms}, "top", down_mm, "coving")

    def edged(room: Room) -> Room:
        treatment = room.ceiling_treatment
        old = next((b for b in treatment.left_on if b.what == "coving" and not b.sides), None)
        others = tuple(b for b in treatment.left_on if b is not old)
        new = (Border(width_mm=out, what="coving"),) if out else ()
        left_on = treatment.left_on if new == ((old,) if old else ()) else (*others, *new)
        return changed(room, ceiling_treatment=changed(treatment, left_on=left_on))

    return _rooms(job, rooms, edged)


def all_sides(room: Room) -> tuple[SideId, ...]:
    """Every side of a room that has a wall, outer ring first."""
    return tuple(side.id for side in room.sides if side.has_wall)


def _each(job: Job, faces: Faces, change: Callable[[WallTreatment], WallTreatment]) -> Job:
    for room_id, sides in faces.items():
        room = room_of(job, room_id)
        for side_id in sides:
            side_place(room, side_id)
        wanted = set(sides)
        job = with_room(job, room_id, lambda room, wanted=wanted: _treated(room, wanted, change))  # type: ignore[misc]
    return job


def _treated(room: Room, wanted: set[SideId], change: Callable[[WallTreatment], WallTreatment]) -> Room:
    """The room with some faces treated otherwise; through the room's own treatment where all are."""
    whole = wanted >= set(all_sides(room))
    if whole:
        room = changed(room, walls=change(room.walls))
    for number in range(1 + len(room.inner)):
        sides = ring_of(room, number)
        for index, side in enumerate(sides):
            # where all are changed, a face without a treatment of its own goes with the room's
            if side.id in wanted and not (whole and side.treatment is None):
                new = change(side.treatment or room.walls)
                sides = at_place(sides, index, changed(side, treatment=None if new == room.walls else new))
        room = with_ring(room, number, sides)
    return room


def _rooms(job: Job, rooms: Collection[RoomId], change: Callable[[Room], Room]) -> Job:
    for name in rooms:
        job = with_room(job, name, change)
    return job
