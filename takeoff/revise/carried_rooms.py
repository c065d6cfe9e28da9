"""Rooms on their way into the new job, and the ids that what is new in it gets."""

from __future__ import annotations

from typing import NamedTuple

from takeoff.plan.edits.lookup import all_openings, fresh_number
from takeoff.plan.model import Job, OpeningId, Room, RoomId
from takeoff.revise.matching import RoomPair


class Ids:
    """Fresh ids for rooms and openings of a job, in a fixed order."""

    def __init__(self, job: Job) -> None:
        self.rooms = {str(room.id) for storey in job.storeys for room in storey.rooms}
        self.openings = {str(o.id) for o in all_openings(job)}

    def room(self) -> RoomId:
        """One that no room has."""
        found = fresh_number(list(self.rooms), "r")
        self.rooms.add(found)
        return RoomId(found)

    def opening(self) -> OpeningId:
        """One that no opening and no rooflight has."""
        found = fresh_number(list(self.openings), "o")
        self.openings.add(found)
        return OpeningId(found)


class Home(NamedTuple):
    """A room as it is now, with what became of it: the new drawing's room (None: it stays as it was) and the pair."""

    room: Room
    drawn: Room | None
    pair: RoomPair
