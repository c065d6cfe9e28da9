"""Edits of the site check: readings, what was looked at, holds cleared, the stage."""

from __future__ import annotations

import math
from datetime import datetime

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.plan.site_check import (
    FACES,
    LOOKED,
    POSSIBLE,
    QUANTITIES,
    STAGES,
    Cleared,
    ConditionReading,
    SiteCheck,
    SiteLimits,
    Stage,
    Tick,
)
from takeoff.plan.typed_days import in_our_time
from takeoff.units.printing import shown_short


def add_reading(job: Job, reading: ConditionReading, now: datetime) -> Job:
    """The job with one reading more. Raises InputError for a value that no instrument shows, a room that the job does
    not have, a surface of no room, a moment that is none or lies ahead of ``now``, and moisture without its scale."""
    if reading.quantity not in QUANTITIES:
        raise InputError(
            tr("“{what}” is not measured here: use {known}.", what=reading.quantity, known=", ".join(QUANTITIES))
        )
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
    """The job with that looked at; a former answer of the same room, stage and face goes, with one of all faces those
    of each. Raises InputError for what nobody looks at, and as ``add_reading`` does."""
    if tick.what not in LOOKED:
        raise InputError(tr("“{what}” is not looked at here: use {known}.", what=tick.what, known=", ".join(LOOKED)))
    if tick.face not in FACES:
        raise InputError(tr("“{face}” is no part of a room here: use walls or ceiling.", face=tick.face))
    _known_room(job, tick.room)
    _past(tick.at, now)
    if tick in job.site_check.ticks:
        return job
    key = (tick.what, tick.room, tick.stage)
    rest = tuple(
        one for one in job.site_check.ticks if (one.what, one.room, one.stage) != key or tick.face not in ("", one.face)
    )
    return _with(job, ticks=(*rest, tick))


def clear_hold(job: Job, hold: str, person: str, on: str, because: str = "") -> Job:
    """The hold taken off by a person on a day. Raises InputError without a name or without a day."""
    if not person.strip():
        raise InputError(tr("Name who clears the hold."))
    try:
        day = datetime.fromisoformat(on)
    except ValueError:
        raise InputError(tr("“{on}” is not a date: write it as 2031-05-20.", on=on)) from None
    in_our_time(day, on)
    cleared = Cleared(hold=hold, person=person.strip(), on=on, because=because.strip())
    if cleared in job.site_check.cleared:
        return job
    rest = tuple(one for one in job.site_check.cleared if one.hold != hold)
    return _with(job, cleared=(*rest, cleared))


def hold_again(job: Job, hold: str) -> Job:
    """The hold back on."""
    return _with(job, cleared=tuple(one for one in job.site_check.cleared if one.hold != hold))


def set_stage(job: Job, stage: Stage) -> Job:
    """What the job is about to do. Raises InputError for no stage."""
    if stage not in STAGES:
        raise InputError(tr("“{stage}” is not a stage: use {stages}.", stage=stage, stages=", ".join(STAGES)))
    return _with(job, stage=stage)


def set_moisture_limit(job: Job, scale: str, most: float | None) -> Job:
    """The highest moisture that is allowed on a scale, None for none known. Raises InputError without a scale, and for
    what no instrument shows."""
    if not scale.strip():
        raise InputError(tr("Moisture is read on the instrument's own scale: name the scale."))
    low, high, _ = POSSIBLE["moisture"]
    if most is not None and not low <= most <= high:
        raise InputError(
            tr("A limit lies between {low} and {high}.", low=shown_short(low, 1), high=shown_short(high, 1))
        )
    limits = job.site_check.limits
    return _with(job, limits=msgspec.structs.replace(limits, moisture=_paired(limits.moisture, scale.strip(), most)))


LIMITED: dict[str, tuple[float, float]] = {
    **{name: (low, high) for name, (low, high, _) in POSSIBLE.items() if name != "moisture"},
    "margin": (0.0, 30.0),
}
"""What a limit may be, by what it is of; ``margin``: K above the dew point (common practice, no source)."""


def set_limit(job: Job, which: str, low: float | None, high: float | None) -> Job:
    """The job's own limits of "surface", "air", "humidity", "gap" or "margin" in place of the usual ones; None: the
    usual one. Raises InputError for what has no limit, and for numbers that cannot be one."""
    if which not in LIMITED:
        raise InputError(tr("“{what}” has no limit: use {known}.", what=which, known=", ".join(LIMITED)))
    least, most = LIMITED[which]
    for value in (low, high):
        if value is not None and not least <= value <= most:
            raise InputError(
                tr("A limit lies between {low} and {high}.", low=shown_short(least, 1), high=shown_short(most, 1))
            )
    if low is not None and high is not None and low > high:
        raise InputError(tr("The lower limit lies above the upper one: swap them."))
    limits = job.site_check.limits
    changed = SiteLimits(
        low=_paired(limits.low, which, low), high=_paired(limits.high, which, high), moisture=limits.moisture
    )
    return _with(job, limits=changed)


def _paired(pairs: tuple[tuple[str, float], ...], name: str, value: float | None) -> tuple[tuple[str, float], ...]:
    """The pairs with this value for a name, None for none; in the same order where nothing changes."""
    if dict(pairs).get(name) == value:
        return pairs
    rest = tuple(pair for pair in pairs if pair[0] != name)
    return rest if value is None else (*rest, (name, value))


def _with(job: Job, **fields: object) -> Job:
    changed: SiteCheck = msgspec.structs.replace(job.site_check, **fields)
    return job if changed == job.site_check else msgspec.structs.replace(job, site_check=changed)


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
    in_our_time(when, at)
    if when > now:
        raise InputError(tr("{at} has not come yet: check the date of the reading.", at=at))
