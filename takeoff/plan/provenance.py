"""Where a room is from: found in a drawing, read on site, or drawn and typed by hand."""

from __future__ import annotations

from typing import Literal

from takeoff.plan.job_drawings import origin_of
from takeoff.plan.model import Job, Room, Storey
from takeoff.plan.readings.put_rooms import is_budget

RoomSource = Literal["drawing", "site", "budget", "typed"]
"""Of a drawing; read on site; of length, width and height alone; drawn or typed by hand without a drawing."""


def room_source(job: Job, storey: Storey, room: Room) -> RoomSource:
    """Where a room's outline is from."""
    if is_budget(room):
        return "budget"
    if room.readings is not None:
        return "site"
    return "drawing" if origin_of(job, storey) is not None else "typed"
