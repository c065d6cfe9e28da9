"""Sheets of a plan in feet: lengths in feet and inches, areas in square feet beside the metric ones.

Dimensions and the order stay metric, as the coating system is; what is read on site is in the plan's own unit.
"""

from __future__ import annotations

from takeoff.plan.model import Job
from takeoff.units.printing import feet_inches, fmt2

_UNITS = frozenset({"ft", "in", "yd", "us_ft", "us_in", "us_yd"})


def in_feet(job: Job) -> bool:
    """Whether all drawings of a job are in feet or inches; without drawings, whether all its rooms were surveyed so."""
    if job.drawings:
        return all(drawing.unit in _UNITS for drawing in job.drawings)
    readings = [room.readings for storey in job.storeys for room in storey.rooms if room.readings is not None]
    return bool(readings) and all(read.unit == "ft" for read in readings)


def length_words(length_mm: float, feet: bool) -> str:
    """ "2.40 m"; 7'-10 1/2" (2.40 m) for a plan in feet."""
    metric = f"{fmt2(length_mm / 1000.0)} m"
    return f"{feet_inches(length_mm)} ({metric})" if feet else metric
