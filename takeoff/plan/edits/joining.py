"""Two rooms made one: where they share sides, or across the wall between them."""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.geometry.rings import curves_area
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.edits.corners import delete_corner, insert_corner
from takeoff.plan.edits.lookup import changed, changed_storey, fresh_id, room_of, room_place
from takeoff.plan.edits.placing import exchanged
from takeoff.plan.edits.rooms import remove_room
from takeoff.plan.model import (
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    RegionId,
    Ring,
    Room,
    RoomId,
    Side,
    SideId,
)
from takeoff.plan.shape import curves_of, vertices

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


def join_rooms(job: Job, room_id: RoomId, other_id: RoomId) -> Job:
    """The second room made part of the first; what stands between them goes, with its openings.

    Where they share sides these are taken away. Else the wall between them is, over the longest
    stretch where both stand on it; its thickness becomes two short sides. The first keeps its id,
    name, heights and coats; what is higher, lower or coated otherwise in the second stays so, as a
    region and on its sides. Printed areas and readings go. Raises InputError for rooms that do not
    lie side by side.
    """
    one, other = room_of(job, room_id), room_of(job, other_id)
    if room_id == other_id or room_place(job, room_id)[0] != room_place(job, other_id)[0]:
        raise InputError("Two rooms of one storey are joined: choose a second room beside the first.")
    facing = facing_sides(one, other)
    if not facing:
        raise InputError(
            f"“{one.name or one.id}” and “{other.name or other.id}” do not lie side by side: "
            "choose rooms with a wall or an open side between them."
        )
    shared = [f for f in facing if f.apart <= SAME_MM]
    taken = shared or [max(facing, key=lambda f: f.one_to - f.one_from)]
    job, gone_one = freed(job, room_id, [(f.one, f.one_from, f.one_to) for f in taken])
    job, gone_other = freed(job, other_id, [(f.other, f.other_from, f.other_to) for f in taken])
    return _united(job, room_id, other_id, gone_one, gone_other)


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


def _united(job: Job, room_id: RoomId, other_id: RoomId, gone_one: set[SideId], gone_other: set[SideId]) -> Job:
    one, other = room_of(job, room_id), room_of(job, other_id)
    names = _new_names(one, other)
    own = [(s, one.outline[(k + 1) % len(one.outline)]) for k, s in enumerate(one.outline) if s.id not in gone_one]
    theirs = [
        (_taken_over(s, names, one, other), other.outline[(k + 1) % len(other.outline)])
        for k, s in enumerate(other.outline)
        if s.id not in gone_other
    ]
    taken = [*(s.id for s in one.sides), *names.values()]
    rings = _rings(own + theirs, taken)
    areas = [curves_area(curves_of(ring)) for ring in rings]
    outer = max(range(len(rings)), key=lambda k: areas[k])
    holes = tuple(ring for k, ring in enumerate(rings) if k != outer and areas[k] < 0)
    if len(holes) != len(rings) - 1 or areas[outer] <= 0:
        raise InputError(
            f"“{one.name or one.id}” and “{other.name or other.id}” do not become one outline: mend their sides first."
        )
    piers = tuple(tuple(_taken_over(s, names, one, other) for s in ring) for ring in other.inner)
    s, _ = room_place(job, room_id)
    before = job.storeys[s]
    room = replace(
        one, outline=rings[outer], inner=(*one.inner, *piers, *holes), printed_area_m2=None, readings=None,
        ceiling=_field(one.ceiling, other.ceiling, before.height_mm, other, "ceiling"),
        floor=_field(one.floor, other.floor, 0.0, other, "floor"),
        ceiling_treatment=_ceiling(one, other, names),
    )  # fmt: skip
    moved = tuple(
        replace(o, room=room_id, side=names[o.side])
        for o in before.openings
        if o.room == other_id and o.side not in gone_other
    )
    lights = tuple(changed(light, room=room_id) if light.room == other_id else light for light in before.rooflights)
    job = changed_storey(job, s, replace(before, rooflights=lights))
    job = remove_room(job, other_id)
    job = exchanged(job, room, lambda opening: None if _stands_on(opening, gone_one) else opening, moved)
    return _without_straight_corners(job, room_id)


def _stands_on(opening: Opening, sides: set[SideId]) -> bool:
    return opening.side in sides


def _new_names(one: Room, other: Room) -> dict[SideId, SideId]:
    """A name for each side of the second room that no side of the first has."""
    taken = [str(s.id) for s in one.sides]
    names = {}
    for ring in other.rings:
        for side in ring:
            new = SideId(str(side.id) if side.id not in taken else fresh_id(taken, str(side.id)))
            taken.append(str(new))
            names[side.id] = new
    return names


def _taken_over(side: Side, names: dict[SideId, SideId], one: Room, other: Room) -> Side:
    """A side of the second room as one of the first: what it got from its room becomes its own."""
    treatment = side.treatment
    if treatment is None and other.walls != one.walls:
        treatment = other.walls
    return replace(side, id=names[side.id], treatment=treatment)


