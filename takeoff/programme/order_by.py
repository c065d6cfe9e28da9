"""By when goods are to be ordered so that they are on site before the work begins."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

SUPPLIERS_WORK = frozenset(range(5))
"""Monday to Friday (common practice, no source)."""


def order_by(needed: date, lead_days: int, off: Collection[date] = ()) -> date:
    """The last working day on which an order is in time: the delivery takes so many working days after it and comes
    before work begins on ``needed``. ``off``: public holidays.

    Needed on Monday 2 June 2031, 5 working days: they are 26 to 30 May, so that it goes out on Friday 23 May at the
    latest. With 0 days it is the working day before.
    """
    day = needed
    for _ in range(lead_days + 1):
        day = _working_day_before(day, off)
    return day


def _working_day_before(day: date, off: Collection[date]) -> date:
    before = day - timedelta(days=1)
    while before.weekday() not in SUPPLIERS_WORK or before in off:
        before -= timedelta(days=1)
    return before
