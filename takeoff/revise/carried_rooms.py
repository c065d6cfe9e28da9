"""Rooms on their way into the new job, what becomes of those of the job, and the ids that what is new in it gets."""

from __future__ import annotations

from collections.abc import Container
from typing import NamedTuple

from takeoff.plan.edits.lookup import all_openings, fresh_number
from takeoff.plan.model import Job, OpeningId, Room, RoomId, SideId
from takeoff.revise.matching import RoomPair
from takeoff.revise.stretches import Along

Walls = dict[tuple[RoomId, SideId], list[tuple[RoomId, SideId]]]
"""By (room, side) of the job, the sides that it is now."""


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


class Fate(NamedTuple):
    """What became of the job's rooms and walls. ``walls``: what sides are now; ``joined``: rooms that became a part of
    another; ``parts``: rooms cut off, with the room that they were cut off; ``alongs``: how sides of now lie along
    what they were; ``drawn``: rooms of the job whose storey has a new drawing."""

    walls: Walls
    joined: dict[RoomId, RoomId]
    parts: dict[RoomId, RoomId]
    alongs: dict[tuple[RoomId, SideId], Along]
    drawn: set[RoomId]

    def add(self, other: Fate) -> None:
        """What became of another storey's rooms too."""
        self.walls.update(other.walls)
        self.joined.update(other.joined)
        self.parts.update(other.parts)
        self.alongs.update(other.alongs)
        self.drawn.update(other.drawn)

    def sides(self, room: RoomId, side: SideId) -> list[tuple[RoomId, SideId]]:
        """What a side is now; empty where it is gone."""
        return self.walls.get((room, side), []) if room in self.drawn else [(room, side)]

    def homes(self, room: RoomId, there: Container[RoomId]) -> list[RoomId]:
        """Where what was said of a room is said now: the room itself and what was cut off it, else the one that it is
        a part of now; empty where it is gone."""
        if room in there:
            return [room, *(part for part, of in self.parts.items() if of == room and part in there)]
        into = self.joined.get(room)
        return [into] if into is not None and into in there else []
