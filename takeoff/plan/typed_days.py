"""A day as it is typed: one that a calendar has, and no slip of the finger."""

from __future__ import annotations

from datetime import date, datetime

from takeoff.errors import InputError
from takeoff.language import tr

YEARS = range(1900, 2201)
"""A day outside them is a slip of the finger, and calendars end not far beyond."""


def typed_day(text: str) -> date:
    """The day that ISO text names. Raises InputError for what is none, and for one of another age."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise InputError(tr("“{text}” is not a date: write it as 2031-05-20.", text=text)) from None
    in_our_time(day, text)
    return day


def in_our_time(day: date | datetime, text: str) -> None:
    """Raises InputError for a day of another age, which ``text`` named."""
    if day.year not in YEARS:
        raise InputError(
            tr("“{text}” is not in the years {first} to {last}: check it.", text=text, first=YEARS[0], last=YEARS[-1])
        )
