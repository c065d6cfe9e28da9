"""Corners and sides moved, bent, parted and taken away, opened and closed, with what stands on them.

An opening, an exclusion or a stretch of what is behind stays where it is in the building: when the
start of its side moves, its distance from the end that did not move is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.geometry.rings import curves_area
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr
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
    with_parts,
    with_ring,
    with_room,
    with_side,
)
from takeoff.plan.model import (
    Behind,
    Border,
    Exclusion,
    Job,
    Opening,
    Part,
    Room,
    RoomId,
    Side,
    SideId,
    WallTreatment,
    WallType,
)
from takeoff.plan.room_faults import SAME_MM, ring_fault, unsound_outlines
from takeoff.plan.said import mm
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
    first, second = _parted(sides[index], curve, cut, name, x_mm, y_mm)
    ring = (*sides[:index], first, second, *sides[index + 1 :])

    def rehosted(opening: Opening) -> Opening:
        if opening.side != side_id or opening.offset_mm < cut:
            return opening
        return replace(opening, side=name, offset_mm=opening.offset_mm - cut)

    parted = _with_borders(with_ring(room, number, ring), lambda ids: _after_each(ids, side_id, name))
    return exchanged(job, parted, rehosted)


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
        placed.append(_shifted(side, by) if by else side)

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


def _shifted(side: Side, by: float) -> Side:
    behind = tuple(_shifted_stretch(b, by) for b in side.behind)
    treatment = with_parts(side.treatment, lambda u: u + by)
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
    """Coated stretches and exclusions parted at ``cut``; an exclusion goes with the part that holds its start."""
    near = tuple(e for e in whole.exclusions if min(v[0] for v in e.outline) < cut)
    far = tuple(_shifted_outline(e, -cut) for e in whole.exclusions if e not in near)
    first, second = replace(whole, exclusions=near), replace(whole, exclusions=far)
    if whole.is_whole:
        return first, second
    start, end = whole.start_mm or 0.0, whole.end_mm or 0.0
    parts = [(a, length if b is None else b) for a, b in whole.parts_mm]
    before = [(a, min(b, cut)) for a, b in parts if a < cut]
    after = [
        (max(a, cut) - cut, None if to is None else b - cut)
        for (a, b), (_, to) in zip(parts, whole.parts_mm, strict=True)
        if b > cut
    ]
    return (
        _stretches(first, cut, min(start, cut), end - (length - cut), before),
        _stretches(second, length - cut, start - cut, min(end, length - cut), after),
    )


def _stretches(
    treatment: WallTreatment, length: float, start: float, end: float, parts: Sequence[Part]
) -> WallTreatment:
    """A treatment coated over these returns and stretches of a side; over all of it where they reach that far."""
    start_mm, end_mm = (mm if mm > 0 else None for mm in (start, end))
    if any(a <= 0.0 and (b is None or b >= length) for a, b in parts):
        return replace(treatment, start_mm=None, end_mm=None, parts_mm=())
    coat = treatment.coat and (start_mm is not None or end_mm is not None or bool(parts))
    return replace(treatment, coat=coat, start_mm=start_mm, end_mm=end_mm, parts_mm=tuple(parts))


def set_side_kind(
    job: Job, room_id: RoomId, side_id: SideId, kind: Literal["wall", "open"],
    open_from_mm: float | None = None, open_to_mm: float | None = None,
) -> Job:  # fmt: skip
    """Make a side a wall, or open over all its height or a range of it (above the datum)."""
    finite(open_from_mm=open_from_mm, open_to_mm=open_to_mm)
    if kind == "wall":
        open_from_mm = open_to_mm = None

    def reshaped(side: Side) -> Side:
        return changed(side, kind=kind, open_from_mm=open_from_mm, open_to_mm=open_to_mm)

    return with_side(job, room_id, side_id, reshaped)


def set_behind(job: Job, room_id: RoomId, side_id: SideId, behind: tuple[Behind, ...]) -> Job:
    """What lies behind a side, stretch by stretch; none leaves it to what is drawn."""
    for stretch in behind:
        finite(from_mm=stretch.from_mm, to_mm=stretch.to_mm, thickness_mm=stretch.thickness_mm)
    return with_side(job, room_id, side_id, lambda side: changed(side, behind=behind))


def add_wall_type(job: Job, wall_type: WallType) -> Job:
    """The job with a wall type more, or with the one of that id exchanged."""
    finite(finish_a_mm=wall_type.finish_a_mm, finish_b_mm=wall_type.finish_b_mm)
    others = tuple(known for known in job.wall_types if known.id != wall_type.id)
    if len(others) == len(job.wall_types):
        return replace(job, wall_types=(*others, wall_type))
    kept = tuple(wall_type if known.id == wall_type.id else known for known in job.wall_types)
    return changed(job, wall_types=kept)


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


def open_side(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The side open, over all its height, where other rooms share it; theirs are opened with it.

    Where they share part of it only, it is parted there and the rest stays a wall. One with no
    room behind it is opened whole, which ``check`` asks about. Raises InputError where a wall
    stands between the rooms, or an opening in the stretch that would go.
    """
    room = room_of(job, room_id)
    if _side(room, side_id).kind == "open":
        return job
    beyond = partners(job, room_id, side_id)
    shared = [(other, f) for other, f in beyond if f.apart <= SAME_MM]
    if beyond and not shared:
        other, f = min(beyond, key=lambda pair: pair[1].apart)
        raise InputError(
            tr(
                "A wall of {thickness} stands between {room} and {other}: join the rooms, or put a doorway "
                "into the wall.",
                thickness=mm(f.apart),
                room=room.title,
                other=other.title,
            )
        )
    if not shared:
        _refuse_openings(job, room_id, side_id, 0.0, math.inf)
        return set_side_kind(job, room_id, side_id, "open")
    for other, f in shared:
        _refuse_openings(job, room_id, f.one, f.one_from, f.one_to)
        _refuse_openings(job, other.id, f.other, f.other_from, f.other_to)
    job, own = freed(job, room_id, [(f.one, f.one_from, f.one_to) for _, f in shared])
    for name in sorted(own):
        job = set_side_kind(job, room_id, name, "open")
    for other, f in shared:
        job, theirs = freed(job, other.id, [(f.other, f.other_from, f.other_to)])
        for name in sorted(theirs):
            job = set_side_kind(job, other.id, name, "open")
    return job


