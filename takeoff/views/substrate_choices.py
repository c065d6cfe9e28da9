"""What walls and ceilings can be said to be of: the substrates that the job's coating system knows."""

from __future__ import annotations

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.supply.systems import of_job

Choices = tuple[tuple[str, str], ...]
"""(key, words) of each."""


def substrate_choices(job: Job, unsaid: str) -> Choices:
    """Every substrate of the job's coating system, after ``unsaid`` for nobody's word; only that where the system
    cannot be read."""
    try:
        known = of_job(job).substrates
    except InputError:
        known = ()
    return (("", unsaid), *((one.id, tr(one.name)) for one in known))
