"""Edits of how far rooms are, and of what was done in them day by day."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.work_dates import day_of, in_turn
from takeoff.plan.model import Job
from takeoff.plan.work_records import ROOM_STAGES, DayRecord, RoomStage, RoomStageName
from takeoff.units.printing import shown

THICKEST_MM = 20.0
"""What a wet-film gauge of the trade shows at most (common practice, no source)."""


def set_room_stage(job: Job, room: str, stage: RoomStageName, on: str, by: str = "") -> Job:
    """The room has reached a stage on a day. Raises InputError for a room that is not there, a stage or a day that is
    none, and a day before that of the room's last stage."""
    _known(job, room)
    if stage not in ROOM_STAGES:
        raise InputError(
            tr("“{stage}” is not a stage of a room: use {stages}.", stage=stage, stages=", ".join(ROOM_STAGES))
        )
    if day_of(on) is None:
        raise InputError(tr("Give the day on which the room reached that stage."))
    own = [one for one in job.work.stages if one.room == room]
    if own:
        in_turn(own[-1].on, on)
        if (own[-1].stage, own[-1].on, own[-1].by) == (stage, on, by):
            return job
    stages = (*job.work.stages, RoomStage(room=room, stage=stage, on=on, by=by))
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, stages=stages))


def stage_of(job: Job, room: str) -> RoomStageName:
    """How far a room is; *not-begun* where nobody said."""
    own = [one.stage for one in job.work.stages if one.room == room]
    return own[-1] if own else "not-begun"


def add_day(job: Job, record: DayRecord) -> Job:
    """The job with what was done in a room on a day. Raises InputError for a room that is not there, a day that is
    none, hours that no day has, a gauge reading that no gauge shows, and tubs that were never delivered."""
    _known(job, record.room)
    if day_of(record.on) is None:
        raise InputError(tr("Give the day on which it was done."))
    if not math.isfinite(record.hours) or not 0 <= record.hours <= 1000:
        raise InputError(tr("Hours of a day and its crew lie between 0 and 1,000."))
    for reading in record.readings:
        if not math.isfinite(reading.mm) or not 0 <= reading.mm <= THICKEST_MM:
            raise InputError(
                tr(
                    "A gauge reading of {mm} mm cannot be: a wet-film gauge shows up to {most} mm. Read it again.",
                    mm=shown(reading.mm, 1),
                    most=shown(THICKEST_MM, 0),
                )
            )
    days = (*job.work.days, record)
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, days=days))


def take_day_out(job: Job, index: int) -> Job:
    """Without the day record of that index. Raises InputError where there is none."""
    days = job.work.days
    if not 0 <= index < len(days):
        raise InputError(tr("That entry is not there any more."))
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, days=days[:index] + days[index + 1 :]))


def _known(job: Job, room: str) -> None:
    if all(str(one.id) != room for storey in job.storeys for one in storey.rooms):
        raise InputError(tr("That room is not in the job any more: select another."))