def close_side(job: Job, room_id: RoomId, side_id: SideId) -> Job:
    """The open side a wall again, and with it the open sides of other rooms that lie on it."""
    room = room_of(job, room_id)
    if _side(room, side_id).kind == "wall":
        return job
    for other, f in partners(job, room_id, side_id):
        if f.apart <= SAME_MM:
            job = set_side_kind(job, other.id, f.other, "wall")
    return set_side_kind(job, room_id, side_id, "wall")


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


def _side(room: Room, side_id: SideId) -> Side:
    number, index = side_place(room, side_id)
    return ring_of(room, number)[index]


def _refuse_openings(job: Job, room_id: RoomId, side_id: SideId, start: float, end: float) -> None:
    s, _ = room_place(job, room_id)
    for opening in job.storeys[s].openings:
        if (
            opening.room == room_id
            and opening.side == side_id
            and (opening.offset_mm < end - SAME_MM and opening.offset_mm + opening.width_mm > start + SAME_MM)
        ):
            raise InputError(tr("In this wall stands {opening}: delete it first.", opening=opening.title))


_WHOLE_MM = 5.0
"""A side of another room that sticks out by more than this beyond the wall that moves stays."""

_TRIAL_MM = 100.0

_STRAIGHT_ON = math.sin(math.radians(1.0))
"""Sides within a degree of each other run on: their lines cross far away, or nowhere."""


