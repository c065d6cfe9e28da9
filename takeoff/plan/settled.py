"""Which findings are still open: those that the user has settled are told no more."""

from __future__ import annotations

from collections.abc import Iterable

from takeoff.errors import Finding
from takeoff.plan.model import Job


def open_findings(job: Job, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that are neither settled nor about a room or opening that is gone. Errors stay.

    A finding is settled by what it tells: with another figure in its sentence it is open again.
    """
    settled = {(one.code, one.text, one.where) for one in job.settled}
    rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
    openings = {str(o.id) for storey in job.storeys for o in storey.openings}
    openings |= {str(light.id) for storey in job.storeys for light in storey.rooflights}

    def is_open(finding: Finding) -> bool:
        if finding.severity == "error":
            return True
        where = finding.where
        if (where.room and where.room not in rooms) or (where.opening and where.opening not in openings):
            return False
        return (finding.code, finding.text, where) not in settled

    return tuple(finding for finding in findings if is_open(finding))
