"""What is coated: faces, bands, borders, what is left out, corners and coat edges picked, what is behind."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.edits.lookup import (
    at_place,
    changed,
    finite,
    fresh_id,
    ring_of,
    room_of,
    side_curve,
    side_place,
    unused,
    with_ring,
    with_room,
    with_side,
)
from takeoff.plan.model import (
    AboveClass,
    Band,
    Behind,
    BehindClass,
    Border,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Job,
    OpeningId,
    Part,
    Room,
    RoomId,
    Side,
    SideId,
    StairAnswer,
    WallTreatment,
)
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.storeys_above import stair_of
from takeoff.plan.surface_ids import SurfaceId, reveal_name, strip_name, strip_of, surfaces_of, with_surfaces

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
        raise InputError(
            tr("“{room}” has no masked part “{part}”: select one that it has.", room=room_id, part=exclusion_id)
        )

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


def wall_exclusions(room: Room) -> tuple[Exclusion, ...]:
    """What is left out of the room's walls: of all of them, then side by side."""
    return (*room.walls.exclusions, *(e for s in room.sides if s.treatment is not None for e in s.treatment.exclusions))


def _exclusions(room: Room) -> tuple[Exclusion, ...]:
    return (*wall_exclusions(room), *room.ceiling_treatment.exclusions)


Faces = Mapping[RoomId, Collection[SideId]]
"""Wall faces by room."""

Parts = Mapping[RoomId, Mapping[SideId, Sequence[Part]]]
"""Stretches of wall faces by room."""


def coat_outside_walls(
    job: Job, return_mm: float, ceiling_band_mm: float | None = None,
    outside: Faces | None = None, rooms: Collection[RoomId] | None = None, parts: Parts | None = None,
) -> Job:  # fmt: skip
    """Coat outside walls only, with returns along the walls that meet them and a ceiling band.

    ``return_mm``: how far the coat runs on along walls that meet an outside wall; 0: not at all.
    ``ceiling_band_mm``: the same on the ceiling; None leaves ceilings as they are. ``outside``: the
    sides that are (as measuring found them); without it, those of which any stretch was decided to
    be outside or unheated. ``parts``: those of them that are coated over these stretches only; the others
    are coated whole. Walls that meet an end that is not coated get no return there. ``rooms``: only these.
    Bands, exclusions and substrates stay. A room without such a side is not coated.
    """
    finite(return_mm=return_mm, ceiling_band_mm=ceiling_band_mm)
    if return_mm < 0 or (ceiling_band_mm or 0) < 0:
        raise InputError(tr("The length of a return or ceiling band must be 0 or more."))
    for room_id in dict.fromkeys((*(outside or ()), *(rooms or ()))):
        room_of(job, room_id)
    for room in [room for storey in job.storeys for room in storey.rooms]:
        if rooms is not None and room.id not in rooms:
            continue
        chosen = _decided(room) if outside is None else set(outside.get(room.id, ()))
        stretches = {side: tuple(found) for side, found in (parts or {}).get(room.id, {}).items() if found}
        coated = _coated_room(room, chosen, stretches, return_mm, ceiling_band_mm)
        job = with_room(job, room.id, lambda _, coated=coated: coated)  # type: ignore[misc]
    return job


def _decided(room: Room) -> set[SideId]:
    sides = room.sides
    return {side.id for side in sides if any(b.cls in ("outside", "unheated") for b in side.behind)}


def _coated_room(
    room: Room, outside: set[SideId], parts: Mapping[SideId, tuple[Part, ...]], return_mm: float,
    ceiling_band_mm: float | None,
) -> Room:  # fmt: skip
    to_start = {side for side in outside if side not in parts or any(a <= 0 for a, _ in parts[side])}
    to_end = {side for side in outside if side not in parts or any(b is None for _, b in parts[side])}
    coated = room
    for number in range(1 + len(room.inner)):
        ring = ring_of(room, number)
        sides = []
        for index, side in enumerate(ring):
            before, after = ring[index - 1].id, ring[(index + 1) % len(ring)].id
            returns = (return_mm if before in to_end else 0.0, return_mm if after in to_start else 0.0)
            sides.append(_coated_side(room, side, side.id in outside, parts.get(side.id, ()), returns))
        coated = with_ring(coated, number, tuple(sides))
    if ceiling_band_mm is None:
        return coated
    present = tuple(s.id for s in room.sides if s.id in outside)
    band: tuple[Border, ...] = ()
    if present and ceiling_band_mm:
        along = any(side in parts for side in present)
        band = (Border(width_mm=ceiling_band_mm, sides=present, what="band", along_parts=along),)
    return changed(coated, ceiling_treatment=changed(room.ceiling_treatment, coat=bool(band), only=band))


