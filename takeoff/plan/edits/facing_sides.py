"""Sides of two rooms that lie on each other, or face each other across a wall."""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.plan.edits.lookup import ring_of, room_of, room_place, side_place
from takeoff.plan.model import Job, Room, RoomId, Side, SideId
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.shape import curves_of

replace = msgspec.structs.replace


THICKEST_WALL_MM = 700.0
"""Rooms further apart than this are not joined: there is more than a wall between them."""


_NEARLY_ANTIPARALLEL = math.cos(math.radians(179.0))


class Facing(NamedTuple):
    """Straight sides of two rooms that look away from each other: what lies over what, mm along each."""

    one: SideId
    one_from: float
    one_to: float
    other: SideId
    other_from: float
    other_to: float
    apart: float


def facing_sides(one: Room, other: Room) -> list[Facing]:
    """Sides of two rooms that lie on each other or look away from each other across a wall, in the order
    of the first room's; none where the rooms are no neighbours."""
    found = []
    for a, ca in zip(one.outline, curves_of(one.outline), strict=True):
        for b, cb in zip(other.outline, curves_of(other.outline), strict=True):
            pair = _over(a, ca, b, cb)
            if pair is not None:
                found.append(pair)
    return found


def _over(a: Side, ca: Curve, b: Side, cb: Curve) -> Facing | None:
    if ca.bulge or cb.bulge:
        same = math.dist((ca.x0, ca.y0), (cb.x1, cb.y1)) + math.dist((ca.x1, ca.y1), (cb.x0, cb.y0))
        if same <= SAME_MM and abs(ca.bulge + cb.bulge) * ca.length <= SAME_MM:
            return Facing(a.id, 0.0, ca.length, b.id, 0.0, cb.length, 0.0)
        return None
    if ca.dx * cb.dx + ca.dy * cb.dy > _NEARLY_ANTIPARALLEL:
        return None
    start, end = (ca.where(cb.x1, cb.y1)[0], ca.where(cb.x0, cb.y0)[0])
    lo, hi = max(0.0, start), min(ca.length, end)
    if hi - lo <= SAME_MM:
        return None
    x, y = ca.at((lo + hi) / 2.0)
    t, apart = cb.where(x, y)
    # a room lies to the left of its sides: the wall between them is on the right of both
    px, py = cb.at(t)
    on_right = (px - x) * ca.dy - (py - y) * ca.dx
    if apart > THICKEST_WALL_MM or on_right < -SAME_MM:
        return None
    return Facing(a.id, lo, hi, b.id, cb.where(*ca.at(hi))[0], cb.where(*ca.at(lo))[0], apart)


def partners(job: Job, room_id: RoomId, side_id: SideId) -> list[tuple[Room, Facing]]:
    """The other rooms' sides that face a side across a wall, or lie on it."""
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    left, low, right, high = curves_of(ring_of(room, number))[index].box
    far = THICKEST_WALL_MM

    def near(other: Room) -> bool:
        xs, ys = [s.x_mm for s in other.outline], [s.y_mm for s in other.outline]
        return min(xs) <= right + far and max(xs) >= left - far and min(ys) <= high + far and max(ys) >= low - far

    return [
        (other, f)
        for other in _others(job, room_id)
        if near(other)
        for f in facing_sides(room, other)
        if f.one == side_id
    ]


def _others(job: Job, room_id: RoomId) -> list[Room]:
    s, _ = room_place(job, room_id)
    return [room for room in job.storeys[s].rooms if room.id != room_id]
