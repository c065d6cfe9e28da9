"""Rooms proposed from an open drawing: anew once its layers are sorted, or one round a click."""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.geometry.curves import Point
from takeoff.plan import edits
from takeoff.plan.model import DrawingRef, Job, Opening, Room, Storey, StoreyId
from takeoff.plan.provenance import with_origin
from takeoff.plan.settled import unsettled_findings, with_unsettled
from takeoff.plan.shape import curves_of, holds
from takeoff.recognise.again import again
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.services.layers import Said, sorted_out
from takeoff.services.opening import Progress


class Proposed(msgspec.Struct, frozen=True):
    """Rooms as they were proposed from a drawing in mm with these roles of its layers, what recognition
    found, and what it took each layer for."""

    drawing: Drawing
    job: Job
    found: tuple[Finding, ...]
    guesses: tuple[LayerGuess, ...]
    roles: Said


def propose_with(drawing: Drawing, roles: Said, progress: Progress | None = None) -> Proposed:
    """Propose the rooms of a drawing in mm where its layers are for what ``roles`` say. Can run in a
    process of its own. Raises InputError for a layer that is not there or a role that is none."""
    from takeoff.recognise.propose import proposal

    drawing, settings, _ = sorted_out(drawing, Settings(), roles)
    job, found, guesses = proposal(drawing, settings, progress)
    return Proposed(drawing, job, found, guesses, settings.layer_roles)


def merged(before: Proposed, mine: Job, now: Proposed) -> tuple[Job, tuple[Finding, ...]]:
    """(the user's job with the rooms that are proposed now, all that recognition and putting together
    found). What he set is kept, or a finding says what is lost."""
    job, told = again(before.job, mine, now.job)
    ref = mine.drawing or DrawingRef(name=now.drawing.name)
    ref = msgspec.structs.replace(ref, layer_roles=now.roles)
    # what was wrong with the file or its size stays, what came of looking for rooms is told anew
    stay = tuple(f for f in unsettled_findings(mine) if f not in before.found)
    job = with_unsettled(job, (*stay, *now.found))
    job = with_origin(msgspec.structs.replace(job, drawing=ref), ref, {storey.id for storey in now.job.storeys})
    return job, (*told, *now.found)


def apart_from_rooms(findings: tuple[Finding, ...], before: Proposed) -> tuple[Finding, ...]:
    """Those findings that do not come of the rooms proposed before, nor of an earlier sorting: on the
    file, its unit or its scale."""
    from takeoff.plan.check import check

    gone = {*before.found, *check(before.job)}
    return tuple(f for f in findings if f not in gone and f.code not in OF_SORTING)


LOST = frozenset({"set-values-lost", "room-in-the-way"})
"""Codes of findings that say what of the user's could not be kept."""
OF_SORTING = frozenset({"layers-remembered", "rooms-kept", "outline-changed", *LOST})


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
        raise InputError(f"“{there.name or there.title}” is there already: remove it first to fill it again.")
    roles = job.drawing.layer_roles if job.drawing else ()
    found = room_at(drawing, x_mm, y_mm, Settings(layer_roles=roles))
    if found is None:
        raise InputError("Nothing closed is drawn round this point: click inside a room, or draw its corners by hand.")
    room = msgspec.structs.replace(found.room, id=edits.new_room_id(job))
    known = list(_middles(storey)) if storey else []
    own = tuple(o for o in found.openings if not _known(_middle(o, room), known))
    return edits.with_new_room(job, storey_id, room, own)


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