def _rings(pieces: list[tuple[Side, Side]], taken: list[SideId]) -> list[tuple[Side, ...]]:
    """Closed rings of sides, each given with what begins at its end; gaps are closed by short sides."""
    left = list(pieces)
    rings = []
    while left:
        ring = [left.pop(0)]
        while True:
            end = (ring[-1][1].x_mm, ring[-1][1].y_mm)
            to_first = math.dist(end, (ring[0][0].x_mm, ring[0][0].y_mm))
            found = min(left, key=lambda p: math.dist(end, (p[0].x_mm, p[0].y_mm)), default=None)
            off = math.inf if found is None else math.dist(end, (found[0].x_mm, found[0].y_mm))
            if off > SAME_MM and min(off, to_first) > SAME_MM:
                jamb = Side(id=SideId(fresh_id(taken, "jamb")), x_mm=end[0], y_mm=end[1])
                taken.append(jamb.id)
                ring.append((jamb, ring[0][0] if to_first <= off or found is None else found[0]))
            if to_first <= off or found is None:
                break
            left.remove(found)
            ring.append(found)
        rings.append(tuple(side for side, _ in ring))
    return rings


def _field(own: Field | None, theirs: Field | None, level_mm: float, other: Room, what: str) -> Field | None:
    """The first room's field, with the second's as a region of its own where it differs."""
    if own == theirs:
        return own
    flat = Field(planes=(Plane(z_mm=level_mm),))
    base, added = own or flat, theirs or flat
    taken = [str(region.id) for region in base.regions]
    regions = []
    if base.planes != added.planes:
        name = RegionId(fresh_id(taken, f"{what} of {other.id}"))
        taken.append(str(name))
        regions.append(
            Region(
                id=name,
                op="set",
                outline=_ring(other.outline),
                planes=added.planes,
                what=f"{what} of {other.name or other.id}",
                coat_face=None,
                source=added.source,
            )
        )
    for region in added.regions:
        name = RegionId(str(region.id) if region.id not in taken else fresh_id(taken, str(region.id)))
        taken.append(str(name))
        regions.append(replace(region, id=name))
    return replace(base, regions=(*base.regions, *regions))


def _ceiling(one: Room, other: Room, names: dict[SideId, SideId]) -> CeilingTreatment:
    own, theirs = one.ceiling_treatment, other.ceiling_treatment
    exclusions = [*own.exclusions, *(replace(e, id=f"{other.id}/{e.id}") for e in theirs.exclusions)]
    if own.coat != theirs.coat:
        bare = one if theirs.coat else other
        exclusions.append(Exclusion(id=f"ceiling of {bare.id}", outline=_ring(bare.outline), what="ceiling not coated"))
    named = {"left_on": own.left_on, "only": own.only}
    other_named = {"left_on": theirs.left_on, "only": theirs.only}
    fields = {}
    for name, borders in named.items():
        mine = [b if b.sides else replace(b, sides=_ids(one)) for b in borders]
        added = [
            replace(b, sides=tuple(names[s] for s in b.sides or _ids(other) if s in names)) for b in other_named[name]
        ]
        both = own.coat and theirs.coat
        same = borders == other_named[name] and all(not b.sides for b in borders)
        fields[name] = borders if same else (*mine, *(added if both or name == "left_on" else ()))
    return replace(own, coat=own.coat or theirs.coat, exclusions=tuple(exclusions), **fields)


def _ids(room: Room) -> tuple[SideId, ...]:
    return tuple(side.id for side in room.sides)


def _ring(sides: tuple[Side, ...]) -> Ring:
    return vertices(sides)


def _without_straight_corners(job: Job, room_id: RoomId) -> Job:
    """Corners between two sides that run on into each other, and are alike, taken away."""
    k = 0
    while k < len(room_of(job, room_id).outline):
        ring = room_of(job, room_id).outline
        a, b = ring[k - 1], ring[k]
        ca, cb = curves_of(ring)[k - 1], curves_of(ring)[k]
        if len(ring) > 3 and _alike(a, b) and _runs_on(ca, cb):
            job = delete_corner(job, room_id, b.id)
        else:
            k += 1
    return job


def _alike(a: Side, b: Side) -> bool:
    def what(side: Side) -> tuple[object, ...]:
        return (side.kind, side.open_from_mm, side.open_to_mm, side.wall_type, side.wall_face, side.treatment)

    plain = a.treatment is None or not (
        a.treatment.exclusions or a.treatment.start_mm is not None or a.treatment.end_mm is not None
    )
    return plain and what(a) == what(b)


def _runs_on(a: Curve, b: Curve) -> bool:
    if a.bulge or b.bulge:
        return bool(
            a.bulge
            and b.bulge
            and a.turn == b.turn
            and abs(a.radius - b.radius) <= SAME_MM
            and math.dist((a.cx, a.cy), (b.cx, b.cy)) <= SAME_MM
        )
    return a.where(b.x1, b.y1)[1] <= SAME_MM / 10.0 and a.dx * b.dx + a.dy * b.dy > 0