def move_wall(job: Job, room_id: RoomId, side_id: SideId, outward_mm: float, with_far_face: bool = False) -> Job:
    """A straight side moved parallel, out of its room when positive, with what other rooms have on it.

    Where the outline runs straight on at an end of it, a short square side comes between: so a
    stretch between two new corners becomes a breast or a recess. ``with_far_face``: the whole wall
    moves, with the sides of other rooms at its far face; those that run on beyond it stay. Raises
    InputError where a room would cross itself or vanish.
    """
    finite(outward_mm=outward_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    length = curves_of(ring_of(room, number))[index].length
    if outward_mm == 0:
        return job
    moved = _moved(job, room_id, side_id, outward_mm)
    touched = {room_id}
    for other, f in partners(job, room_id, side_id):
        theirs = dict(zip((s.id for s in other.outline), curves_of(other.outline), strict=True))[f.other]
        same = f.apart <= SAME_MM and abs(theirs.length - length) <= SAME_MM
        within = f.other_to - f.other_from >= theirs.length - max(_WHOLE_MM, 2.0 * f.apart)
        if not theirs.bulge and (same or (with_far_face and within)):
            moved = _moved(moved, other.id, f.other, -outward_mm)
            touched.add(other.id)
    return keep_sound(job, moved, touched)


def _moved(job: Job, room_id: RoomId, side_id: SideId, outward_mm: float) -> Job:
    """The side moved, with short sides where the outline ran straight on and without any of no length."""
    job = move_side(with_room(job, room_id, lambda room: _with_steps(room, side_id)), room_id, side_id, outward_mm)
    room = room_of(job, room_id)
    number, _ = side_place(room, side_id)
    ring = ring_of(room, number)
    for side, before, curve in zip(ring, (ring[-1], *ring), curves_of(ring), strict=False):
        left = len(ring_of(room_of(job, room_id), number))
        if curve.length <= SNAP_MM and not before.bulge and left > 3:
            job = delete_corner(job, room_id, side.id)
    return job


def _with_steps(room: Room, side_id: SideId) -> Room:
    """The room with a side of no length at each end of a side where its neighbour runs straight on."""
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    curves = curves_of(ring)
    here, after = curves[index], (index + 1) % len(ring)
    taken = [side.id for side in room.sides]
    new = list(ring)
    if _runs_on(curves[after], here):
        step = Side(id=SideId(fresh_id(taken, side_id)), x_mm=ring[after].x_mm, y_mm=ring[after].y_mm)
        taken.append(step.id)
        new.insert(index + 1, step)
    if _runs_on(curves[index - 1], here):
        step = Side(id=SideId(fresh_id(taken, side_id)), x_mm=ring[index].x_mm, y_mm=ring[index].y_mm)
        new.insert(index, step)
    return room if len(new) == len(ring) else with_ring(room, number, tuple(new))


def _runs_on(neighbour: Curve, side: Curve) -> bool:
    if neighbour.bulge or side.bulge or neighbour.length <= SNAP_MM:
        return False
    return abs(neighbour.dx * side.dy - neighbour.dy * side.dx) < _STRAIGHT_ON


def move_corners(job: Job, room_id: RoomId, side_id: SideId, x_mm: float, y_mm: float) -> Job:
    """The corner at the start of a side at another place, with the corners of other rooms on it.

    Raises InputError where a room would cross itself.
    """
    finite(x_mm=x_mm, y_mm=y_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    here = ring_of(room, number)[index]
    moved = move_corner(job, room_id, side_id, x_mm, y_mm)
    if moved is job:
        return job
    touched = {room_id}
    s, _ = room_place(job, room_id)
    for other in job.storeys[s].rooms:
        if other.id == room_id:
            continue
        for ring in other.rings:
            for side in ring:
                if math.dist((side.x_mm, side.y_mm), (here.x_mm, here.y_mm)) <= SAME_MM:
                    moved = move_corner(moved, other.id, side.id, x_mm, y_mm)
                    touched.add(other.id)
    return keep_sound(job, moved, touched)


def outward_for_length(job: Job, room_id: RoomId, side_id: SideId, neighbour: SideId, length_mm: float) -> float:
    """How far out a side must move so that a neighbour of it becomes so long, mm.

    Raises InputError where the neighbour's length does not hang on the side's place.
    """
    finite(length_mm=length_mm)
    if length_mm <= 0:
        raise InputError(tr("Length must be more than 0."))

    def length_at(outward: float) -> float:
        room = room_of(move_side(job, room_id, side_id, outward), room_id)
        number, index = side_place(room, neighbour)
        curve = curves_of(ring_of(room, number))[index]
        return curve.length

    before, after = length_at(0.0), length_at(_TRIAL_MM)
    back = length_at(-_TRIAL_MM)
    # a neighbour's own line is kept, so that its length changes evenly until it is used up
    grows = (after - before) / _TRIAL_MM
    if abs(grows) < 1e-3 or abs((before - back) / _TRIAL_MM - grows) > 1e-6:
        raise InputError(tr("The length of the next wall does not follow: drag the wall, or type how far it moves."))
    return (length_mm - before) / grows


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


def keep_sound(before: Job, after: Job, rooms: set[RoomId]) -> Job:
    """The job after an edit, if none of these rooms that was sound is crossed or turned now.

    Raises InputError else.
    """
    for room_id in sorted(rooms):
        old, new = room_of(before, room_id), room_of(after, room_id)
        if not _errors(before, old) and _errors(after, new):
            raise InputError(tr("“{room}” would cross itself or vanish: move it less far.", room=new.title))
    return after


def _errors(job: Job, room: Room) -> bool:
    s, _ = room_place(job, room.id)
    return any(found.severity == "error" for found in unsound_outlines(job.storeys[s], room))
