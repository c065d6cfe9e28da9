"""What stands on sides, moved and exchanged together with its room."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from takeoff.plan.edits.lookup import changed, changed_storey, room_place
from takeoff.plan.model import Job, Opening, Room, Side

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
    """The side with what is behind it, and what is left out on it, at other places along it.

    Exclusions keep their shape and move with their middle.
    """
    behind = tuple(
        changed(b, from_mm=place(b.from_mm), to_mm=None if b.to_mm is None else place(b.to_mm)) for b in side.behind
    )
    treatment = side.treatment
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
