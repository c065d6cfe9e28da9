"""Filling a room by a click inside its linework: a pure edit, from the drawing and the click."""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.geometry.rings import inside
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, Room, Storey, StoreyId
from takeoff.plan.shape import curves_of

SAME_OPENING_MM = 500.0
"""An opening whose middle is this near to one that the job has, on the two faces of a wall or on
one, is the same opening (common practice, no source: walls are mostly thinner)."""


def fill_room(job: Job, drawing: Drawing, storey_id: StoreyId | None, x_mm: float, y_mm: float) -> Job:
    """The job with the room round a point of the drawing, and with the openings in its walls that
    the storey has not yet. Raises InputError where nothing closed is round the point, or where a
    room is there already. Layers are for what the user said of them.
    """
    from takeoff.recognise.one_room import room_at
    from takeoff.recognise.presets import Settings

    storey = next((s for s in job.storeys if s.id == storey_id), None)
    there = next((r for r in storey.rooms if holds(r, x_mm, y_mm)), None) if storey else None
    if there is not None:
        raise InputError(f"“{there.name or there.id}” is there already: remove it first to fill it again.")
    roles = job.drawing.layer_roles if job.drawing else ()
    found = room_at(drawing, x_mm, y_mm, Settings(layer_roles=roles))
    if found is None:
        raise InputError("Nothing closed is drawn round this point: click inside a room, or draw its corners by hand.")
    room = msgspec.structs.replace(found.room, id=edits.new_room_id(job))
    known = list(_middles(storey)) if storey else []
    own = tuple(o for o in found.openings if not _known(_middle(o, room), known))
    return edits.with_new_room(job, storey_id, room, own)


def holds(room: Room, x_mm: float, y_mm: float) -> bool:
    """Whether a point lies in a room, and in none of its piers."""
    rings = [curves_of(sides) for sides in room.rings]
    return inside(rings[0], x_mm, y_mm) and not any(inside(ring, x_mm, y_mm) for ring in rings[1:])


def _middles(storey: Storey) -> Iterable[Point]:
    rooms = {room.id: room for room in storey.rooms}
    for opening in storey.openings:
        if opening.room in rooms:
            middle = _middle(opening, rooms[opening.room])
            if middle is not None:
                yield middle


def _middle(opening: Opening, room: Room) -> Point | None:
    for sides in room.rings:
        curves = curves_of(sides)
        for side, curve in zip(sides, curves, strict=True):
            if side.id == opening.side and curve.length > 0:
                return curve.at(opening.offset_mm + opening.width_mm / 2.0)
    return None


def _known(middle: Point | None, known: list[Point]) -> bool:
    return middle is not None and any(math.dist(middle, other) <= SAME_OPENING_MM for other in known)