def _coated_side(room: Room, side: Side, outside: bool, parts: tuple[Part, ...], returns: tuple[float, float]) -> Side:
    if side.kind == "open" and side.open_from_mm is None and side.open_to_mm is None:
        return side
    base = side.treatment or room.walls
    if outside and not parts:
        return changed(side, treatment=changed(base, coat=True, start_mm=None, end_mm=None, parts_mm=()))
    start, end = (length or None for length in returns)
    coat = outside or start is not None or end is not None
    return changed(side, treatment=changed(base, coat=coat, start_mm=start, end_mm=end, parts_mm=parts))


def coat_sides(job: Job, faces: Faces, coat: bool) -> Job:
    """These faces coated over their whole length, or not at all; bands and outlines stay."""
    return each_face(job, faces, lambda t: changed(t, coat=coat, start_mm=None, end_mm=None, parts_mm=()))


def set_returns(job: Job, faces: Faces, start_mm: float | None, end_mm: float | None) -> Job:
    """These faces coated only so far from their start and their end; nothing at an end: not from there.

    With neither they are not coated.
    """
    finite(start_mm=start_mm, end_mm=end_mm)
    if min(start_mm or 0.0, end_mm or 0.0) < 0:
        raise InputError(tr("The length of a return must be 0 or more."))
    start, end = start_mm or None, end_mm or None
    coat = start is not None or end is not None
    return each_face(job, faces, lambda t: changed(t, coat=coat, start_mm=start, end_mm=end, parts_mm=()))


def set_band(
    job: Job, faces: Faces, edge: Literal["bottom", "top"], to_mm: float | None, what: str = "skirting",
    from_mm: float = 0.0,
) -> Job:  # fmt: skip
    """The strip of that name left on along these faces, up to ``to_mm`` from their bottom or top.

    None takes it away, and so does 0, unless one stays on everywhere by the job's customs: then 0 says that
    there is none here. Strips of other names stay.
    """
    finite(to_mm=to_mm, from_mm=from_mm)
    if (to_mm or 0.0) < 0 or from_mm < 0 or (to_mm and to_mm <= from_mm):
        raise InputError(tr("The upper edge must be above the lower edge: type both again."))

    def banded(treatment: WallTreatment) -> WallTreatment:
        old = next((b for b in treatment.bands if (b.edge, b.what) == (edge, what)), None)
        others = tuple(b for b in treatment.bands if b is not old)
        if to_mm is None or not (to_mm or _stays_on(job, what)):
            return changed(treatment, bands=others)
        # a skirting stops at door frames and returns into openings without one
        new = Band(edge=edge, to_mm=to_mm, from_mm=from_mm, what=what, into_reveals=old.into_reveals if old else False)
        return treatment if new == old else changed(treatment, bands=(*others, new))

    return each_face(job, faces, banded)


def _stays_on(job: Job, what: str) -> bool:
    return bool({"skirting": job.customs.skirting_mm, "coving": job.customs.coving_mm}.get(what))


def answer_behind(
    job: Job, room_id: RoomId, side_id: SideId, stretches: Sequence[tuple[float, float]], cls: BehindClass
) -> Job:
    """What lies behind those stretches of a side (mm from its start), as the user says; what was said of
    them before goes, what was said of the rest stays. A stretch to the side's end goes with that end: the
    answer follows when the wall grows. Raises InputError for a side that is not there."""
    for start, end in stretches:
        finite(from_mm=start, to_mm=end)
    length = side_curve(job, room_id, side_id)[1].length
    reach = [(a, float("inf") if b >= length - SAME_MM else b) for a, b in stretches]

    def answered(side: Side) -> Side:
        kept = [piece for old in side.behind for piece in _outside_of(old, reach)]
        new = (Behind(cls=cls, from_mm=a, to_mm=None if b == float("inf") else b) for a, b in reach)
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


