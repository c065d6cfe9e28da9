"""What covers a part of walls and is not coated: fitted units from here to there, tiles to a height."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.edits.coats import add_exclusion, new_exclusion_id, remove_exclusion
from takeoff.plan.edits.lookup import finite, ring_of, room_of, room_place, side_place
from takeoff.plan.edits.parts.places import OnWall, longer_than_nothing
from takeoff.plan.model import Exclusion, Job, Room, RoomId, Side, SideId
from takeoff.plan.shape import ceiling_height, curves_of, floor_height

_BESIDE_MM = 0.5
"""Floor and ceiling are looked at so far inside of the wall."""

_LOOKED = 8
"""The ceiling is looked at in so many steps along a wall: what sticks out above it is cut off anyway."""


def fitted_units(
    job: Job, start: OnWall, end: OnWall, height_mm: float, from_mm: float = 0.0, what: str = "units"
) -> Job:
    """Units from one place on the walls of a room to another, the shorter way round its corners, from
    ``from_mm`` to ``height_mm`` above the floor: the walls behind them are left out.

    Raises InputError for places in different rooms or rings, and for units of no size.
    """
    _stands(from_mm, height_mm)
    if start.room != end.room:
        raise InputError("Units run along the walls of one room: click both ends in it.")
    room = room_of(job, start.room)
    ring_a, ring_b = (side_place(room, place.side)[0] for place in (start, end))
    if ring_a != ring_b:
        raise InputError("One end is at a pier and the other at a wall: click both at the same.")
    stretches = [s for s in _between(room, ring_a, start, end) if s[0].has_wall]
    if not stretches:
        raise InputError("Units are wider than nothing: click where they begin and where they end.")
    after = job
    for side, curve, u0, u1 in stretches:
        after = _covered(after, room, side, curve, (u0, u1), (from_mm, height_mm), what)
    return _fitted(job, after, what)


def _between(room: Room, number: int, start: OnWall, end: OnWall) -> list[tuple[Side, Curve, float, float]]:
    """The stretches of walls from one place to the other, the shorter way round."""
    ring = ring_of(room, number)
    curves = curves_of(ring)
    ways = [list(_way(ring, curves, one, other)) for one, other in ((start, end), (end, start))]
    return min(ways, key=lambda way: sum(u1 - u0 for _, _, u0, u1 in way))


def _way(
    ring: tuple[Side, ...], curves: list[Curve], start: OnWall, end: OnWall
) -> Iterator[tuple[Side, Curve, float, float]]:
    """The stretches in the order of the ring."""
    names = [side.id for side in ring]
    index, last = names.index(start.side), names.index(end.side)
    at = start.along_mm
    first = True
    while True:
        curve = curves[index]
        stops = index == last and not (first and end.along_mm < at)
        to = end.along_mm if stops else curve.length
        if to - at > SAME_MM:
            yield ring[index], curve, at, to
        if stops:
            return
        index, at, first = (index + 1) % len(ring), 0.0, False


def tile_walls(
    job: Job, room_id: RoomId, sides: Collection[SideId], height_mm: float, from_mm: float = 0.0,
    what: str = "tiles",
) -> Job:  # fmt: skip
    """Tiles over the whole length of these walls, up to a height above the floor: not coated.

    Tiles of that name which cover such a wall already get the new height.
    """
    _stands(from_mm, height_mm)
    room, after = room_of(job, room_id), job
    for side_id in sides:
        number, index = side_place(room, side_id)
        side, curve = ring_of(room, number)[index], curves_of(ring_of(room, number))[index]
        if not side.has_wall:
            continue
        for old in (side.treatment or room.walls).exclusions:
            if old.what == what and _spans(old, curve.length) and side.treatment is not None:
                after = remove_exclusion(after, room_id, old.id)
        after = _covered(after, room, side, curve, (0.0, curve.length), (from_mm, height_mm), what)
    return _fitted(job, after, what)


def _spans(exclusion: Exclusion, length_mm: float) -> bool:
    us = [u for u, _, _ in exclusion.outline]
    return min(us) <= SAME_MM and max(us) >= length_mm - SAME_MM


def _stands(from_mm: float, height_mm: float) -> None:
    finite(from_mm=from_mm)
    longer_than_nothing(height_mm=height_mm)
    if from_mm < 0 or height_mm - from_mm < SAME_MM:
        raise InputError("The upper edge lies above the lower one: type the heights again.")


def _covered(
    job: Job, room: Room, side: Side, curve: Curve, stretch: tuple[float, float],
    heights_mm: tuple[float, float], what: str,
) -> Job:  # fmt: skip
    """The job with a stretch of a side left out between two heights above the floor, up to its ceiling at
    most; the very job where its ceiling is lower than all of it."""
    u0, u1 = stretch
    floor = floor_height(room, *_beside(curve, (u0 + u1) / 2.0))
    s, _ = room_place(job, room.id)
    ceiling = max(
        ceiling_height(job.storeys[s], room, *_beside(curve, u0 + (u1 - u0) * k / _LOOKED)) for k in range(_LOOKED + 1)
    )
    low, high = floor + heights_mm[0], min(floor + heights_mm[1], ceiling)
    if high - low < SAME_MM:
        return job
    outline = ((u0, low, 0.0), (u1, low, 0.0), (u1, high, 0.0), (u0, high, 0.0))
    name = new_exclusion_id(room_of(job, room.id))
    return add_exclusion(job, room.id, side.id, Exclusion(id=name, outline=outline, what=what))


def _beside(curve: Curve, along_mm: float) -> Point:
    """A place just inside of a wall."""
    (x, y), (dx, dy) = curve.at(along_mm), curve.direction(along_mm)
    return x - dy * _BESIDE_MM, y + dx * _BESIDE_MM


def _fitted(before: Job, after: Job, what: str) -> Job:
    """The job after, where anything was left out in it."""
    if after is before:
        raise InputError(f"The ceiling is lower there than the {what} begin: type lower heights.")
    return after
