"""Corners and sides of one room moved, bent, put in and taken away, with what stands on them.

An opening, an exclusion or a stretch of what is behind stays where it is in the building: when the
start of its side moves, its distance from the end that did not move is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.geometry.rings import curves_area
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr
from takeoff.plan.edits.along_sides import moved_along, parted_in_two
from takeoff.plan.edits.lookup import (
    changed,
    exchanged,
    finite,
    fresh_id,
    ring_of,
    room_of,
    room_place,
    shifted,
    side_place,
    with_ring,
)
from takeoff.plan.model import Border, Job, Opening, Room, RoomId, Side, SideId
from takeoff.plan.room_faults import SAME_MM, ring_fault
from takeoff.plan.shape import curves_of, vertices
from takeoff.units.printing import shown

replace = msgspec.structs.replace


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
    curves = curves_of(sides)
    here = curves[index]
    if here.bulge:
        raise InputError(tr("This wall is curved: move its corners instead."))
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
        raise InputError(tr("The id “{name}” names a wall of the room already: use another.", name=name))
    curve = curves_of(sides)[index]
    cut, _ = curve.where(x_mm, y_mm)
    if not SNAP_MM < cut < curve.length - SNAP_MM:
        raise InputError(tr("The new corner lies beyond the ends of the wall: put it between them."))
    if curve.bulge:
        x_mm, y_mm = curve.at(cut)
    first, second = parted_in_two(sides[index], curve, cut, name, x_mm, y_mm)
    ring = (*sides[:index], first, second, *sides[index + 1 :])

    def rehosted(opening: Opening) -> Opening:
        if opening.side != side_id or opening.offset_mm < cut:
            return opening
        return replace(opening, side=name, offset_mm=opening.offset_mm - cut)

    parted = _with_borders(with_ring(room, number, ring), lambda ids: _after_each(ids, side_id, name))
    return exchanged(job, parted, rehosted)


def delete_corner(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The corner at the start of that side taken away: the side before it runs on to its end and
    takes over its openings and what is behind; its own id, treatment and kind stay.
    """
    room, number, index, sides = _ring_at(job, room_id, side_id)
    if len(sides) <= 3:
        raise InputError(tr("A room keeps at least three corners: remove the room instead."))
    curves = curves_of(sides)
    before, gone = sides[index - 1], sides[index]
    length = curves[index - 1].length
    behind = tuple(
        replace(b, from_mm=b.from_mm + length, to_mm=None if b.to_mm is None else b.to_mm + length) for b in gone.behind
    )
    own = tuple(b if b.to_mm is not None else replace(b, to_mm=length) for b in before.behind)
    coat = before.treatment
    if coat is not None and coat.parts_mm:
        coat = replace(coat, parts_mm=tuple((a, length if b is None else b) for a, b in coat.parts_mm))
    bulge = _joined_bulge(curves[index - 1], curves[index])
    joined = replace(before, bulge=bulge, behind=own + behind, treatment=coat)
    ring = tuple(joined if side is before else side for side in sides if side is not gone)

    def rehosted(opening: Opening) -> Opening:
        if opening.side != side_id:
            return opening
        return replace(opening, side=before.id, offset_mm=opening.offset_mm + length)

    joined_room = _with_borders(with_ring(room, number, ring), lambda ids: tuple(own for own in ids if own != side_id))
    return exchanged(job, joined_room, rehosted)


def _joined_bulge(a: Curve, b: Curve) -> float:
    """Two arcs of one circle become one arc, anything else a straight side."""
    if not a.bulge or not b.bulge or a.turn != b.turn:
        return 0.0
    if math.dist((a.cx, a.cy), (b.cx, b.cy)) > 1.0 or abs(a.radius - b.radius) > 1.0:
        return 0.0
    return math.tan(math.atan(a.bulge) + math.atan(b.bulge))


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


def _ring_at(job: Job, room_id: RoomId, side_id: SideId) -> tuple[Room, int, int, tuple[Side, ...]]:
    s, r = room_place(job, room_id)
    room = job.storeys[s].rooms[r]
    number, index = side_place(room, side_id)
    return room, number, index, ring_of(room, number)


def _with_moved(job: Job, room: Room, number: int, sides: tuple[Side, ...]) -> Job:
    """The job with a ring of the same sides at other places."""
    shifts: dict[str, float] = {}
    placed = []
    for side, old, new in zip(sides, curves_of(ring_of(room, number)), curves_of(sides), strict=True):
        by = _start_moved_by(old, new)
        if by:
            shifts[side.id] = by
        placed.append(moved_along(side, by) if by else side)

    def moved(opening: Opening) -> Opening:
        by = shifts.get(opening.side, 0.0)
        return changed(opening, offset_mm=opening.offset_mm + by)

    return exchanged(job, with_ring(room, number, tuple(placed)), moved)


def _start_moved_by(old: Curve, new: Curve) -> float:
    """By how much distances from a side's start grow so that what stands on it stays put, mm."""
    if (old.x0, old.y0) == (new.x0, new.y0):
        return 0.0
    if (old.x1, old.y1) == (new.x1, new.y1):
        return new.length - old.length
    return (old.x0 - new.x0) * new.dx + (old.y0 - new.y0) * new.dy


