"""How the work goes day by day: gauge readings, litres per m² so far against the plan, what the rest will need.

It never changes the coating system: a contractor's own consumption is proposed out of jobs that are done.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta

import msgspec

from takeoff.account.bought import there
from takeoff.account.usual_terms import usual
from takeoff.plan.edits.progress_edits import stage_of
from takeoff.plan.model import Job
from takeoff.plan.work_records import ROOM_STAGES
from takeoff.programme.order_by import order_by
from takeoff.programme.work_calendar import WorkCalendar
from takeoff.supply.systems import CoatingSystem, products_by_line

COAT = "coat"
COATED_FROM = ROOM_STAGES.index("coat")


class RoomReadings(msgspec.Struct, frozen=True):
    """What the gauge said in a room, mm: mean and least, None without a reading. ``thin``: the least is told."""

    room: str
    readings: int
    mean_mm: float | None
    least_mm: float | None
    least_at: str
    thin: bool
    litres: float
    hours: float


class Progress(msgspec.Struct, frozen=True):
    """All rooms, and the coat as a whole. ``per_m2``: litres opened per m² of rooms that are coated, None before the
    first; ``planned_per_m2``: by the order; ``rest_m2``, ``rest_l``: what is left to coat and what it will need at the
    rate so far; ``there_l``: litres that are there unopened or on their way. ``pace_m2``: m² a day that were coated so
    far; ``lasts_until``: the last day of work that what is there serves, at that pace; ``order_by``: the last day on
    which an order comes in time. These three are None where enough is there or the pace is not known. ``last_day``:
    the last on which a tub was opened, None before the first."""

    rooms: tuple[RoomReadings, ...]
    coated_m2: float
    litres: float
    per_m2: float | None
    planned_per_m2: float | None
    rest_m2: float
    rest_l: float
    there_l: float
    pace_m2: float | None
    lasts_until: date | None
    order_by: date | None
    last_day: date | None

    @property
    def lacking_l(self) -> float:
        """Litres that are lacking for the rest; 0 where enough is there."""
        return max(0.0, self.rest_l - self.there_l)


EVERY_WEEKDAY = WorkCalendar()
_WHOLE_DAY = 1e-9


def progress_of(
    job: Job,
    system: CoatingSystem,
    coated_m2: Mapping[str, float],
    need_l: float,
    calendar: WorkCalendar = EVERY_WEEKDAY,
    lead_days: int = 0,
) -> Progress:
    """The job's progress. ``coated_m2``: what each room has to coat, all its copies; ``need_l``: litres of coat that
    the order needs for all of it; ``calendar``: when the job is worked on; ``lead_days``: working days from an order of
    the coat to its delivery, 0: those that are usual."""
    packs = {pack.name: pack.size for pack in products_by_line(system)[COAT].packs}
    rooms = tuple(_room(job, room, packs, system.coat.thickness_mm / system.coat.layers) for room in coated_m2)
    done = {room for room in coated_m2 if ROOM_STAGES.index(stage_of(job, room)) >= COATED_FROM}
    begun = {one.room for one in rooms if one.litres}
    known = {room for room in done if room in begun}
    area, all_m2 = math.fsum(coated_m2[room] for room in known), math.fsum(coated_m2.values())
    litres = math.fsum(one.litres for one in rooms if one.room in known)
    opened = math.fsum(one.litres for one in rooms)
    planned = need_l / all_m2 if all_m2 else None
    rate = litres / area if area else None
    rest = math.fsum(m2 for room, m2 in coated_m2.items() if room not in done)
    # what is opened in a room that is not coated yet is still to be used there
    half = math.fsum(one.litres for one in rooms if one.room not in done)
    rest_l = max(0.0, rest * (rate or planned or 0.0) - half)
    supplied = math.fsum(there(job.work, COAT, name) * size for name, size in packs.items())
    spare = max(0.0, supplied - opened)
    days = _days_of(job, packs, known)
    pace = area / len(days) if days else None
    every = _days_of(job, packs, set(coated_m2))
    lasts, latest = None, None
    if rate and pace and rest_l > spare:
        lasts, needed = _used_up((spare + half) / rate / pace, max(every), calendar)
        latest = order_by(needed, lead_days or usual().lead_days.days, calendar.off)
    last = max(every, default=None)
    return Progress(
        rooms, area, litres, rate, planned, rest, rest_l, spare, pace if latest else None, lasts, latest, last
    )


def _used_up(days: float, last: date, calendar: WorkCalendar) -> tuple[date, date]:
    """The last day of work that so many days' coat serves after a day, and the next one, on which more is needed."""
    day, left = last, math.floor(days + _WHOLE_DAY)
    for _ in range(left):
        day = _next_day(day, calendar)
    return day, _next_day(day, calendar)


def _next_day(day: date, calendar: WorkCalendar) -> date:
    return calendar.opening(datetime.combine(day + timedelta(days=1), calendar.begins)).date()


def _days_of(job: Job, packs: Mapping[str, float], rooms: Collection[str]) -> set[date]:
    """The days on which coat was opened in these rooms."""
    return {
        date.fromisoformat(day.on)
        for day in job.work.days
        if day.room in rooms and any(tub.item == COAT and packs.get(tub.pack) for tub in day.opened)
    }


def _room(job: Job, room: str, packs: Mapping[str, float], layer_mm: float) -> RoomReadings:
    # a wet-film gauge reads the layer that goes on now
    days = [day for day in job.work.days if day.room == room]
    readings = [reading for day in days for reading in day.readings]
    least = min(readings, key=lambda one: one.mm, default=None)
    litres = math.fsum(tub.count * packs.get(tub.pack, 0.0) for day in days for tub in day.opened if tub.item == COAT)
    return RoomReadings(
        room,
        len(readings),
        math.fsum(one.mm for one in readings) / len(readings) if readings else None,
        least.mm if least else None,
        least.place if least else "",
        least is not None and least.mm < usual().thin.part * layer_mm,
        litres,
        math.fsum(day.hours for day in days),
    )


class OwnConsumption(msgspec.Struct, frozen=True):
    """Litres per m² over jobs whose rooms are coated, and how many m² and jobs stand behind it."""

    system: str
    per_m2: float
    planned_per_m2: float
    m2: float
    jobs: int


def own_consumption(progress: Sequence[tuple[str, Progress]]) -> tuple[OwnConsumption, ...]:
    """The consumption of each coating system over jobs, by what was opened in rooms that are coated. Jobs without any
    are passed over; empty where none is left."""
    found = []
    for system in dict.fromkeys(name for name, _ in progress):
        own = [one for name, one in progress if name == system and one.coated_m2 and one.planned_per_m2]
        area = math.fsum(one.coated_m2 for one in own)
        if area:
            planned = math.fsum((one.planned_per_m2 or 0.0) * one.coated_m2 for one in own) / area
            found.append(OwnConsumption(system, math.fsum(one.litres for one in own) / area, planned, area, len(own)))
    return tuple(found)
