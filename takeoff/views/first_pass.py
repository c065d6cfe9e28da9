"""The first pass over a drawing: what no drawing can say, step by step, and what of it is still open."""

from __future__ import annotations

from collections.abc import Collection

import msgspec

from takeoff.measure.outline_runs import open_runs
from takeoff.plan.model import Job, Room, RoomId, Storey
from takeoff.supply.systems import of_job
from takeoff.views.drawing_asks import steps


class PassStep(msgspec.Struct, frozen=True):
    """A step: its key, what it is called, and how much of it is still open; ``says``: that in words."""

    key: str
    title: str
    left: int
    says: str


def pass_steps(job: Job, size_in_doubt: bool, nameless: Collection[RoomId] = ()) -> tuple[PassStep, ...]:
    """The steps in their order. ``nameless``: rooms that the user leaves without a name."""
    heights = sum(storey.height_source == "assumed" for storey in job.storeys)
    kinds = len(steps(job))
    names = len(unnamed_rooms(job, nameless))
    runs = len(open_runs(job))
    return (
        PassStep("size", "Unit and scale", int(size_in_doubt), "in doubt" if size_in_doubt else "known"),
        PassStep("heights", "Storey heights", heights, _counted(heights, "assumed", "known")),
        PassStep("kinds", "Rooms and openings", kinds, _counted(kinds, "to answer", "all answered")),
        PassStep("names", "Names of rooms", names, _counted(names, "without", "all named")),
        PassStep("beyond", "Behind outside walls", runs, _counted(runs, "to answer", "all answered")),
        PassStep("product", "Product", int(_invented(job)), "invented example" if _invented(job) else "chosen"),
    )


def _counted(count: int, what: str, none: str) -> str:
    return f"{count} {what}" if count else none


def _invented(job: Job) -> bool:
    from takeoff.errors import InputError

    try:
        return of_job(job).demo
    except InputError:
        return True


def unnamed_rooms(job: Job, nameless: Collection[RoomId] = ()) -> tuple[tuple[Storey, Room], ...]:
    """The rooms without a name, storey by storey as one walks through: from the top left, line by line."""
    found = []
    for storey in job.storeys:
        own = [room for room in storey.rooms if not room.name and room.id not in nameless]
        found += [(storey, room) for room in sorted(own, key=_reading_order)]
    return tuple(found)


LINE_MM = 2500.0
"""Rooms whose tops lie within so much stand in one line."""


def _reading_order(room: Room) -> tuple[float, float]:
    top, left = max(side.y_mm for side in room.outline), min(side.x_mm for side in room.outline)
    return -round(top / LINE_MM), left
