"""Names that stand twice, or that name nothing; a picture that nobody has given a scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.plan.model import Job, Opening, Rooflight, Room, Storey, WallTreatment
from takeoff.plan.wall_letters import wall_letter
from takeoff.units.lengths import STOREY_HEIGHT, length_text, meant_by


def unsound_names(job: Job) -> list[Finding]:
    """Errors for ids that are empty or not unique, and for references that lead nowhere."""
    found: list[Finding] = []
    if not job.storeys:
        found.append(noticed("no-storeys"))
    found += _twice(tr("storey"), ((s.id, Where(storey=s.id)) for s in job.storeys))
    found += _twice(tr("room"), ((r.id, Where(storey=s.id, room=r.id)) for s in job.storeys for r in s.rooms))
    found += _twice(tr("opening"), chain.from_iterable(_openings(s) for s in job.storeys))
    found += _twice(tr("wall type"), ((w.id, Where()) for w in job.wall_types))
    found += _twice(tr("drawing"), ((ref.id, Where()) for ref in job.drawings))
    wall_types: set[str] = {wall_type.id for wall_type in job.wall_types}
    drawings = {ref.id for ref in job.drawings}
    for storey in job.storeys:
        if storey.drawing is not None and storey.drawing not in drawings:
            where = Where(storey=storey.id)
            found.append(noticed("drawing-unknown", where, storey=storey.title, drawing=storey.drawing))
        if not storey.rooms:
            found.append(noticed("no-rooms", Where(storey=storey.id), storey=storey.title))
        meant = meant_by(storey.height_mm, STOREY_HEIGHT)
        if meant:
            height, where = length_text(storey.height_mm), Where(storey=storey.id)
            found.append(noticed("storey-height-odd", where, storey=storey.title, height=height, meant=meant))
        for room in storey.rooms:
            found += _in_room(storey, room, wall_types)
        found += _hosts(storey)
    return found


def _openings(storey: Storey) -> Iterator[tuple[str, Where]]:
    openings: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
    for opening in openings:
        yield opening.id, Where(storey=storey.id, room=opening.room, opening=opening.id)


def _twice(what: str, ids: Iterable[tuple[str, Where]]) -> Iterator[Finding]:
    seen: set[str] = set()
    for name, where in ids:
        if not name.strip():
            yield noticed("id-empty", where, what=what)
        elif name in seen:
            yield noticed("id-twice", where, id=name, what=what)
        seen.add(name)


def _in_room(storey: Storey, room: Room, wall_types: set[str]) -> Iterator[Finding]:
    sides = room.sides

    def where(surface: str | None = None) -> Where:
        return Where(storey=storey.id, room=room.id, surface=surface)

    yield from _twice(tr("wall of {room}", room=room.title), ((s.id, where(s.id)) for s in sides))
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    regions = [region for field in fields for region in field.regions]
    yield from _twice(tr("part of floor or ceiling of {room}", room=room.title), ((r.id, where(r.id)) for r in regions))
    yield from _twice(tr("masked part of {room}", room=room.title), _exclusions(storey, room))
    yield from _picks(room, where())
    for side in sides:
        if side.wall_type is not None and side.wall_type not in wall_types:
            yield noticed(
                "wall-type-unknown",
                where(side.id),
                side=wall_letter(room, side.id),
                room=room.title,
                wall_type=side.wall_type,
            )
    known = {side.id for side in sides}
    for border in (*room.ceiling_treatment.left_on, *room.ceiling_treatment.only):
        for name in border.sides:
            if name not in known:
                yield noticed("border-side-unknown", where(), room=room.title, side=name)


def _exclusions(storey: Storey, room: Room) -> Iterator[tuple[str, Where]]:
    def named(treatment: WallTreatment, surface: str | None) -> Iterator[tuple[str, Where]]:
        for exclusion in treatment.exclusions:
            yield exclusion.id, Where(storey=storey.id, room=room.id, surface=surface)

    yield from named(room.walls, None)
    for side in room.sides:
        if side.treatment is not None:
            yield from named(side.treatment, side.id)
    for exclusion in room.ceiling_treatment.exclusions:
        yield exclusion.id, Where(storey=storey.id, room=room.id, surface="ceiling")


def _picks(room: Room, where: Where) -> Iterator[Finding]:
    seen: set[str] = set()
    for pick in room.corners:
        if pick.corner in seen:
            yield noticed("corner-picked-twice", where, corner=pick.corner, room=room.title)
        if pick.bead is None and pick.profile is None and pick.finish is None:
            yield noticed("corner-pick-empty", where, corner=pick.corner, room=room.title)
        seen.add(pick.corner)


def _hosts(storey: Storey) -> Iterator[Finding]:
    sides = {room.id: {s.id for s in room.sides} for room in storey.rooms}
    for opening in storey.openings:
        where = Where(storey=storey.id, room=opening.room, opening=opening.id)
        if opening.room not in sides:
            yield noticed("opening-room-unknown", where, opening=opening.title, room=opening.room, storey=storey.title)
        elif opening.side not in sides[opening.room]:
            yield noticed("opening-side-unknown", where, opening=opening.title, side=opening.side)
    for light in storey.rooflights:
        if light.room not in sides:
            where = Where(storey=storey.id, room=light.room, opening=light.id)
            yield noticed("opening-room-unknown", where, opening=light.title, room=light.room, storey=storey.title)


def unplaced_picture(job: Job) -> list[Finding]:
    """An error for each picture of which nobody has said how large it is: what is traced over it is wrong."""
    return [
        noticed("picture-not-placed", file=ref.name)
        for ref in job.drawings
        if ref.picture is not None and ref.picture.mm_per_px is None
    ]
