"""Openings in walls and ceilings."""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import (
    all_openings,
    changed,
    changed_storey,
    finite,
    opening_of,
    room_of,
    room_place,
    side_place,
    unused,
    with_opening,
)
from takeoff.plan.edits.picks import without_picks_of
from takeoff.plan.model import Confidence, Job, Opening, OpeningId, Reveal, Rooflight, RoomId, SideId, Source, Strip

replace = msgspec.structs.replace


def add_opening(job: Job, opening: Opening) -> Job:
    """The job with an opening more, on the storey of its room; its id must be new."""
    unused(all_openings(job), opening.id, "opening")
    finite(offset_mm=opening.offset_mm, width_mm=opening.width_mm, sill_mm=opening.sill_mm, head_mm=opening.head_mm)
    side_place(room_of(job, opening.room), opening.side)
    s, _ = room_place(job, opening.room)
    storey = job.storeys[s]
    return changed_storey(job, s, replace(storey, openings=(*storey.openings, opening)))


def add_rooflight(job: Job, rooflight: Rooflight) -> Job:
    """The job with a rooflight more, on the storey of its room; its id must be new."""
    unused(all_openings(job), rooflight.id, "opening")
    s, _ = room_place(job, rooflight.room)
    storey = job.storeys[s]
    return changed_storey(job, s, replace(storey, rooflights=(*storey.rooflights, rooflight)))


def remove_opening(job: Job, opening_id: OpeningId) -> Job:
    """The job without that opening or rooflight, and without picks of corners at it: also how one that
    was proposed is refused."""
    for s, storey in enumerate(job.storeys):
        openings = tuple(o for o in storey.openings if o.id != opening_id)
        lights = tuple(o for o in storey.rooflights if o.id != opening_id)
        if len(openings) < len(storey.openings):
            rooms = tuple(without_picks_of(room, opening_id) for room in storey.rooms)
            if all(a is b for a, b in zip(rooms, storey.rooms, strict=True)):
                rooms = storey.rooms
            return changed_storey(job, s, replace(storey, openings=openings, rooms=rooms))
        if len(lights) < len(storey.rooflights):
            return changed_storey(job, s, replace(storey, rooflights=lights))
    raise InputError(f"The job has no opening “{opening_id}”: choose one that it has.")


def move_opening(
    job: Job, opening_id: OpeningId, offset_mm: float, side: SideId | None = None, room: RoomId | None = None
) -> Job:
    """The opening at another place of its side, or in another side or room of the same storey.

    ``offset_mm`` runs from the side's start to the opening's first jamb.
    """
    finite(offset_mm=offset_mm)
    opening = opening_of(job, opening_id)
    host_room, host_side = room or opening.room, side or opening.side
    side_place(room_of(job, host_room), host_side)
    if room_place(job, host_room)[0] != room_place(job, opening.room)[0]:
        raise InputError(f"The room “{host_room}” is on another storey: add a new opening there.")
    return with_opening(job, opening_id, lambda o: changed(o, offset_mm=offset_mm, side=host_side, room=host_room))


def set_opening_sizes(
    job: Job, opening_id: OpeningId, width_mm: float | None = None, sill_mm: float | None = None,
    head_mm: float | None = None, source: Source = "typed",
) -> Job:  # fmt: skip
    """Width, sill and head, each where given, with where they come from. The middle stays put."""
    finite(width_mm=width_mm, sill_mm=sill_mm, head_mm=head_mm)
    if width_mm is not None and width_mm <= 0:
        raise InputError("An opening is wider than nothing: type its width.")

    def resized(opening: Opening) -> Opening:
        if width_mm is not None:
            offset = opening.offset_mm + (opening.width_mm - width_mm) / 2.0
            opening = changed(opening, width_mm=width_mm, width_source=source, offset_mm=offset)
        if sill_mm is not None:
            opening = changed(opening, sill_mm=sill_mm, sill_source=source)
        if head_mm is not None:
            opening = changed(opening, head_mm=head_mm, head_source=source)
        return opening

    return with_opening(job, opening_id, resized)


def set_opening_reveal(job: Job, opening_id: OpeningId, reveal: Reveal | None, *, beyond: bool = False) -> Job:
    """The reveal on the host's side, or that ``beyond`` the wall (None: there is none)."""
    if reveal is not None:
        strips = {"start": reveal.start, "end": reveal.end, "head": reveal.head, "sill": reveal.sill}
        finite(splay_deg=reveal.splay_deg, **{f"depth of the {name}": s.depth_mm for name, s in strips.items()})
    if beyond:
        return with_opening(job, opening_id, lambda o: changed(o, reveal_beyond=reveal))
    return with_opening(job, opening_id, lambda o: changed(o, reveal=reveal or Reveal()))


def set_reveal_depth(job: Job, opening_id: OpeningId, depth_mm: float, source: Source = "typed") -> Job:
    """The same depth for all four strips of the host's reveal; what is coated stays as it is."""
    finite(depth_mm=depth_mm)

    def deeper(strip: Strip) -> Strip:
        return changed(strip, depth_mm=depth_mm, depth_source=source)

    def changed_reveal(opening: Opening) -> Opening:
        r = opening.reveal
        strips = {"start": deeper(r.start), "end": deeper(r.end), "head": deeper(r.head), "sill": deeper(r.sill)}
        return changed(opening, reveal=changed(r, **strips))

    return with_opening(job, opening_id, changed_reveal)


def set_opening_mark(job: Job, opening_id: OpeningId, mark: str) -> Job:
    """The mark that the opening has on the drawing ("W3")."""
    return with_opening(job, opening_id, lambda opening: changed(opening, mark=mark))


def set_opening_confidence(job: Job, opening_id: OpeningId, confidence: Confidence) -> Job:
    """Accept an opening or a rooflight (*sure*: it is measured) or leave it open."""
    for s, storey in enumerate(job.storeys):
        for index, light in enumerate(storey.rooflights):
            if light.id == opening_id:
                new = changed(light, confidence=confidence)
                lights = (*storey.rooflights[:index], new, *storey.rooflights[index + 1 :])
                return job if new is light else changed_storey(job, s, replace(storey, rooflights=lights))
    return with_opening(job, opening_id, lambda opening: changed(opening, confidence=confidence))
