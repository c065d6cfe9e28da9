"""Rooms proposed from an open drawing: anew once its layers are sorted, or one round a click."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.geometry.curves import Point
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.edits.drawing_edits import finding_in_job, own_ids
from takeoff.plan.job_drawings import FIRST, drawing_called, with_origin
from takeoff.plan.model import DrawingId, DrawingRef, Job, Opening, Room, Storey, StoreyId
from takeoff.plan.reasons import because
from takeoff.plan.settled import known_among, unsettled_findings, with_unsettled
from takeoff.plan.shape import curves_of, holds
from takeoff.recognise.again import again
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.services.opened.layers import Said, sorted_out
from takeoff.services.opened.opening import Progress

if TYPE_CHECKING:  # recognition takes a while to import, and a job can be measured without it
    from takeoff.recognise.one_room import FoundRoom
    from takeoff.recognise.round_point.known_ground import Ground

replace = msgspec.structs.replace


class Proposed(msgspec.Struct, frozen=True):
    """Rooms as they were proposed from a drawing in mm with these roles of its layers, what recognition
    found, and what it took each layer for. ``of``: what the drawing is called in its job, after which
    storeys and rooms of all but the first drawing are called."""

    drawing: Drawing
    job: Job
    found: tuple[Finding, ...]
    guesses: tuple[LayerGuess, ...]
    roles: Said
    of: DrawingId = FIRST


def propose_with(drawing: Drawing, roles: Said, of: DrawingId = FIRST, progress: Progress | None = None) -> Proposed:
    """Propose the rooms of a drawing in mm, as it lies in its job, where its layers are for what ``roles``
    say. Can run in a process of its own. Raises InputError for a layer that is not there or a role that
    is none."""
    from takeoff.recognise.propose import proposal

    drawing, settings, _ = sorted_out(drawing, Settings(), roles)
    job, found, guesses = proposal(drawing, settings, progress)
    found = tuple(finding_in_job(finding, of) for finding in found)
    return Proposed(drawing, own_ids(job, of), found, guesses, settings.layer_roles, of)


def merged(before: Proposed, mine: Job, now: Proposed) -> tuple[Job, tuple[Finding, ...]]:
    """(the user's job with the rooms that are proposed now, all that recognition and putting together
    found). What he set is kept, or a finding says what is lost; storeys of other drawings stay as they are."""
    own = [k for k, storey in enumerate(mine.storeys) if storey.drawing == now.of]
    part = replace(mine, storeys=tuple(mine.storeys[k] for k in own))
    found, told = again(before.job, part, now.job)
    ref = drawing_called(mine, now.of) or DrawingRef(id=now.of, name=now.drawing.name)
    ref = replace(ref, layer_roles=now.roles)
    at = own[0] if own else len(mine.storeys)
    others = [storey for storey in mine.storeys if storey.drawing != now.of]
    storeys = (*others[:at], *found.storeys, *others[at:])
    job = replace(mine, storeys=storeys, name=found.name if len(mine.drawings) < 2 else mine.name)
    # what was wrong with the file or its size stays, what came of looking for rooms is told anew
    came_of_rooms = known_among(before.found)
    stay = tuple(f for f in unsettled_findings(mine, now.of) if not came_of_rooms(f))
    job = with_unsettled(job, (*stay, *now.found), now.of)
    job = with_origin(job, ref, {storey.id for storey in now.job.storeys})
    if len(job.drawings) > 1:
        from takeoff.recognise.rooms.stair_claims import as_wells

        job = as_wells(job)  # stairs are one well with those of other drawings again
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


def ground_to_fill(drawing: Drawing, roles: Said, progress: Progress | None = None) -> Ground:
    """What is known of a drawing in mm before rooms are filled in it, its layers for what ``roles`` say. Can run in a
    process of its own."""
    from takeoff.recognise.round_point.known_ground import known_ground

    del progress  # reading a drawing tells of itself only as a whole
    return known_ground(drawing, Settings(layer_roles=roles))


def fillings(
    job: Job,
    ground: Ground,
    storey_id: StoreyId | None,
    x_mm: float,
    y_mm: float,
    bounds: Sequence[tuple[Point, Point]] = (),
) -> tuple[FoundRoom, ...]:
    """The rooms that may be meant by a point, the likeliest first; rooms of the storey that are sure stay and bound
    them. ``bounds``: lines that the user drew for rooms to end at. Raises InputError where nothing closed is round the
    point, or where a room is there already that is sure."""
    from takeoff.recognise.one_room import rooms_at

    rooms = _rooms(job, storey_id)
    doubted = [r for r in rooms if _doubtful(r, (x_mm, y_mm))]
    there = next((r for r in rooms if r not in doubted and holds(r, x_mm, y_mm)), None)
    if there is not None:
        raise InputError(tr("“{room}” is there already: remove it first to fill it again.", room=there.title))
    stay = [room for room in rooms if room not in doubted]
    found = rooms_at(ground, x_mm, y_mm, stay, bounds=bounds, doubted=doubted)
    if not found:
        raise InputError(
            tr("No closed outline is drawn round this point: click inside a room, or draw its corners by hand.")
        )
    return found


def with_filling(job: Job, storey_id: StoreyId | None, found: FoundRoom, at: Point | None = None) -> Job:
    """The job with such a room, and with the openings in its walls that the storey has not yet. Rooms in doubt that
    it covers go: it is what they were meant to be; so does one that was filled round the same point before, ``at``."""
    for room in covered(job, storey_id, found, at):
        job = edits.remove_room(job, room.id)
    storey = next((s for s in job.storeys if s.id == storey_id), None)
    room = replace(found.room, id=edits.new_room_id(job))
    known = list(_middles(storey)) if storey else []
    own = tuple(o for o in found.openings if not _known(_middle(o, room), known))
    return edits.with_new_room(job, storey_id, room, own)


def covered(job: Job, storey_id: StoreyId | None, found: FoundRoom, at: Point | None = None) -> tuple[Room, ...]:
    """The rooms in doubt that a new one, filled round a point, takes the place of."""
    from takeoff.recognise.one_room import in_place_of

    return in_place_of(found.room, [room for room in _rooms(job, storey_id) if _doubtful(room, at)])


def lost_names(job: Job, ground: Ground, storey_id: StoreyId | None) -> tuple[tuple[str, Point], ...]:
    """(what is written, where) of room names and areas that lie in no room of the storey, but near its rooms, from
    top to bottom; empty in a storey without rooms or names."""
    from takeoff.recognise.one_room import names_in_none

    return names_in_none(ground, _rooms(job, storey_id))


def _rooms(job: Job, storey_id: StoreyId | None) -> tuple[Room, ...]:
    return next((s.rooms for s in job.storeys if s.id == storey_id), ())


def _doubtful(room: Room, at: Point | None) -> bool:
    """Whether a room is only proposed, so that one that the user points at takes its place; of those that he filled
    himself the one that he points at again."""
    if room.confidence == "sure":
        return False
    return because("by-hand") not in room.evidence or (at is not None and holds(room, *at))


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