SHALLOWEST_MM = 1.0
"""A side bent by less than this is straight."""


def bend_side(job: Job, room_id: RoomId, side_id: SideId, rise_mm: float) -> Job:
    """A side bent to an arc that rises so far out of the room in its middle; negative: into it.

    What stands on the side stays by the place where it stood. A rise of nothing makes it straight.
    Raises InputError where the arc would cross another side, or be more than half a circle.
    """
    finite(rise_mm=rise_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    old = curves_of(ring)[index]
    chord = math.dist((old.x0, old.y0), (old.x1, old.y1))
    if abs(rise_mm) > chord / 2.0 + SNAP_MM:
        raise InputError(
            tr(
                "An arc over {chord} m rises at most half of that: type less, or divide the wall first.",
                chord=shown(chord / 1000.0, 3),
            )
        )
    # Rooms lie to the left of their sides: an arc that turns left bulges out of the room.
    bulge = 0.0 if abs(rise_mm) < SHALLOWEST_MM else 2.0 * rise_mm / chord
    if bulge == ring[index].bulge:
        return job
    sides = (*ring[:index], replace(ring[index], bulge=bulge), *ring[index + 1 :])
    fault = ring_fault(vertices(sides))
    if fault is not None or curves_area(curves_of(sides)) * (1.0 if number == 0 else -1.0) <= 0:
        raise InputError(tr("The arc would cross another wall of the room: type a smaller rise."))
    new = curves_of(sides)[index]
    placed = replace(shifted(sides[index], lambda u: _same_place(old, new, u)), bulge=bulge)
    bent = with_ring(room, number, (*ring[:index], placed, *ring[index + 1 :]))

    def stay(opening: Opening) -> Opening | None:
        if opening.side != side_id:
            return opening
        middle = _same_place(old, new, opening.offset_mm + opening.width_mm / 2.0)
        return changed(opening, offset_mm=middle - opening.width_mm / 2.0)

    return exchanged(job, bent, stay)


def _same_place(old: Curve, new: Curve, along: float) -> float:
    """How far along the new curve that place is which lies square to the chord from the old one, mm.

    Both stand on one chord; the new one is at most half a circle, so there is one such place.
    """
    if along <= 0.0:
        return 0.0
    if along >= old.length:
        return new.length
    x, y = old.at(along)
    chord = math.dist((old.x0, old.y0), (old.x1, old.y1))
    ux, uy = (old.x1 - old.x0) / chord, (old.y1 - old.y0) / chord
    from_middle = (x - old.x0) * ux + (y - old.y0) * uy - chord / 2.0
    if not new.bulge:
        return min(max(from_middle + chord / 2.0, 0.0), chord)
    turned_by = math.asin(min(max(from_middle / new.radius, -1.0), 1.0))
    return min(max(new.length / 2.0 + turned_by * new.radius, 0.0), new.length)


def corner_by_lengths(before: Point, first_mm: float, after: Point, second_mm: float, near: Point) -> Point:
    """Where a corner lies so far from the corners before and after it: of the two places the one nearer
    to ``near``. Raises InputError where the lengths do not reach each other.
    """
    finite(first_mm=first_mm, second_mm=second_mm)
    (ax, ay), (bx, by) = before, after
    apart = math.dist(before, after)
    if apart <= SAME_MM or first_mm <= 0 or second_mm <= 0:
        raise InputError(tr("Two lengths from one place do not fix a corner: type the other length or drag it."))
    along = (apart * apart + first_mm * first_mm - second_mm * second_mm) / (2.0 * apart)
    rest = first_mm * first_mm - along * along
    if rest < 0:
        raise InputError(tr("Walls of these lengths do not meet: measure them again."))
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    off = math.sqrt(rest)
    places = [(ax + ux * along - uy * off * turn, ay + uy * along + ux * off * turn) for turn in (1.0, -1.0)]
    return min(places, key=lambda place: math.dist(place, near))


def freed(job: Job, room_id: RoomId, stretches: list[tuple[SideId, float, float]]) -> tuple[Job, set[SideId]]:
    """The job with corners at the ends of these stretches of sides, and the ids of the stretches."""
    gone: set[SideId] = set()
    for side_id, start, end in sorted(stretches, key=lambda s: (s[0], -s[1])):
        room = room_of(job, room_id)
        curve = dict(zip((s.id for s in room.outline), curves_of(room.outline), strict=True))[side_id]
        if end < curve.length - SAME_MM:
            job, _ = _corner(job, room_id, side_id, curve.at(end))
        if start > SAME_MM:
            job, side_id = _corner(job, room_id, side_id, curve.at(start))
        gone.add(side_id)
    return job, gone


def _corner(job: Job, room_id: RoomId, side_id: SideId, at: tuple[float, float]) -> tuple[Job, SideId]:
    room = room_of(job, room_id)
    name = SideId(fresh_id([s.id for s in room.sides], side_id))
    return insert_corner(job, room_id, side_id, *at, name), name
