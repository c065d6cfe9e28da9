"""Corners and sides moved, added and taken away, with what stands on the sides kept in place.

An opening, an exclusion or a stretch of what is behind stays where it is in the building: when the
start of its side moves, its distance from the end that did not move is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, crossings
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.plan.edits.lookup import (
    changed,
    changed_storey,
    finite,
    fresh_id,
    ring_of,
    room_place,
    side_place,
    with_ring,
)
from takeoff.plan.model import Behind, Border, Exclusion, Job, Opening, Room, RoomId, Side, SideId, WallTreatment
from takeoff.plan.shape import curves_of

replace = msgspec.structs.replace
Shift = Callable[[Opening], Opening]


def move_corner(job: Job, room_id: RoomId, side_id: SideId, x_mm: float, y_mm: float) -> Job:
    """The corner at the start of that side at another place. Bulges stay as they are."""
    finite(x_mm=x_mm, y_mm=y_mm)
    room, number, index, sides = _ring_at(job, room_id, side_id)
    moved = changed(sides[index], x_mm=x_mm, y_mm=y_mm)
    if moved is sides[index]:
        return job
    return _with_moved(job, room, number, (*sides[:index], moved, *sides[index + 1 :]))


def move_side(job: Job, room_id: RoomId, side_id: SideId, outward_mm: float) -> Job:
    """A straight side moved parallel, out of the room when positive.

    Its neighbours grow or shrink along their own lines; one that is curved, or runs on in the same
    line, is bent to the new corner instead.
    """
    finite(outward_mm=outward_mm)
    room, number, index, sides = _ring_at(job, room_id, side_id)
    curves = _curves(sides)
    here = curves[index]
    if here.bulge:
        raise InputError(f"The side “{side_id}” is curved: move its corners instead.")
    if outward_mm == 0 or here.length <= SNAP_MM:
        return job
    # Rooms lie to the left of their sides, in inner rings too.
    dx, dy = here.dy * outward_mm, -here.dx * outward_mm
    line = Curve(here.x0 + dx, here.y0 + dy, here.x1 + dx, here.y1 + dy)
    after = (index + 1) % len(sides)
    start = _met(line, curves[index - 1], line.x0, line.y0)
    end = _met(line, curves[after], line.x1, line.y1)
    new = list(sides)
    new[index] = replace(sides[index], x_mm=start[0], y_mm=start[1])
    new[after] = replace(sides[after], x_mm=end[0], y_mm=end[1])
    return _with_moved(job, room, number, tuple(new))


def _met(line: Curve, neighbour: Curve, x: float, y: float) -> tuple[float, float]:
    if neighbour.bulge or neighbour.length <= SNAP_MM:
        return x, y
    if abs(line.dx * neighbour.dy - line.dy * neighbour.dx) < _NEARLY_PARALLEL:
        return x, y
    return crossings(line, neighbour)[0]


_NEARLY_PARALLEL = math.sin(math.radians(1.0))
"""Neighbours within a degree of the side are bent: their crossing may lie far away."""


def insert_corner(
    job: Job, room_id: RoomId, side_id: SideId, x_mm: float, y_mm: float, new_id: SideId | None = None
) -> Job:
    """A corner more, at that place, in that side: the part before it keeps the id, the part after
    gets ``new_id`` (one is made up where none is given). Openings go with the part that holds their
    first jamb. A curved side is parted where it comes nearest; its corner stays on the arc.
    """
    finite(x_mm=x_mm, y_mm=y_mm)
    room, number, index, sides = _ring_at(job, room_id, side_id)
    taken = [side.id for side in room.sides]
    name = new_id or SideId(fresh_id(taken, side_id))
    if name in taken:
        raise InputError(f"The id “{name}” names a side of the room already: choose another.")
    curve = _curves(sides)[index]
    cut, _ = curve.where(x_mm, y_mm)
    if not SNAP_MM < cut < curve.length - SNAP_MM:
        raise InputError(f"The new corner lies beyond the ends of side “{side_id}”: put it between them.")
    if curve.bulge:
        x_mm, y_mm = curve.at(cut)
    first, second = _parted(sides[index], curve, cut, name, x_mm, y_mm)
    ring = (*sides[:index], first, second, *sides[index + 1 :])

    def rehosted(opening: Opening) -> Opening:
        if opening.side != side_id or opening.offset_mm < cut:
            return opening
        return replace(opening, side=name, offset_mm=opening.offset_mm - cut)

    parted = _with_borders(with_ring(room, number, ring), lambda ids: _after_each(ids, side_id, name))
    return _put(job, room, parted, rehosted)


def _with_borders(room: Room, change: Callable[[tuple[SideId, ...]], tuple[SideId, ...]]) -> Room:
    """The room with the sides that its ceiling's borders name changed; one left without any goes."""

    def of(borders: tuple[Border, ...]) -> tuple[Border, ...]:
        new = tuple(changed(b, sides=change(b.sides)) if b.sides else b for b in borders)
        return tuple(b for b, old in zip(new, borders, strict=True) if b.sides or not old.sides)

    ceiling = room.ceiling_treatment
    only = of(ceiling.only)
    # coated along some sides only, and those are gone: it is not coated any more
    coat = ceiling.coat and (bool(only) or not ceiling.only)
    treatment = changed(ceiling, left_on=of(ceiling.left_on), only=only, coat=coat)
    return changed(room, ceiling_treatment=treatment)


