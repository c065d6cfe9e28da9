"""What cannot be in a job, what looks wrong, and what nobody gave."""

from __future__ import annotations

from takeoff.errors import Finding
from takeoff.plan.assumptions import assumed_values
from takeoff.plan.check.identities import unplaced_picture, unsound_names
from takeoff.plan.check.opening_faults import openings_drawn_twice, unsound_openings
from takeoff.plan.check.rooms_together import openings_in_other_storeys, rooms_against_each_other, stairs_unanswered
from takeoff.plan.check.site_faults import unsound_readings
from takeoff.plan.check.treatments import unsound_treatments
from takeoff.plan.limits import unsound_numbers
from takeoff.plan.model import Job, Storey
from takeoff.plan.room_faults import Laid, ceilings_below_floors, lay_out, unsound_outlines, unsound_regions

__all__ = ["check"]


def check(job: Job) -> tuple[Finding, ...]:
    """Findings about a job, each with its place: errors first within a storey, then assumptions.

    Severity *error*: it cannot be; *check*: it can, but look at it; *assumed*: nobody gave it,
    summed up per storey. An empty job gives one finding that there is nothing to measure.
    Numbers that are none, or far outside any building, end the check: places that rest on them
    would be nonsense. Never raises for a job of the right types.
    """
    found = unsound_numbers(job)
    if any(f.severity == "error" for f in found):
        return tuple(found)
    found += unsound_names(job)
    found += unplaced_picture(job)
    for storey in job.storeys:
        found += _storey(storey)
    found += stairs_unanswered(job)
    found += openings_in_other_storeys(job)
    return tuple(found)


def _storey(storey: Storey) -> list[Finding]:
    found: list[Finding] = []
    sound: list[Laid] = []
    for room in storey.rooms:
        faults = unsound_outlines(storey, room)
        found += faults
        if any(f.severity == "error" for f in faults):
            continue
        laid = lay_out(storey, room)
        sound.append(laid)
        found += unsound_regions(laid)
        found += ceilings_below_floors(laid)
        found += unsound_treatments(laid)
    found += unsound_openings(storey, sound)
    found += openings_drawn_twice(storey, sound)
    found += rooms_against_each_other(storey, sound)
    found += unsound_readings(storey)
    found += assumed_values(storey)
    return found
