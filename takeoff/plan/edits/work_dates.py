"""Days as they are typed for what was done, and their order."""

from __future__ import annotations

from datetime import date

from takeoff.errors import InputError
from takeoff.language import date_text, tr
from takeoff.plan.typed_days import typed_day


def day_of(text: str) -> date | None:
    """The day that is written, None for "". Raises InputError for what is no day."""
    return typed_day(text) if text else None


def in_turn(earlier: str, later: str) -> None:
    """Raises InputError where ``later`` comes before ``earlier``; days that nobody gave are in turn."""
    first, second = day_of(earlier), day_of(later)
    if first is not None and second is not None and second < first:
        raise InputError(
            tr(
                "{later} comes before {earlier}, which it follows: check the date.",
                later=date_text(second),
                earlier=date_text(first),
            )
        )
