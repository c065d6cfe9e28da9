"""Rooms proposed anew from an open drawing once the user has said what its layers are for."""

from __future__ import annotations

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.plan.model import DrawingRef, Job
from takeoff.recognise.again import again
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.services.layers import Said, sorted_out
from takeoff.services.measuring import Progress


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
    return msgspec.structs.replace(job, drawing=ref), (*told, *now.found)


def apart_from_rooms(findings: tuple[Finding, ...], before: Proposed) -> tuple[Finding, ...]:
    """Those findings that do not come of the rooms proposed before, nor of an earlier sorting: on the
    file, its unit or its scale."""
    from takeoff.plan.check import check

    gone = {*before.found, *check(before.job)}
    return tuple(f for f in findings if f not in gone and f.code not in OF_SORTING)


LOST = frozenset({"set-values-lost", "room-in-the-way"})
"""Codes of findings that say what of the user's could not be kept."""
OF_SORTING = frozenset({"layers-remembered", "rooms-kept", "outline-changed", *LOST})
