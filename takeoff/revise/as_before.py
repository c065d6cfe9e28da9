"""What of a new drawing is as the job's own drawing has it: there the designer changed nothing.

What is otherwise in the job there was set by hand: walls that were moved, rooms that were parted, joined, taken out or
put in, openings likewise. It stays.
"""

from __future__ import annotations

from collections import Counter
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
    shapes = [outer_polygon(room) for room in drawn.rooms]
    tree = shapely.STRtree(shapes)

    def known(room: Room) -> bool:
        mine = outer_polygon(room)
        return any(_iou(mine, shapes[k]) >= FITS_IOU for k in tree.query(mine).tolist())

    def again(room: Room) -> Room | None:
        near = (drawn.rooms[k] for k in tree.query(outer_polygon(room)).tolist())
        return next((own for own in near if same_rings(own, room) is not None), None)

    if sum(map(known, old.rooms)) < LEAST_KNOWN * len(old.rooms):
        return None
    rooms = {room.id: own.id for room in new.rooms if (own := again(room)) is not None}
    openings = _openings_again(placed_openings(drawn), placed_openings(new))
    own_counts, new_counts = (Counter(o.room for o in storey.openings) for storey in (drawn, new))
    moved = {o.room for o in new.openings if o.id not in openings}
    still = frozenset(room for room, own in rooms.items() if room not in moved and new_counts[room] == own_counts[own])
    by_hand = frozenset(room.id for room in old.rooms if again(room) is None)
    return AsBefore(drawn, frozenset(rooms), openings, still, by_hand)


def _openings_again(mine: Sequence[Placed], theirs: Sequence[Placed]) -> frozenset[OpeningId]:
    """Openings of the new drawing whose jambs are where those of one of the job's own drawing are."""
    if not mine or not theirs:
        return frozenset()
    tree = shapely.STRtree([shapely.Point(one.middle) for one in mine])
    found = set()
    for one in theirs:
        x, y = one.middle
        near = tree.query(shapely.box(x - SAME_PLACE_MM, y - SAME_PLACE_MM, x + SAME_PLACE_MM, y + SAME_PLACE_MM))
        if any(_same_place(one, mine[k]) for k in near.tolist()):
            found.add(one.opening.id)
    return frozenset(found)


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


def _iou(one: shapely.Polygon, other: shapely.Polygon) -> float:
    shared = one.intersection(other).area
    return float(shared / (one.area + other.area - shared)) if shared > 0.0 else 0.0


def _same_place(one: Placed, other: Placed) -> bool:
    if one.opening.kind != other.opening.kind:
        return False
    ends = np.array([one.start, one.end])
    theirs = np.array([other.start, other.end])
    return any(bool(np.abs(ends - way).max() <= SAME_PLACE_MM) for way in (theirs, theirs[::-1]))
