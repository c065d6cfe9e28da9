"""Edits of the site check: readings, what was looked at, holds cleared, the stage."""

from __future__ import annotations

import math
from datetime import datetime

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.plan.site_check import STAGES, Cleared, ConditionReading, SiteCheck, Stage, Tick
from takeoff.units.printing import shown_short

POSSIBLE: dict[str, tuple[float, float, str]] = {
    "moisture": (0.0, 1000.0, ""),
    "surface": (-40.0, 60.0, "°C"),
    "air": (-40.0, 60.0, "°C"),
    "humidity": (1.0, 100.0, "%"),
    "gap": (0.0, 500.0, "mm"),
}
"""What an instrument can say in a building (common practice, no source)."""


def add_reading(job: Job, reading: ConditionReading, now: datetime) -> Job:
    """The job with one reading more. Raises InputError for a value that no instrument shows, a room that the job does
    not have, a surface of no room, a moment that is none or lies ahead of ``now``, and moisture without its scale."""
    low, high, unit = POSSIBLE[reading.quantity]
    if not low <= reading.value <= high:
        value = shown_short(reading.value, 1) if math.isfinite(reading.value) else "?"
        raise InputError(
            tr(
                "{value} {unit} cannot be: a reading lies between {low} and {high} {unit}. Read the instrument again.",
                value=value,
                unit=unit,
                low=shown_short(low, 1),
                high=shown_short(high, 1),
            )
        )
    if reading.quantity == "moisture" and not reading.scale.strip():
        raise InputError(tr("Moisture is read on the instrument's own scale: name the scale."))
    if reading.room is None and reading.quantity in ("moisture", "surface", "gap"):
        raise InputError(tr("Surfaces are measured room by room: select the room."))
    _known_room(job, reading.room)
    _past(reading.at, now)
    return _with(job, readings=(*job.site_check.readings, reading))


def take_reading_out(job: Job, index: int) -> Job:
    """Without the reading of that index. Raises InputError where there is none."""
    readings = job.site_check.readings
    if not 0 <= index < len(readings):
        raise InputError(tr("That reading is not there any more."))
    return _with(job, readings=readings[:index] + readings[index + 1 :])


def answer_look(job: Job, tick: Tick, now: datetime) -> Job:
    """The job with that looked at; a former answer of the same room and stage goes. Raises as ``add_reading`` does."""
    _known_room(job, tick.room)
    _past(tick.at, now)
    key = (tick.what, tick.room, tick.stage)
    rest = tuple(one for one in job.site_check.ticks if (one.what, one.room, one.stage) != key)
    return _with(job, ticks=(*rest, tick))


def clear_hold(job: Job, hold: str, person: str, on: str, because: str = "") -> Job:
    """The hold taken off by a person on a day. Raises InputError without a name or without a day."""
    if not person.strip():
        raise InputError(tr("Name who clears the hold."))
    try:
        datetime.fromisoformat(on)
    except ValueError:
        raise InputError(tr("“{on}” is not a date: write it as 2031-05-20.", on=on)) from None
    rest = tuple(one for one in job.site_check.cleared if one.hold != hold)
    return _with(job, cleared=(*rest, Cleared(hold=hold, person=person.strip(), on=on, because=because)))


def hold_again(job: Job, hold: str) -> Job:
    """The hold back on."""
    return _with(job, cleared=tuple(one for one in job.site_check.cleared if one.hold != hold))


def set_stage(job: Job, stage: Stage) -> Job:
    """What the job is about to do. Raises InputError for no stage."""
    if stage not in STAGES:
        raise InputError(tr("“{stage}” is not a stage: use {stages}.", stage=stage, stages=", ".join(STAGES)))
    return _with(job, stage=stage)


def set_moisture_limit(job: Job, scale: str, most: float | None) -> Job:
    """The highest moisture that is allowed on a scale, None for none known."""
    rest = tuple(pair for pair in job.site_check.limits.moisture if pair[0] != scale)
    moisture = rest if most is None else (*rest, (scale, most))
    return _with(job, limits=msgspec.structs.replace(job.site_check.limits, moisture=moisture))


def _with(job: Job, **fields: object) -> Job:
    changed: SiteCheck = msgspec.structs.replace(job.site_check, **fields)
    return msgspec.structs.replace(job, site_check=changed)


def _known_room(job: Job, room: str | None) -> None:
    if room is not None and all(str(one.id) != room for storey in job.storeys for one in storey.rooms):
        raise InputError(tr("That room is not in the job any more: select another."))


def _past(at: str, now: datetime) -> None:
    if not at:
        return
    try:
        when = datetime.fromisoformat(at).replace(tzinfo=None)
    except ValueError:
        raise InputError(tr("“{at}” is not a date with a time: write it as 2031-05-20T07:40.", at=at)) from None
    if when > now:
        raise InputError(tr("{at} has not come yet: check the date of the reading.", at=at))