def answer_walls(job: Job, walls: Walls, cls: BehindClass) -> Job:
    """``answer_behind`` for several walls, as those that look at one stretch of the building's outline.

    Walls that are no longer there are passed over; raises InputError where none is left, so that nothing
    that was said is lost unseen.
    """
    there = {(room.id, side.id) for storey in job.storeys for room in storey.rooms for side in room.sides}
    left = {wall: stretches for wall, stretches in walls.items() if wall in there}
    if not left:
        raise InputError(tr("That wall is gone: nothing was changed. Answer for the walls that are there now."))
    for (room_id, side_id), stretches in left.items():
        job = answer_behind(job, room_id, side_id, stretches, cls)
    return job


Walls = Mapping[tuple[RoomId, SideId], Sequence[tuple[float, float]]]
"""Stretches of walls (mm from their start) by room and side."""


def answer_above(job: Job, rooms: Collection[RoomId], above: AboveClass) -> Job:
    """What lies above the ceilings of these rooms, as the user says."""
    return each_room(job, rooms, lambda room: changed(room, above=above, above_source="typed"))


def coat_ceilings_under_roof(job: Job, rooms: Collection[RoomId] | None = None) -> Job:
    """The ceilings that lie under a roof coated whole, the others (of these rooms only) not at all; those
    of which nobody has said what lies above stay as they are."""
    for room in [room for storey in job.storeys for room in storey.rooms]:
        if room.above != "unknown" and (rooms is None or room.id in rooms):
            job = coat_ceilings(job, (room.id,), room.above == "roof")
    return job


STAIR_WELL = mark("stair well")
"""What the well over a stair is called where it is left out of a ceiling."""


def answer_stair(job: Job, room_id: RoomId, answer: StairAnswer) -> Job:
    """What the ceiling of a room with a stair does above it. *goes-on*: coated whole; *well*: coated but for
    the outline of the stair; *none*: not coated. Another answer takes the place of an earlier one.

    Raises InputError where no stair was seen in the room, or its outline is not known and only a part of the
    ceiling should go.
    """
    stair = stair_of(room_of(job, room_id))
    if stair is None:
        raise InputError(tr("No stair was seen in “{room}”: nothing was changed.", room=room_of(job, room_id).title))
    if answer == "well" and not stair.outline:
        raise InputError(tr("The outline of the stair is not known: draw the well as a masked part of the ceiling."))

    def answered(room: Room) -> Room:
        old = room.ceiling_treatment
        kept = tuple(one for one in old.exclusions if one.what != STAIR_WELL)
        if answer == "well":
            name = fresh_id([one.id for one in (*kept, *room.walls.exclusions)], "stair")
            kept = (*kept, Exclusion(id=name, outline=stair.outline, what=STAIR_WELL, source="drawn"))
        coat = answer != "none"
        ceiling = changed(old, coat=coat, only=() if coat else old.only, exclusions=kept)
        return changed(room, stair=replace(stair, answer=answer), ceiling_treatment=ceiling)

    return with_room(job, room_id, answered)


def coat_ceilings(job: Job, rooms: Collection[RoomId], coat: bool) -> Job:
    """These ceilings coated whole, but for what stays on, or not at all."""

    def coated(room: Room) -> Room:
        return changed(room, ceiling_treatment=changed(room.ceiling_treatment, coat=coat, only=()))

    return each_room(job, rooms, coated)


