"""Which findings are still open: those that the user has settled are told no more, and those that the job
alone cannot find again go with it until they are answered.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import may_accept, told_before
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import DrawingId, Job, Settled, Unsettled

NO_ROOM = "no-room-found"
FOUND_AGAIN = frozenset({NO_ROOM, "picture-to-trace", "page-is-picture"})
"""Errors of opening a drawing that a job shows by itself: it has no room, or its picture has no scale."""


def with_unsettled(job: Job, told: Iterable[Finding], drawing: DrawingId = FIRST) -> Job:
    """The job with the errors among what opening one of its drawings has told, in place of those it had of it."""
    others = tuple(one for one in job.unsettled if one.drawing not in (None, drawing))
    own = tuple(
        Unsettled(code=f.code, text=f.text, where=f.where, drawing=drawing, evidence=f.evidence)
        for f in dict.fromkeys(told)
        if f.severity == "error" and f.code not in FOUND_AGAIN
    )
    return msgspec.structs.replace(job, unsettled=(*others, *own))


def unsettled_findings(job: Job, drawing: DrawingId | None = None) -> tuple[Finding, ...]:
    """The errors that the job brought with it, of all its drawings or of one, as they were told when those
    were opened."""
    return tuple(
        told_before(one, "error") for one in job.unsettled if drawing is None or one.drawing in (None, drawing)
    )


def open_findings(job: Job, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are neither settled nor about a room or opening that is gone. Errors stay unless
    the ledger lets them be accepted.

    A finding is settled by what it tells and where: with another figure in its sentence it is open again.
    """
    settled = {_identity(one) for one in job.settled}
    rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
    openings = {str(o.id) for storey in job.storeys for o in storey.openings}
    openings |= {str(light.id) for storey in job.storeys for light in storey.rooflights}

    def is_open(finding: Finding) -> bool:
        if finding.code == NO_ROOM and rooms:
            return False  # its rooms were drawn by hand
        if finding.severity == "error":
            return _identity(finding) not in settled or not may_accept(finding)
        where = finding.where
        if (where.room and where.room not in rooms) or (where.opening and where.opening not in openings):
            return False
        return _identity(finding) not in settled

    return tuple(finding for finding in findings if is_open(finding))


def _identity(one: Finding | Settled) -> tuple[str, str, Where]:
    """Code, facts (as the sentence has them) and place, to the millimetre: a place that is worked out anew
    differs in its last digits, which does not make another finding of it."""
    where = one.where
    x, y = (None if at is None else float(round(at)) for at in (where.x_mm, where.y_mm))
    return (
        one.code,
        one.text,
        Where(where.storey, where.room, where.surface, where.opening, x, y, where.layer, where.handle, where.page),
    )
