"""What a programme means for each room: its days, how long it stands wet, when it is given back and decorated.

A room that people live in is out of use in a night in which it stands wet; a room is given back when it is cleaned.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple

from takeoff.programme.list_schedule import Planned, Programme
from takeoff.programme.work_calendar import WorkCalendar

Span = tuple[datetime, datetime]


class RoomDays(NamedTuple):
    """One room, or one copy of it. ``drying``: from the end of wet work until the next can go on. ``decorate``: when
    it may be decorated. ``nights``: those in which it stands wet, told where ``lived_in``."""

    chain: str
    room: str
    begins: datetime
    given_back: datetime
    work: tuple[Span, ...]
    drying: tuple[Span, ...]
    decorate: datetime
    nights: tuple[date, ...]
    lived_in: bool


def room_days(
    programme: Programme, calendar: WorkCalendar, before_decoration_h: float, lived_in: frozenset[str] = frozenset()
) -> tuple[RoomDays, ...]:
    """Every room in the order in which it is begun. ``lived_in``: chains of rooms that people live in."""
    chains: dict[str, list[Planned]] = {}
    for planned in programme.planned:
        chains.setdefault(planned.activity.chain, []).append(planned)
    return tuple(_days(chain, own, calendar, before_decoration_h, chain in lived_in) for chain, own in chains.items())


def _days(
    chain: str, own: Sequence[Planned], calendar: WorkCalendar, before_decoration_h: float, lived_in: bool
) -> RoomDays:
    wet = [one for one in own if one.activity.wet_h > 0]
    drying = tuple((one.end, one.end + timedelta(hours=one.activity.wet_h)) for one in wet)
    last = max((one.end for one in wet), default=own[-1].end)
    nights = {night for one in wet for night in _nights(one.start, _dry(one), calendar)}
    back = max(one.end for one in own)
    return RoomDays(
        chain,
        own[0].activity.room,
        own[0].start,
        back,
        tuple(part for one in own for part in one.parts),
        drying,
        max(back, last + timedelta(hours=before_decoration_h)) if wet else back,
        tuple(sorted(nights)),
        lived_in,
    )


def _dry(one: Planned) -> datetime:
    return one.end + timedelta(hours=one.activity.wet_h)


def _nights(start: datetime, end: datetime, calendar: WorkCalendar) -> list[date]:
    """The days in whose night something is wet that is so from ``start`` to ``end``."""
    found = []
    day = start.date() - timedelta(days=1)
    while day <= end.date():
        night = datetime.combine(day, calendar.night)
        morning = datetime.combine(day + timedelta(days=1), calendar.morning)
        if start < morning and end > night:
            found.append(day)
        day += timedelta(days=1)
    return found