def set_ceiling_band(job: Job, room_id: RoomId, width_mm: float | None, sides: Collection[SideId] = ()) -> Job:
    """The ceiling coated only so far from some walls (all where none are named); None or 0: not at all."""
    finite(width_mm=width_mm)
    if (width_mm or 0.0) < 0:
        raise InputError(tr("The width of a ceiling band must be 0 or more."))
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
        raise InputError(tr("The width of coving must be 0 or more."))
    job = set_band(job, {name: all_sides(room_of(job, name)) for name in rooms}, "top", down_mm, "coving")

    def edged(room: Room) -> Room:
        treatment = room.ceiling_treatment
        old = next((b for b in treatment.left_on if b.what == "coving" and not b.sides), None)
        others = tuple(b for b in treatment.left_on if b is not old)
        here = out or (out == 0 and _stays_on(job, "coving"))
        new = (Border(width_mm=out or 0.0, what="coving"),) if here else ()
        left_on = treatment.left_on if new == ((old,) if old else ()) else (*others, *new)
        return changed(room, ceiling_treatment=changed(treatment, left_on=left_on))

    return each_room(job, rooms, edged)


def all_sides(room: Room) -> tuple[SideId, ...]:
    """Every side of a room that has a wall, outer ring first."""
    return tuple(side.id for side in room.sides if side.has_wall)


def each_face(job: Job, faces: Faces, change: Callable[[WallTreatment], WallTreatment]) -> Job:
    """These faces treated otherwise; through the room's own treatment where they are all of it."""
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


def each_room(job: Job, rooms: Collection[RoomId], change: Callable[[Room], Room]) -> Job:
    """The job with each of these rooms changed."""
    for name in rooms:
        job = with_room(job, name, change)
    return job


Bead = Literal["new", "existing", "none"]
Finish = Literal["feather", "trim", "stop"]
Corners = Mapping[RoomId, Collection[str]]
"""Corners by room, each by its id in the result."""


def pick_corners(
    job: Job, corners: Corners, bead: Bead | None = None, finish: Finish | None = None,
    profile: str | None = None,
) -> Job:  # fmt: skip
    """What these corners and coat edges get; what is not given stays as it was picked."""
    given: dict[str, str] = {
        key: value for key, value in (("bead", bead), ("finish", finish), ("profile", profile)) if value is not None
    }

    def picked(room: Room) -> Room:
        known = {pick.corner: pick for pick in room.corners}
        for corner in corners[room.id]:
            known[corner] = changed(known.get(corner, CornerPick(corner=corner)), **given)
        return changed(room, corners=tuple(known.values()))

    if given:
        for room_id in corners:
            job = with_room(job, room_id, picked)
    return job


def unpick_corners(job: Job, corners: Corners) -> Job:
    """These corners as the job says of all again."""
    for room_id, names in corners.items():
        job = with_room(
            job,
            room_id,
            lambda room, names=frozenset(names): changed(  # type: ignore[misc]
                room, corners=tuple(pick for pick in room.corners if pick.corner not in names)
            ),
        )
    return job


def set_bead_default(job: Job, bead: Bead) -> Job:
    """What every external corner gets that was not picked by hand."""
    return changed(job, bead_default=bead, customs=changed(job.customs, bead_said=True))


def set_coat_edge_default(job: Job, finish: Finish) -> Job:
    """How every open end of coat is finished that was not picked by hand."""
    return changed(job, coat_edge_default=finish)


def without_picks_of(room: Room, opening_id: OpeningId) -> Room:
    """The room without picks of corners at an opening that goes."""
    return changed(room, corners=tuple(p for p in room.corners if not _is_at(p.corner, opening_id)))


def _is_at(corner: str, opening_id: OpeningId) -> bool:
    """Whether a corner is one of an opening: one of its surfaces is a strip of it."""
    return any(strip_of(name).opening == opening_id for name in surfaces_of(corner))


def renamed_picks(room: Room, doors: Mapping[OpeningId, OpeningId]) -> Room:
    """The room with its picks of corners naming openings by their new ids."""
    picks = tuple(replace(pick, corner=_renamed_corner(pick.corner, doors)) for pick in room.corners)
    return changed(room, corners=picks)


def _renamed_corner(corner: str, doors: Mapping[OpeningId, OpeningId]) -> str:
    """A corner's name is that of its surfaces, in order; strips of an opening begin with its id."""

    def renamed(surface: SurfaceId) -> str:
        opening, beyond, part = strip_of(surface)
        new = doors.get(OpeningId(opening))
        return surface if new is None else strip_name(reveal_name(new, beyond), part)

    return with_surfaces(corner, renamed)
