"""Rooms on their way through the clipboard: as a job of their own, in the job file's JSON."""

from __future__ import annotations

from collections.abc import Collection

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.elevations import elevations
from takeoff.plan import edits
from takeoff.plan.edits.lookup import fresh_number
from takeoff.plan.model import Job, Opening, OpeningId, Reveal, Room, RoomId, SideId, Storey
from takeoff.plan.shape import curves_of
from takeoff.plan.surface_ids import SurfaceId, strip_name, strip_of, with_surfaces
from takeoff.storage import jobs

BESIDE_MM = 1_000.0
"""Rooms that are put beside others stand so far from them, and so are behind none of their walls."""

Box = tuple[float, float, float, float]
"""x0 y0 x1 y1, mm."""


def copied(job: Job, room_ids: Collection[str]) -> Job:
    """A job of these rooms alone, with every opening that they have, also those that a room beside
    them hosts. Raises InputError for no rooms, and for rooms of several storeys."""
    names = tuple(RoomId(name) for name in room_ids)
    alone = edits.copied_rooms(job, names)
    storey = next(s for s in job.storeys if s.id == alone.storeys[0].id)
    rooms, seen = [], list[Opening]()
    for room in alone.storeys[0].rooms:
        own = _seen(job, storey, room, names, [o.id for o in (*alone.storeys[0].openings, *seen)])
        # what was the far side of an opening is its own side now
        renamed = {str(old): str(new.id) for old, new in own}
        rooms.append(_picks_renamed(room, renamed))
        seen += [opening for _, opening in own]
    held = alone.storeys[0]
    held = msgspec.structs.replace(held, rooms=tuple(rooms), openings=(*held.openings, *seen))
    return msgspec.structs.replace(alone, storeys=(held,))


def as_text(copy: Job) -> str:
    """What is put on the clipboard: the job file's own JSON."""
    return jobs.dump(copy).decode()


def from_text(text: str) -> Job:
    """The rooms on the clipboard. Raises InputError where there is something else on it."""
    if "takeoff-job" not in text[:2000]:
        raise InputError(tr("There are no rooms on the clipboard: copy rooms first."))
    copy = jobs.load(text.encode("utf-8", "replace"), tr("What is on the clipboard"))
    if not copy.has_rooms:
        raise InputError(tr("There are no rooms in what was copied: copy rooms first."))
    return copy


def box_of(rooms: Collection[Room]) -> Box | None:
    """The box round rooms; None round none."""
    boxes = [curve.box for room in rooms for curve in curves_of(room.outline)]
    if not boxes:
        return None
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def rooms_in(copy: Job) -> tuple[Room, ...]:
    """The rooms that were copied."""
    return tuple(room for storey in copy.storeys for room in storey.rooms)


def by_beside(storey: Storey | None, copy: Job) -> tuple[float, float]:
    """By how much copied rooms are moved to stand to the right of all rooms of a storey; not at all on a
    storey without rooms."""
    there, here = box_of(storey.rooms) if storey else None, box_of(rooms_in(copy))
    if there is None or here is None:
        return 0.0, 0.0
    return there[2] + BESIDE_MM - here[0], 0.0


def overlaps(storey: Storey | None, copy: Job, by: tuple[float, float]) -> bool:
    """Whether the boxes of copied rooms, moved by so much, meet those of a storey's rooms."""
    for room in storey.rooms if storey else ():
        there = box_of((room,))
        for other in rooms_in(copy):
            here = box_of((other,))
            if (
                there
                and here
                and (
                    here[0] + by[0] < there[2]
                    and there[0] < here[2] + by[0]
                    and here[1] + by[1] < there[3]
                    and there[1] < here[3] + by[1]
                )
            ):
                return True
    return False


def _seen(
    job: Job, storey: Storey, room: Room, taken: Collection[RoomId], ids: list[OpeningId]
) -> list[tuple[OpeningId, Opening]]:
    """(id, as this room alone has it) of the openings that rooms beside it host in its walls."""
    every = {str(opening.id): opening for opening in storey.openings}
    found: list[tuple[OpeningId, Opening]] = []
    for drawn in elevations(job, storey, room):
        for name, rings in drawn.openings:
            opening = every.get(name)
            if opening is None or opening.room in taken:
                continue
            us = [u for ring in rings for u, _ in ring]
            fresh = opening.id if opening.id not in ids else OpeningId(fresh_number([*ids, *every], "o"))
            ids.append(fresh)
            found.append((opening.id, _turned(opening, fresh, room, drawn.side, min(us), max(us))))
    return found


def _turned(opening: Opening, name: OpeningId, room: Room, side: str, from_mm: float, to_mm: float) -> Opening:
    """An opening as the room behind its wall has it: its own reveal is the one beyond."""
    if opening.kind == "open":
        own = opening.reveal
        reveal, beyond = msgspec.structs.replace(own, start=own.end, end=own.start), opening.reveal_beyond
    else:
        reveal, beyond = opening.reveal_beyond or Reveal(), opening.reveal
    return msgspec.structs.replace(
        opening,
        id=name,
        room=room.id,
        side=SideId(side),
        offset_mm=from_mm,
        width_mm=to_mm - from_mm,
        reveal=reveal,
        reveal_beyond=beyond,
        swings=tuple(swing.turned for swing in opening.swings),
    )


def _picks_renamed(room: Room, names: dict[str, str]) -> Room:
    if not names or not room.corners:
        return room

    def renamed(surface: SurfaceId) -> str:
        opening, beyond, part = strip_of(surface)
        return strip_name(names[opening], part) if beyond and opening in names else surface

    picks = tuple(msgspec.structs.replace(pick, corner=with_surfaces(pick.corner, renamed)) for pick in room.corners)
    return msgspec.structs.replace(room, corners=picks)
