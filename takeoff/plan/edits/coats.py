"""What is coated: treatments, exclusions, corner picks, and the coat on outside walls."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import (
    changed,
    finite,
    ring_of,
    room_of,
    side_place,
    unused,
    with_ring,
    with_room,
    with_side,
)
from takeoff.plan.model import (
    Border,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Job,
    Room,
    RoomId,
    Side,
    SideId,
    WallTreatment,
)

replace = msgspec.structs.replace


def set_wall_treatment(job: Job, room_id: RoomId, treatment: WallTreatment | None, side: SideId | None = None) -> Job:
    """The treatment of one side, or of all sides of the room that have none of their own.

    None takes a side's own treatment away again; for the room it means coated whole.
    """
    if treatment is not None:
        finite(start_mm=treatment.start_mm, end_mm=treatment.end_mm)
    if side is not None:
        return with_side(job, room_id, side, lambda s: changed(s, treatment=treatment))
    return with_room(job, room_id, lambda room: changed(room, walls=treatment or WallTreatment()))


def set_ceiling_treatment(job: Job, room_id: RoomId, treatment: CeilingTreatment) -> Job:
    """The treatment of the room's ceiling."""
    return with_room(job, room_id, lambda room: changed(room, ceiling_treatment=treatment))


def add_exclusion(job: Job, room_id: RoomId, surface: SideId | Literal["ceiling"], exclusion: Exclusion) -> Job:
    """An outline that is not coated, on a side or on the ceiling; its id must be new in the room.

    A side without a treatment of its own gets the room's first.
    """
    room = room_of(job, room_id)
    unused(_exclusions(room), exclusion.id, "exclusion")
    finite(**{f"{axis} of corner {i}": v[k] for i, v in enumerate(exclusion.outline) for k, axis in enumerate("xyb")})
    if surface == "ceiling":
        with_one = (*room.ceiling_treatment.exclusions, exclusion)
        return set_ceiling_treatment(job, room_id, replace(room.ceiling_treatment, exclusions=with_one))
    number, index = side_place(room, SideId(surface))
    own = ring_of(room, number)[index].treatment or room.walls
    return set_wall_treatment(job, room_id, replace(own, exclusions=(*own.exclusions, exclusion)), SideId(surface))


def new_exclusion_id(room: Room) -> str:
    """An id that no exclusion of the room has: "x1", "x2"…"""
    taken = {exclusion.id for exclusion in _exclusions(room)}
    number = 1
    while f"x{number}" in taken:
        number += 1
    return f"x{number}"


def remove_exclusion(job: Job, room_id: RoomId, exclusion_id: str) -> Job:
    """The room without that exclusion, wherever in it it is."""
    if all(exclusion.id != exclusion_id for exclusion in _exclusions(room_of(job, room_id))):
        raise InputError(f"The room “{room_id}” has no exclusion “{exclusion_id}”: choose one that it has.")

    def without(treatment: WallTreatment) -> WallTreatment:
        return changed(treatment, exclusions=tuple(e for e in treatment.exclusions if e.id != exclusion_id))

    def stripped(room: Room) -> Room:
        ceiling = room.ceiling_treatment
        kept = tuple(e for e in ceiling.exclusions if e.id != exclusion_id)
        room = changed(room, walls=without(room.walls), ceiling_treatment=changed(ceiling, exclusions=kept))
        for number in range(1 + len(room.inner)):
            sides = tuple(
                side if side.treatment is None else changed(side, treatment=without(side.treatment))
                for side in ring_of(room, number)
            )
            room = with_ring(room, number, sides)
        return room

    return with_room(job, room_id, stripped)


def _exclusions(room: Room) -> list[Exclusion]:
    found = [*room.walls.exclusions, *room.ceiling_treatment.exclusions]
    for side in room.sides:
        if side.treatment is not None:
            found += side.treatment.exclusions
    return found


def pick_corner(
    job: Job, room_id: RoomId, corner: str, bead: Literal["new", "existing", "none"] | None = None,
    profile: str | None = None, finish: Literal["feather", "trim", "stop"] | None = None,
) -> Job:  # fmt: skip
    """What one corner or coat edge gets, by its id in the result; nothing chosen takes the pick away."""

    def picked(room: Room) -> Room:
        others = tuple(pick for pick in room.corners if pick.corner != corner)
        if bead is None and profile is None and finish is None:
            return changed(room, corners=others)
        return changed(room, corners=(*others, CornerPick(corner=corner, bead=bead, profile=profile, finish=finish)))

    return with_room(job, room_id, picked)


def coat_outside_walls(
    job: Job, return_mm: float, ceiling_band_mm: float | None = None,
    outside: Mapping[RoomId, Collection[SideId]] | None = None, rooms: Collection[RoomId] | None = None,
) -> Job:  # fmt: skip
    """Coat outside walls only, with returns along the walls that meet them and a ceiling band.

    ``return_mm``: how far the coat runs on along walls that meet an outside wall; 0: not at all.
    ``ceiling_band_mm``: the same on the ceiling; None leaves ceilings as they are. ``outside``: the
    sides that are (as measuring found them); without it, those of which any stretch was decided to
    be outside or unheated. A side that is so over a part is coated whole. ``rooms``: only these.
    Bands, exclusions and substrates stay. A room without such a side is not coated.
    """
    finite(return_mm=return_mm, ceiling_band_mm=ceiling_band_mm)
    if return_mm < 0 or (ceiling_band_mm or 0) < 0:
        raise InputError("A return or a ceiling band is not shorter than nothing: type a length.")
    for room_id in dict.fromkeys((*(outside or ()), *(rooms or ()))):
        room_of(job, room_id)
    for room in [room for storey in job.storeys for room in storey.rooms]:
        if rooms is not None and room.id not in rooms:
            continue
        chosen = _decided(room) if outside is None else set(outside.get(room.id, ()))
        coated = _coated_room(room, chosen, return_mm, ceiling_band_mm)
        job = with_room(job, room.id, lambda _, coated=coated: coated)  # type: ignore[misc]
    return job


def _decided(room: Room) -> set[SideId]:
    sides = room.sides
    return {side.id for side in sides if any(b.cls in ("outside", "unheated") for b in side.behind)}


def _coated_room(room: Room, outside: set[SideId], return_mm: float, ceiling_band_mm: float | None) -> Room:
    coated = room
    for number in range(1 + len(room.inner)):
        ring = ring_of(room, number)
        sides = tuple(
            _coated_side(room, side, outside, ring[index - 1].id, ring[(index + 1) % len(ring)].id, return_mm)
            for index, side in enumerate(ring)
        )
        coated = with_ring(coated, number, sides)
    if ceiling_band_mm is None:
        return coated
    present = tuple(s.id for s in room.sides if s.id in outside)
    band = (Border(width_mm=ceiling_band_mm, sides=present, what="band"),) if present and ceiling_band_mm else ()
    return changed(coated, ceiling_treatment=changed(room.ceiling_treatment, coat=bool(band), only=band))


def _coated_side(room: Room, side: Side, outside: set[SideId], before: SideId, after: SideId, return_mm: float) -> Side:
    if side.kind == "open" and side.open_from_mm is None and side.open_to_mm is None:
        return side
    base = side.treatment or room.walls
    if side.id in outside:
        return changed(side, treatment=changed(base, coat=True, start_mm=None, end_mm=None))
    start = return_mm if return_mm and before in outside else None
    end = return_mm if return_mm and after in outside else None
    coat = start is not None or end is not None
    return changed(side, treatment=changed(base, coat=coat, start_mm=start, end_mm=end))
