"""When work is done: hours of the day, days of the week, public holidays (the holidays library), days off.

Moments are datetimes without a zone, in the site's own time. Drying goes on by the clock; work only in these hours.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.language import tr

FARTHEST_DAYS = 3660
"""A programme that finds no working day within ten years has none."""


class WorkCalendar(NamedTuple):
    """``days``: 0 is Monday. ``off``: days on which nobody works, holidays among them. ``night`` to ``morning``: when
    people sleep in the rooms that they live in."""

    begins: time = time(8)
    ends: time = time(16)
    days: frozenset[int] = frozenset(range(5))
    off: frozenset[date] = frozenset()
    night: time = time(20)
    morning: time = time(7)

    @property
    def hours(self) -> float:
        """Hours of a working day."""
        return (self.ends.hour - self.begins.hour) + (self.ends.minute - self.begins.minute) / 60.0

    def works(self, day: date) -> bool:
        """Whether anybody works that day."""
        return day.weekday() in self.days and day not in self.off

    def opening(self, moment: datetime) -> datetime:
        """The first moment of work at or after that one. Raises InputError where no day is worked."""
        for ahead in range(FARTHEST_DAYS):
            day = moment.date() + timedelta(days=ahead)
            start, end = datetime.combine(day, self.begins), datetime.combine(day, self.ends)
            if self.works(day) and max(moment, start) < end:
                return max(moment, start)
        raise InputError(tr("No day is worked in ten years: set working days and hours."))

    def closing(self, moment: datetime) -> datetime:
        """When work ends on the day of that moment."""
        return datetime.combine(moment.date(), self.ends)


def made(begins: time, ends: time, days: Iterable[int], off: Iterable[date] = ()) -> WorkCalendar:
    """A calendar that has time to work in. Raises InputError for one without hours or days."""
    calendar = WorkCalendar(begins, ends, frozenset(days), frozenset(off))
    if calendar.hours <= 0:
        raise InputError(tr("A working day ends after it begins: set its hours."))
    if not calendar.days or not calendar.days <= frozenset(range(7)):
        raise InputError(tr("No day of the week is worked: select at least one."))
    return calendar


def public_holidays(country: str, years: Iterable[int], part: str = "") -> frozenset[date]:
    """Public holidays of a country (ISO 3166, "DE"), and of one of its parts ("BY"). Raises InputError for one that
    the library does not know."""
    import holidays

    try:
        return frozenset(holidays.country_holidays(country, subdiv=part or None, years=list(years)))
    except NotImplementedError:
        where = (f"{country}-{part}" if part else country)[:20]
        raise InputError(
            tr(
                "Public holidays of “{where}” are not known: choose another country, or enter the days off.",
                where=where,
            )
        ) from None
