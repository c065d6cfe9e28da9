"""What of a new drawing is as the job's own drawing has it: there the designer changed nothing.

What is otherwise in the job there was set by hand: walls that were moved, rooms that were parted, joined, taken out or
put in, openings likewise. It stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from takeoff.plan.model import OpeningId, Room, RoomId, Storey
from takeoff.plan.shape import outer_polygon
from takeoff.revise.matching import OPENING_FAR_MM, Placed, RoomPair, placed_openings, same_rings
from takeoff.revise.placement import FITS_IOU

SAME_PLACE_MM = 2.0
"""Jambs within this are where they were, in two readings of one drawing."""
LEAST_KNOWN = 0.5
"""Of the job's rooms so many are to be those of its own drawing; else it lies elsewhere and tells nothing."""


class AsBefore(NamedTuple):
    """``storey``: as the job's own drawing gives it; ``rooms``, ``openings``: those of the new drawing that are as they
    are there; ``still``: rooms of which the openings are so too; ``set_by_hand``: rooms of the job of which the outline
    is another one."""

    storey: Storey
    rooms: frozenset[RoomId]
    openings: frozenset[OpeningId]
    still: frozenset[RoomId]
    set_by_hand: frozenset[RoomId]

    def has_room(self, room: Room) -> bool:
        """Whether the job's own drawing has a room there."""
        mine = outer_polygon(room)
        return any(_iou(mine, outer_polygon(own)) >= FITS_IOU for own in self.storey.rooms)

    def has_opening(self, one: Placed) -> bool:
        """Whether the job's own drawing has an opening about there."""
        x, y = one.middle
        return any(
            abs(own.middle[0] - x) <= OPENING_FAR_MM and abs(own.middle[1] - y) <= OPENING_FAR_MM
            for own in placed_openings(self.storey)
        )


def as_before(drawn: Storey | None, old: Storey, new: Storey) -> AsBefore | None:
    """What of a new storey is as the job's own drawing has it; None where that is not known. ``drawn``: the job's
    storey as its drawing gives it, where it lies in the job."""
    if drawn is None or not drawn.rooms or not old.rooms:
        return None
    known = sum(
        any(_iou(outer_polygon(room), outer_polygon(own)) >= FITS_IOU for own in _near(drawn, room))
        for room in old.rooms
    )
    if known < LEAST_KNOWN * len(old.rooms):
        return None
    rooms = frozenset(
        room.id for room in new.rooms if any(same_rings(own, room) is not None for own in _near(drawn, room))
    )
    placed = placed_openings(drawn)
    openings = frozenset(one.opening.id for one in placed_openings(new) if any(_same_place(one, own) for own in placed))
    by_hand = frozenset(
        room.id for room in old.rooms if all(same_rings(own, room) is None for own in _near(drawn, room))
    )
    return AsBefore(drawn, rooms, openings, _still(drawn, new, rooms, openings), by_hand)


def held(pairs: Sequence[RoomPair], before: AsBefore) -> tuple[set[str], list[Room]]:
    """Rooms of the job that stay as somebody set them, by their ids, and rooms of the new drawing that stay out of the
    job as somebody took them out."""
    stay: set[str] = set()
    out: list[Room] = []
    for pair in pairs:
        if pair.new is None:
            if pair.old is not None and pair.kind == "omitted" and not before.has_room(pair.old):
                stay.add(str(pair.old.id))
        elif pair.old is None:
            if pair.new.id in before.rooms:
                out.append(pair.new)
        elif pair.main and all(room.id in before.still for room in (pair.new, *pair.beside)):
            if pair.kind == "kept" and same_rings(pair.old, pair.new) is not None:
                continue
            stay |= {str(room.id) for room in (pair.old, *pair.others)}
    return stay, out


def _still(drawn: Storey, new: Storey, rooms: frozenset[RoomId], openings: frozenset[OpeningId]) -> frozenset[RoomId]:
    """Rooms that are as they were, with all their openings and no other ones."""
    counts = {room.id: sum(o.room == room.id for o in drawn.openings) for room in drawn.rooms}
    found = set()
    for room in new.rooms:
        if room.id not in rooms:
            continue
        own = [o for o in new.openings if o.room == room.id]
        was = next(r for r in _near(drawn, room) if same_rings(r, room) is not None)
        if all(o.id in openings for o in own) and len(own) == counts[was.id]:
            found.add(room.id)
    return frozenset(found)


def _near(storey: Storey, room: Room) -> list[Room]:
    """Rooms of a storey whose boxes meet that of a room."""
    low, high = _box(room)
    return [own for own in storey.rooms if _meets(_box(own), (low, high))]


Corner = tuple[float, float]


def _box(room: Room) -> tuple[Corner, Corner]:
    xs, ys = [side.x_mm for side in room.outline], [side.y_mm for side in room.outline]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _meets(one: tuple[Corner, Corner], other: tuple[Corner, Corner]) -> bool:
    return all(one[0][k] <= other[1][k] and other[0][k] <= one[1][k] for k in (0, 1))


def _iou(one: shapely.Polygon, other: shapely.Polygon) -> float:
    shared = one.intersection(other).area
    return float(shared / (one.area + other.area - shared)) if shared > 0.0 else 0.0


def _same_place(one: Placed, other: Placed) -> bool:
    if one.opening.kind != other.opening.kind:
        return False
    ends = np.array([one.start, one.end])
    theirs = np.array([other.start, other.end])
    return any(bool(np.abs(ends - way).max() <= SAME_PLACE_MM) for way in (theirs, theirs[::-1]))
