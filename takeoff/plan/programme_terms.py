"""When a job is worked, as the contractor set it: part of the job file. Days are ISO dates, hours "08:00"."""

from __future__ import annotations

from takeoff.plan.price_terms import WorkItem
from takeoff.plan.values import Value

TEAM = "team"
"""The crew that does what no other crew does."""


class Crew(Value, frozen=True):
    """People beside the team; ``works``: what they alone do."""

    name: str
    people: int = 1
    works: tuple[WorkItem, ...] = ()


class Airing(Value, frozen=True):
    """By what water dries out: °C and relative humidity in per cent inside and outside, air changes an hour.

    As they stand, a winter's day (common practice, no source)."""

    inside_c: float = 20.0
    inside_percent: float = 60.0
    outside_c: float = 5.0
    outside_percent: float = 80.0
    changes_h: float = 0.5


class ProgrammeTerms(Value, frozen=True):
    """``start`` "": not set, and no dates are given. ``days``: 0 is Monday. ``country`` and ``part``: whose public
    holidays count (ISO 3166), "" for none; ``off``: days off besides. ``rate_m2_h`` and ``working_min``: how fast one
    person coats, and how long the coat can be worked; 0: as usual. ``people`` are the team; ``crews`` work beside it.
    ``together``: how many of a crew work on one thing in one room, fewer where the crew has no more.
    ``lived_in``: ids of rooms that are given back by night. ``holds_until``: the day by which holds will be cleared,
    "" where nobody knows. ``dryer_l_day``: what the dehumidifier takes out of the air in a day, 0 for none."""

    start: str = ""
    people: int = 1
    together: int = 1
    begins: str = "08:00"
    ends: str = "16:00"
    days: tuple[int, ...] = (0, 1, 2, 3, 4)
    country: str = ""
    part: str = ""
    off: tuple[str, ...] = ()
    rate_m2_h: float = 0.0
    working_min: float = 0.0
    crews: tuple[Crew, ...] = ()
    lived_in: tuple[str, ...] = ()
    holds_until: str = ""
    airing: Airing = Airing()
    dryer_l_day: float = 0.0
