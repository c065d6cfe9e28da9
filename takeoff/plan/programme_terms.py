"""When a job is worked, as the contractor set it: part of the job file. Days are ISO dates, hours "08:00"."""

from __future__ import annotations

from takeoff.plan.values import Value


class ProgrammeTerms(Value, frozen=True):
    """``start`` "": not set, and no dates are given. ``days``: 0 is Monday. ``country`` and ``part``: whose public
    holidays count (ISO 3166), "" for none; ``off``: days off besides. ``rate_m2_h`` and ``working_min``: how fast one
    person coats, and how long the coat can be worked; 0: as usual."""

    start: str = ""
    people: int = 1
    begins: str = "08:00"
    ends: str = "16:00"
    days: tuple[int, ...] = (0, 1, 2, 3, 4)
    country: str = ""
    part: str = ""
    off: tuple[str, ...] = ()
    rate_m2_h: float = 0.0
    working_min: float = 0.0
