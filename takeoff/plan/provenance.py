"""Where the figures of a job are from: which drawing each storey was found in, which rooms were read on site."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

import msgspec

from takeoff.plan.model import CameFrom, DrawingRef, Job, Room, Storey, StoreyId
from takeoff.plan.readings.put_rooms import is_budget

RoomSource = Literal["drawing", "site", "budget", "typed"]
"""Of a drawing; read on site; of length, width and height alone; drawn or typed by hand without a drawing."""


def with_origin(job: Job, ref: DrawingRef, storeys: Collection[StoreyId] | None = None) -> Job:
    """The job with those of its storeys that do not say yet where they are from being of that drawing;
    None: all of them."""
    origin = CameFrom(name=ref.name, number=ref.number, revision=ref.revision, page=ref.page)

    def of_it(storey: Storey) -> Storey:
        known = storey.came_from is not None or (storeys is not None and storey.id not in storeys)
        return storey if known else msgspec.structs.replace(storey, came_from=origin)

    return msgspec.structs.replace(job, storeys=tuple(of_it(storey) for storey in job.storeys))


def origin_of(job: Job, storey: Storey) -> CameFrom | None:
    """The drawing of a storey, with the number and revision that stand in the job now; None for one that was
    made without a drawing."""
    ref, own = job.drawing, storey.came_from
    if own is not None and (ref is None or (ref.name, ref.page) != (own.name, own.page)):
        return own
    if ref is None or (own is None and any(other.came_from is not None for other in job.storeys)):
        return None
    return CameFrom(name=ref.name, number=ref.number, revision=ref.revision, page=ref.page)


def room_source(job: Job, storey: Storey, room: Room) -> RoomSource:
    """Where a room's outline is from."""
    if is_budget(room):
        return "budget"
    if room.readings is not None:
        return "site"
    return "drawing" if origin_of(job, storey) is not None else "typed"
