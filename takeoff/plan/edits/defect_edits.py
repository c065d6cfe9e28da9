"""Edits of the list of defects that goes with the hand-over: noticed, mended; numbered as they came."""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.work_dates import day_of, in_turn
from takeoff.plan.model import Job
from takeoff.plan.work_records import Defect


def note_defect(job: Job, place: str, what: str, on: str, by: str = "") -> Job:
    """The job with a defect more, as the next number. Raises InputError without a place, without words for it, and for
    a day that is none."""
    if not place.strip():
        raise InputError(tr("A defect needs its place: name the room or wall."))
    if not what.strip():
        raise InputError(tr("A defect needs its words: say what is not as it should be."))
    if day_of(on) is None:
        raise InputError(tr("Give the day."))
    number = max((one.number for one in job.work.defects), default=0) + 1
    defect = Defect(number=number, place=place.strip(), what=what.strip(), on=on, by=by.strip())
    return _with(job, (*job.work.defects, defect))


def mend_defect(job: Job, number: int, on: str, by: str = "") -> Job:
    """The defect of that number was mended on a day. Raises InputError for one that is not there, a day that is none,
    and a day before it was noticed."""
    known = next((one for one in job.work.defects if one.number == number), None)
    if known is None:
        raise InputError(tr("There is no defect {number}.", number=number))
    if day_of(on) is None:
        raise InputError(tr("Give the day."))
    in_turn(known.on, on)
    mended = msgspec.structs.replace(known, mended_on=on, mended_by=by.strip())
    if mended == known:
        return job
    return _with(job, tuple(mended if one is known else one for one in job.work.defects))


def _with(job: Job, defects: tuple[Defect, ...]) -> Job:
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, defects=defects))
