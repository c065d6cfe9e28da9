"""Parts that a room's outline goes round: boxing in a corner, and a chimney breast. Each is one edit that keeps
openings, treatments and borders where they are. Lengths are mm, heights mm above the floor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.geometry.tolerances import FLAT_DEG
from takeoff.language import tr
from takeoff.plan.edits.corner_edits import insert_corner
from takeoff.plan.edits.lookup import (
    changed,
    exchanged,
    finite,
    fresh_id,
    ring_of,
    room_of,
    shifted,
    side_place,
    with_ring,
    with_room,
)
from takeoff.plan.edits.part_edits import longer_than_nothing, nothing_between, straight, with_outline, with_region
from takeoff.plan.model import (
    Behind,
    Border,
    Exclusion,
    Job,
    Opening,
    Plane,
    Region,
    RegionId,
    Room,
    RoomId,
    Side,
    SideId,
    WallTreatment,
)
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.shape import curves_of, floor_height
from takeoff.units.printing import shown

replace = msgspec.structs.replace


def box_corner(
    job: Job, room_id: RoomId, side_id: SideId, along_mm: float, other_mm: float,
    height_mm: float | None = None,
) -> Job:  # fmt: skip
    """Boxing (round pipes) in the corner at the start of a side: so far along that side and so far along
    the one before it, up to the ceiling, or to a height above the floor.

    Raises InputError for a corner that points into the room, and where a wall is too short or an
    opening is in the way.
    """
    longer_than_nothing(width_mm=along_mm, depth_mm=other_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    before = ring[index - 1]
    here, last = (straight(job, room_id, name)[1] for name in (side_id, before.id))
    _inner_corner(last, here)
    for curve, length in ((here, along_mm), (last, other_mm)):
        if length > curve.length - SAME_MM:
            raise InputError(
                tr(
                    "The wall is {length} m long and the boxing {boxing} m: make it smaller.",
                    length=shown(curve.length / 1000.0),
                    boxing=shown(length / 1000.0),
                )
            )
    if height_mm is not None:
        return _low_box(job, room, here, last, along_mm, other_mm, height_mm)
    nothing_between(job, room_id, side_id, 0.0, along_mm)
    nothing_between(job, room_id, before.id, last.length - other_mm, last.length)
    return _notched(job, room, number, index, along_mm, other_mm)


def _inner_corner(last: Curve, here: Curve) -> None:
    across, along = last.dx * here.dy - last.dy * here.dx, last.dx * here.dx + last.dy * here.dy
    turn = math.degrees(math.atan2(across, along))
    if turn <= FLAT_DEG:
        raise InputError(tr("Boxing stands in an internal corner, and this is an external one: click another."))


def _low_box(job: Job, room: Room, here: Curve, last: Curve, along_mm: float, other_mm: float, height_mm: float) -> Job:
    longer_than_nothing(height_mm=height_mm)
    x, y = here.x0, here.y0
    floor = floor_height(room, x, y)
    points = (
        (x, y),
        here.at(along_mm),
        (x + here.dx * along_mm - last.dx * other_mm, y + here.dy * along_mm - last.dy * other_mm),
        last.at(last.length - other_mm),
    )
    region = Region(
        id=RegionId("new"),
        op="raise",
        outline=tuple((px, py, 0.0) for px, py in points),
        planes=(Plane(z_mm=floor + height_mm - room.floor_build_up_mm),),
        what="boxing",
        coat_sides=True,
        coat_face=True,
    )
    return with_region(job, room.id, "floor", region)


def _notched(job: Job, room: Room, number: int, index: int, along_mm: float, other_mm: float) -> Job:
    ring = ring_of(room, number)
    curves = curves_of(ring)
    side, before, here, last = ring[index], ring[index - 1], curves[index], curves[index - 1]
    taken = [str(s.id) for s in room.sides]
    one = SideId(fresh_id(taken, side.id))
    two = SideId(fresh_id([*taken, one], side.id))
    fx, fy = last.at(last.length - other_mm)
    gx, gy = here.at(along_mm)
    face = _new_side(side, one, fx, fy, (0.0, along_mm))
    cheek = _new_side(
        before, two, fx + here.dx * along_mm, fy + here.dy * along_mm, (last.length - other_mm, last.length)
    )
    rest = _kept(replace(side, x_mm=gx, y_mm=gy), -along_mm, here.length - along_mm)
    cut = _kept(before, 0.0, last.length - other_mm)
    new = list(ring)
    new[index - 1], new[index] = cut, rest
    # a ring that starts at this corner starts at the boxing then
    new[index:index] = [face, cheek]
    boxed = _with_borders(with_ring(room, number, tuple(new)), {side.id: one, before.id: two})

    def moved(opening: Opening) -> Opening:
        if opening.side != side.id:
            return opening
        return changed(opening, offset_mm=opening.offset_mm - along_mm)

    return with_outline(job, exchanged(job, boxed, moved), room.id, "boxing")


def _new_side(like: Side, name: SideId, x: float, y: float, stretch: tuple[float, float]) -> Side:
    """A side that stands before a stretch of another, parallel to it: coated as that is, the same behind it.
    Its place is that of its finished face, so it has no kind of wall."""
    own = like.treatment
    middle = sum(stretch) / 2.0
    within = own is None or not own.parts_mm or any(a <= middle and (b is None or middle <= b) for a, b in own.parts_mm)
    treatment = None
    if own is not None:
        treatment = WallTreatment(coat=own.coat and within, substrate=own.substrate, bands=own.bands)
    return Side(id=name, x_mm=x, y_mm=y, treatment=treatment, behind=tuple(_said_of(like, stretch)), source="typed")


def _said_of(side: Side, stretch: tuple[float, float]) -> Iterable[Behind]:
    """What was said to be behind the whole of a stretch."""
    for said in side.behind:
        reaches = said.to_mm is None or said.to_mm >= stretch[1] - SAME_MM
        if reaches and said.from_mm <= stretch[0] + SAME_MM:
            yield replace(said, from_mm=0.0, to_mm=None)
            return


def _kept(side: Side, by_mm: float, length_mm: float) -> Side:
    """What is on a side moved along it, and cut to its new length."""
    side = shifted(side, lambda u: u + by_mm)
    behind = tuple(
        replace(b, from_mm=max(b.from_mm, 0.0), to_mm=None if b.to_mm is None else min(b.to_mm, length_mm))
        for b in side.behind
        if b.from_mm < length_mm - SAME_MM and (b.to_mm is None or b.to_mm > SAME_MM)
    )
    treatment = side.treatment
    if treatment is not None and treatment.parts_mm:
        parts = tuple(
            (a, None if b is None else min(b, length_mm))
            for a, b in treatment.parts_mm
            if a < length_mm - SAME_MM and (b is None or b > SAME_MM)
        )
        bare = not parts and treatment.start_mm is None and treatment.end_mm is None
        treatment = changed(treatment, parts_mm=parts, coat=treatment.coat and not bare)
    if treatment is not None and treatment.exclusions:
        cut = tuple(e for old in treatment.exclusions for e in _cut_exclusion(old, length_mm))
        treatment = changed(treatment, exclusions=cut)
    return changed(side, behind=behind, treatment=treatment)


def _cut_exclusion(exclusion: Exclusion, length_mm: float) -> list[Exclusion]:
    """A rectangle cut to a face's length, and none where nothing is left; other outlines as they are, for
    the check to speak of."""
    us = [u for u, _, _ in exclusion.outline]
    if min(us) >= length_mm - SAME_MM or max(us) <= SAME_MM:
        return []
    if len({round(u, 3) for u in us}) != 2 or len(us) != 4 or any(b for _, _, b in exclusion.outline):
        return [exclusion]
    outline = tuple((min(max(u, 0.0), length_mm), z, b) for u, z, b in exclusion.outline)
    return [exclusion if outline == exclusion.outline else replace(exclusion, outline=outline)]


def _with_borders(room: Room, beside: dict[SideId, SideId]) -> Room:
    """Ceiling borders along a wall run on along what stands before it."""

    def of(borders: tuple[Border, ...]) -> tuple[Border, ...]:
        return tuple(
            changed(b, sides=(*b.sides, *(new for old, new in beside.items() if old in b.sides))) for b in borders
        )

    ceiling = room.ceiling_treatment
    return changed(room, ceiling_treatment=changed(ceiling, left_on=of(ceiling.left_on), only=of(ceiling.only)))


def chimney_breast(job: Job, room_id: RoomId, side_id: SideId, from_mm: float, width_mm: float, depth_mm: float) -> Job:
    """A chimney breast from so far along a straight side, so wide and so deep, with the alcoves that are
    left beside it. At an end of the side it has one alcove only.

    Raises InputError where the wall is too short or an opening is in the way.
    """
    longer_than_nothing(width_mm=width_mm, depth_mm=depth_mm)
    finite(from_mm=from_mm)
    curve = straight(job, room_id, side_id)[1]
    if width_mm > curve.length - SAME_MM:
        raise InputError(
            tr(
                "The wall is {length} m long and the breast {width} m wide: make it narrower.",
                length=shown(curve.length / 1000.0),
                width=shown(width_mm / 1000.0),
            )
        )
    start = min(max(from_mm, 0.0), curve.length - width_mm)
    nothing_between(job, room_id, side_id, start, start + width_mm)
    if start <= SAME_MM:
        return box_corner(job, room_id, side_id, width_mm, depth_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    if start + width_mm >= curve.length - SAME_MM:
        return box_corner(job, room_id, ring[(index + 1) % len(ring)].id, depth_mm, width_mm)
    return _breast(job, room, number, side_id, (start, start + width_mm), depth_mm)


def _breast(job: Job, room: Room, number: int, side_id: SideId, stretch: tuple[float, float], depth_mm: float) -> Job:
    curve = straight(job, room.id, side_id)[1]
    parted = job
    for along in reversed(stretch):
        parted = insert_corner(parted, room.id, side_id, *curve.at(along))

    def stood(old: Room) -> Room:
        ring = ring_of(old, number)
        index = side_place(old, side_id)[1]
        first, front, rest = ring[index], ring[index + 1], ring[(index + 2) % len(ring)]
        taken = [str(s.id) for s in old.sides]
        one = SideId(fresh_id(taken, side_id))
        two = SideId(fresh_id([*taken, one], side_id))
        nx, ny = -curve.dy * depth_mm, curve.dx * depth_mm
        cheek = _new_side(front, one, front.x_mm, front.y_mm, (0.0, stretch[1] - stretch[0]))
        other = replace(cheek, id=two, x_mm=rest.x_mm + nx, y_mm=rest.y_mm + ny)
        # it stands where it was typed to stand, and runs the whole of its width
        moved = replace(front, x_mm=front.x_mm + nx, y_mm=front.y_mm + ny, wall_type=None, source="typed")
        after = index + 2
        sides = (*ring[:index], first, cheek, moved, other, *ring[after:])
        return with_ring(_cheeked(old, front.id, (one, two)), number, sides)

    return with_outline(job, with_room(parted, room.id, stood), room.id, "chimney breast")


def _cheeked(room: Room, front: SideId, cheeks: tuple[SideId, SideId]) -> Room:
    """Ceiling borders along a wall run round the breast before it."""

    def of(borders: tuple[Border, ...]) -> tuple[Border, ...]:
        return tuple(replace(b, sides=(*b.sides, *cheeks)) if front in b.sides else b for b in borders)

    ceiling = room.ceiling_treatment
    treatment = changed(ceiling, left_on=of(ceiling.left_on), only=of(ceiling.only))
    return changed(room, ceiling_treatment=treatment)
