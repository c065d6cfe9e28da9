"""The last day on which an order is in time, counted on a calendar by hand."""

from __future__ import annotations

from datetime import date

import pytest

from takeoff.programme.order_by import order_by
from takeoff.programme.work_calendar import public_holidays

MONDAY = date(2031, 6, 2)


@pytest.mark.parametrize(
    ("lead", "latest"),
    [
        (0, date(2031, 5, 30)),  # the Friday before
        (1, date(2031, 5, 29)),  # delivered on Friday
        (4, date(2031, 5, 26)),  # delivered Tuesday to Friday: goes out on Monday
        (5, date(2031, 5, 23)),  # the whole week before: goes out on the Friday before that
        (10, date(2031, 5, 16)),
    ],
)
def test_working_days_before_a_monday(lead: int, latest: date) -> None:
    assert order_by(MONDAY, lead) == latest


def test_work_that_begins_on_a_sunday_is_delivered_before_the_weekend() -> None:
    assert order_by(date(2031, 6, 1), 1) == date(2031, 5, 29)


def test_public_holidays_are_no_days_of_delivery() -> None:
    # Whit Monday 2 June 2031 in Germany, and Ascension Day on 22 May
    off = public_holidays("DE", [2031])
    assert {date(2031, 5, 22), date(2031, 6, 2)} <= off
    assert order_by(date(2031, 6, 3), 2, off) == date(2031, 5, 28)  # delivered Thursday and Friday
    assert order_by(date(2031, 5, 26), 2, off) == date(2031, 5, 20)  # Wednesday and Friday, Thursday is off