def _after_each(ids: tuple[SideId, ...], side_id: SideId, name: SideId) -> tuple[SideId, ...]:
    return tuple(part for own in ids for part in ((own, name) if own == side_id else (own,)))


def delete_corner(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The corner at the start of that side taken away: the side before it runs on to its end and
    takes over its openings and what is behind; its own id, treatment and kind stay.
    """
    room, number, index, sides = _ring_at(job, room_id, side_id)
    if len(sides) <= 3:
        raise InputError("A room keeps at least three corners: remove the room instead.")
    curves = _curves(sides)
    before, gone = sides[index - 1], sides[index]
    length = curves[index - 1].length
    behind = tuple(
        replace(b, from_mm=b.from_mm + length, to_mm=None if b.to_mm is None else b.to_mm + length) for b in gone.behind
    )
    own = tuple(b if b.to_mm is not None else replace(b, to_mm=length) for b in before.behind)
    joined = replace(before, bulge=_joined_bulge(curves[index - 1], curves[index]), behind=own + behind)
    ring = tuple(joined if side is before else side for side in sides if side is not gone)

    def rehosted(opening: Opening) -> Opening:
        if opening.side != side_id:
            return opening
        return replace(opening, side=before.id, offset_mm=opening.offset_mm + length)

    joined_room = _with_borders(with_ring(room, number, ring), lambda ids: tuple(own for own in ids if own != side_id))
    return _put(job, room, joined_room, rehosted)


def _joined_bulge(a: Curve, b: Curve) -> float:
    """Two arcs of one circle become one arc, anything else a straight side."""
    if not a.bulge or not b.bulge or a.turn != b.turn:
        return 0.0
    if math.dist((a.cx, a.cy), (b.cx, b.cy)) > 1.0 or abs(a.radius - b.radius) > 1.0:
        return 0.0
    return math.tan(math.atan(a.bulge) + math.atan(b.bulge))


def _ring_at(job: Job, room_id: RoomId, side_id: SideId) -> tuple[Room, int, int, tuple[Side, ...]]:
    s, r = room_place(job, room_id)
    room = job.storeys[s].rooms[r]
    number, index = side_place(room, side_id)
    return room, number, index, ring_of(room, number)


def _curves(sides: tuple[Side, ...]) -> list[Curve]:
    return curves_of(sides)


def _with_moved(job: Job, room: Room, number: int, sides: tuple[Side, ...]) -> Job:
    """The job with a ring of the same sides at other places."""
    shifts: dict[str, float] = {}
    placed = []
    for side, old, new in zip(sides, _curves(ring_of(room, number)), _curves(sides), strict=True):
        by = _start_moved_by(old, new)
        if by:
            shifts[side.id] = by
        placed.append(_shifted(side, by) if by else side)

    def moved(opening: Opening) -> Opening:
        by = shifts.get(opening.side, 0.0)
        return changed(opening, offset_mm=opening.offset_mm + by)

    return _put(job, room, with_ring(room, number, tuple(placed)), moved)


def _start_moved_by(old: Curve, new: Curve) -> float:
    """By how much distances from a side's start grow so that what stands on it stays put, mm."""
    if (old.x0, old.y0) == (new.x0, new.y0):
        return 0.0
    if (old.x1, old.y1) == (new.x1, new.y1):
        return new.length - old.length
    return (old.x0 - new.x0) * new.dx + (old.y0 - new.y0) * new.dy


def _put(job: Job, old: Room, new: Room, change: Shift) -> Job:
    """The job with the room exchanged, and the openings of that room changed."""
    s, r = room_place(job, old.id)
    storey = job.storeys[s]
    openings = tuple(change(o) if o.room == old.id else o for o in storey.openings)
    if all(a is b for a, b in zip(openings, storey.openings, strict=True)):
        openings = storey.openings
    rooms = (*storey.rooms[:r], new, *storey.rooms[r + 1 :])
    return changed_storey(job, s, replace(storey, rooms=rooms, openings=openings))


def _shifted(side: Side, by: float) -> Side:
    behind = tuple(_shifted_stretch(b, by) for b in side.behind)
    treatment = side.treatment
    if treatment is not None and treatment.exclusions:
        moved = tuple(_shifted_outline(e, by) for e in treatment.exclusions)
        treatment = changed(treatment, exclusions=moved)
    return changed(side, behind=behind, treatment=treatment)


def _shifted_stretch(stretch: Behind, by: float) -> Behind:
    # A stretch from the very start still begins there.
    start = 0.0 if stretch.from_mm == 0 else max(0.0, stretch.from_mm + by)
    return changed(stretch, from_mm=start, to_mm=None if stretch.to_mm is None else max(0.0, stretch.to_mm + by))


def _shifted_outline(exclusion: Exclusion, by: float) -> Exclusion:
    return replace(exclusion, outline=tuple((u + by, z, bulge) for u, z, bulge in exclusion.outline))


def _parted(side: Side, curve: Curve, cut: float, name: SideId, x: float, y: float) -> tuple[Side, Side]:
    one, two = side.bulge, side.bulge
    if curve.bulge:
        quarter = math.atan(side.bulge)
        one, two = math.tan(quarter * cut / curve.length), math.tan(quarter * (1 - cut / curve.length))
    before, after = _parted_behind(side.behind, cut)
    own = side.treatment
    coats = (None, None) if own is None else _parted_treatment(own, curve.length, cut)
    first = replace(side, bulge=one, behind=before, treatment=coats[0])
    second = replace(side, id=name, x_mm=x, y_mm=y, bulge=two, behind=after, treatment=coats[1])
    return first, second


def _parted_behind(behind: tuple[Behind, ...], cut: float) -> tuple[tuple[Behind, ...], tuple[Behind, ...]]:
    before = tuple(
        replace(b, to_mm=cut if b.to_mm is not None and b.to_mm > cut else b.to_mm) for b in behind if b.from_mm < cut
    )
    after = tuple(
        replace(b, from_mm=max(0.0, b.from_mm - cut), to_mm=None if b.to_mm is None else b.to_mm - cut)
        for b in behind
        if b.to_mm is None or b.to_mm > cut
    )
    return before, after


def _parted_treatment(whole: WallTreatment, length: float, cut: float) -> tuple[WallTreatment, WallTreatment]:
    """Returns and exclusions parted at ``cut``; an exclusion goes with the part that holds its start."""
    near = tuple(e for e in whole.exclusions if min(v[0] for v in e.outline) < cut)
    far = tuple(_shifted_outline(e, -cut) for e in whole.exclusions if e not in near)
    first, second = replace(whole, exclusions=near), replace(whole, exclusions=far)
    if whole.start_mm is None and whole.end_mm is None:
        return first, second
    start, end = whole.start_mm or 0.0, whole.end_mm or 0.0
    return (
        _returned(first, min(start, cut), end - (length - cut)),
        _returned(second, start - cut, min(end, length - cut)),
    )


def _returned(treatment: WallTreatment, start: float, end: float) -> WallTreatment:
    start_mm, end_mm = (length if length > 0 else None for length in (start, end))
    coat = treatment.coat and (start_mm is not None or end_mm is not None)
    return replace(treatment, coat=coat, start_mm=start_mm, end_mm=end_mm)
