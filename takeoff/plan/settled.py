"""Which findings are still open: those that the user has settled are told no more."""

from __future__ import annotations

from collections.abc import Iterable

from takeoff.errors import Finding, Where
from takeoff.plan.model import Job, Settled


def open_findings(job: Job, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are neither settled nor about a room or opening that is gone. Errors stay.

    A finding is settled by what it tells and where: with another figure in its sentence it is open again.
    """
    settled = {_identity(one) for one in job.settled}
    rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
    openings = {str(o.id) for storey in job.storeys for o in storey.openings}
    openings |= {str(light.id) for storey in job.storeys for light in storey.rooflights}

    def is_open(finding: Finding) -> bool:
        if finding.severity == "error":
            return True
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
