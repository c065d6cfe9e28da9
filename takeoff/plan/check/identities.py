"""Names that stand twice, or that name nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from takeoff.errors import Finding, Where
from takeoff.plan.model import Job, Opening, Rooflight, Room, Storey, WallTreatment
from takeoff.plan.said import finding


def unsound_names(job: Job) -> list[Finding]:
    """Errors for ids that are empty or not unique, and for references that lead nowhere."""
    found: list[Finding] = []
    if not job.storeys:
        found.append(finding("no-storeys", "check", "the job has no storeys: nothing can be measured.", Where()))
    found += _twice("storey", ((s.id, Where(storey=s.id)) for s in job.storeys))
    found += _twice("room", ((r.id, Where(storey=s.id, room=r.id)) for s in job.storeys for r in s.rooms))
    found += _twice("opening", chain.from_iterable(_openings(s) for s in job.storeys))
    found += _twice("wall type", ((w.id, Where()) for w in job.wall_types))
    wall_types: set[str] = {wall_type.id for wall_type in job.wall_types}
    for storey in job.storeys:
        if not storey.rooms:
            text = f"{storey.title} has no rooms: draw or find some."
            found.append(finding("no-rooms", "check", text, Where(storey=storey.id)))
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
            yield finding("id-empty", "error", f"a {what} has no id: give it one of its own.", where)
        elif name in seen:
            text = f"the id “{name}” names more than one {what}: give each its own."
            yield finding("id-twice", "error", text, where)
        seen.add(name)


def _in_room(storey: Storey, room: Room, wall_types: set[str]) -> Iterator[Finding]:
    sides = room.sides

    def where(surface: str | None = None) -> Where:
        return Where(storey=storey.id, room=room.id, surface=surface)

    yield from _twice(f"side of {room.title}", ((s.id, where(s.id)) for s in sides))
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    regions = [region for field in fields for region in field.regions]
    yield from _twice(f"region of {room.title}", ((r.id, where(r.id)) for r in regions))
    yield from _twice(f"exclusion of {room.title}", _exclusions(storey, room))
    yield from _picks(room, where())
    for side in sides:
        if side.wall_type is not None and side.wall_type not in wall_types:
            text = f"side {side.id} of {room.title} has the wall type “{side.wall_type}”, which the job "
            yield finding(
                "wall-type-unknown", "error", text + "does not know: add it or choose another.", where(side.id)
            )
    known = {side.id for side in sides}
    for border in (*room.ceiling_treatment.left_on, *room.ceiling_treatment.only):
        for name in border.sides:
            if name not in known:
                text = f"a border of the ceiling of {room.title} runs along the side “{name}”, "
                yield finding(
                    "border-side-unknown",
                    "error",
                    text + "which the room does not have: name one that it has.",
                    where(),
                )


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
            text = f"the corner “{pick.corner}” of {room.title} is picked twice: keep one of the picks."
            yield finding("corner-picked-twice", "error", text, where)
        if pick.bead is None and pick.profile is None and pick.finish is None:
            text = f"the pick of corner “{pick.corner}” of {room.title} chooses nothing: take it out."
            yield finding("corner-pick-empty", "check", text, where)
        seen.add(pick.corner)


def _hosts(storey: Storey) -> Iterator[Finding]:
    sides = {room.id: {s.id for s in room.sides} for room in storey.rooms}
    for opening in storey.openings:
        where = Where(storey=storey.id, room=opening.room, opening=opening.id)
        if opening.room not in sides:
            text = f"{opening.title} stands in the room “{opening.room}”, which {storey.title} "
            yield finding("opening-room-unknown", "error", text + "does not have: choose its room.", where)
        elif opening.side not in sides[opening.room]:
            text = f"{opening.title} stands in the side “{opening.side}”, which its room does not have: "
            yield finding("opening-side-unknown", "error", text + "choose its side.", where)
    for light in storey.rooflights:
        if light.room not in sides:
            text = f"{light.title} stands in the room “{light.room}”, which "
            text += f"{storey.title} does not have: choose its room."
            where = Where(storey=storey.id, room=light.room, opening=light.id)
            yield finding("opening-room-unknown", "error", text, where)
