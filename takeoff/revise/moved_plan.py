"""What lies in the plan of a room whose walls have moved: parts of its ceiling and floor, what is left out of its
ceiling, strips along walls, rooflights. What stands at a wall moves with the wall."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

import msgspec
from shapely import Point as Spot
from shapely import Polygon

from takeoff.geometry.curves import Curve, Point
from takeoff.language import tr
from takeoff.plan.model import (
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    OpeningId,
    Plane,
    Region,
    Ring,
    Rooflight,
    Room,
    RoomId,
    SideId,
    Storey,
)
from takeoff.plan.shape import curves_by_id, ring_polygon, sound_polygon
from takeoff.revise.lost import Lost
from takeoff.revise.matching import SidePair

replace = msgspec.structs.replace

AT_WALL_MM = 2.0
"""What lies this near to a wall stands at it."""
LEAST_LEFT = 0.02
"""A part of which less is left in the room has no place in it."""
SAME_PART = 0.01
"""Parts of a ceiling whose outlines differ by less of their area are one."""
SAME_LIGHT = 0.3
"""Rooflights that share so much of their outline are one."""


def fields_moved(
    room: Room, old: Room, new: Room, called: Mapping[SideId, SideId], paired: Mapping[SideId, SidePair],
    lost: list[Lost], shared: Collection[SideId] = (),
) -> Room:  # fmt: skip
    """The reshaped room with all that lies in its plan where its walls are now. What has no place any more is
    added to ``lost``. ``shared``: walls that go on in another part of the room."""
    moved = _mover(old, new, paired)
    shape = sound_polygon(room)

    def fits(outline: Ring) -> bool:
        own = ring_polygon(outline) if len(outline) > 1 else Spot(0, 0).buffer(0)
        return bool(own.area > 0.0 and own.intersection(shape).area >= LEAST_LEFT * own.area)

    def ring(outline: Ring) -> Ring:
        return tuple((*moved((x, y)), bulge) for x, y, bulge in outline)

    def field(one: Field | None) -> Field | None:
        if one is None or not one.regions:
            return one
        kept: list[Region] = []
        for region in one.regions:
            outline = ring(region.outline)
            if fits(outline):
                kept.append(region if outline == region.outline else replace(region, outline=outline))
            else:
                was = tr("{count} corners", count=len(region.outline))
                lost.append(Lost(region.what or tr("part of the ceiling or floor"), old.title, was, str(old.id)))
        return replace(one, regions=tuple(kept))

    names: dict[SideId, list[SideId]] = {}
    for side, pair in paired.items():
        if pair.room == old.id:
            names.setdefault(pair.side, []).append(called[side])
    there: dict[SideId, Sequence[SideId]] = {**dict.fromkeys(shared, ()), **names}
    treatment = _ceiling(room.ceiling_treatment, old, there, ring, fits, lost)
    stair = room.stair
    if stair is not None and not stair.answer and new.stair is not None:
        stair = replace(stair, outline=new.stair.outline)
    return replace(room, ceiling=field(room.ceiling), floor=field(room.floor), ceiling_treatment=treatment, stair=stair)


FROM_DRAWING = ("drawn", "figured", "assumed")
"""Sources of what nobody set: the new drawing's goes before."""
SAME_HEIGHT_MM = 0.5


def field_drawn(mine: Field | None, drawn: Field | None, new: Room) -> Field | None:
    """A ceiling or floor as the new drawing has it, where nobody set it, with the parts that were put in by hand; else
    the very same as it was."""
    if drawn is None or (mine is not None and mine.source not in FROM_DRAWING):
        return mine
    if mine is None:
        return drawn
    by_hand = tuple(region for region in mine.regions if region.source not in FROM_DRAWING)
    theirs = [region for region in mine.regions if region.source in FROM_DRAWING]
    if same_planes(mine, drawn, new) and _same_regions(theirs, drawn.regions):
        return mine
    names = {region.id for region in by_hand}
    return replace(drawn, regions=(*by_hand, *(region for region in drawn.regions if region.id not in names)))


def same_planes(mine: Field, drawn: Field, room: Room) -> bool:
    """Whether two ceilings or floors are of one height over every corner of a room."""
    if len(mine.planes) != len(drawn.planes):
        return False
    return all(
        any(_near_planes(a, b, [(side.x_mm, side.y_mm) for side in room.sides]) for b in drawn.planes)
        for a in mine.planes
    )


def _near_planes(a: Plane, b: Plane, corners: Sequence[Point]) -> bool:
    return all(abs(a.at(x, y) - b.at(x, y)) <= SAME_HEIGHT_MM for x, y in corners)


def _same_regions(mine: Sequence[Region], theirs: Sequence[Region]) -> bool:
    """Whether the parts that drawings gave are the same ones."""
    if len(mine) != len(theirs):
        return False
    return all(any(one.op == other.op and _same_part(one, other) for other in theirs) for one in mine)


def _same_part(one: Region, other: Region) -> bool:
    a, b = ring_polygon(one.outline), ring_polygon(other.outline)
    corners = [(x, y) for x, y, _ in one.outline]
    planes = len(one.planes) == len(other.planes) and all(
        any(_near_planes(p, q, corners) for q in other.planes) for p in one.planes
    )
    return planes and bool(a.symmetric_difference(b).area <= SAME_PART * max(a.area, b.area))


def _mover(old: Room, new: Room, paired: Mapping[SideId, SidePair]) -> Callable[[Point], Point]:
    """Where a place in the plan of a room is now: as far across as the walls that it stands at have moved."""
    before, now = curves_by_id(old), curves_by_id(new)
    walls: list[tuple[Curve, Point]] = []
    for side, pair in paired.items():
        wall, drawn = before.get(pair.side), now[side]
        if pair.room != old.id or pair.piece or wall is None or wall.bulge or drawn.bulge or not wall.length:
            continue
        dx, dy = wall.direction(0.0)
        across = -(drawn.x0 - wall.x0) * dy + (drawn.y0 - wall.y0) * dx
        walls.append((wall, (-dy * across, dx * across)))

    def moved(place: Point) -> Point:
        x, y = place
        by: list[Point] = []
        for wall, (ax, ay) in walls:
            dx, dy = wall.direction(0.0)
            u = (x - wall.x0) * dx + (y - wall.y0) * dy
            v = -(x - wall.x0) * dy + (y - wall.y0) * dx
            at = abs(v) <= AT_WALL_MM and -AT_WALL_MM <= u <= wall.length + AT_WALL_MM
            if at and not any(abs(ax - bx) < 1e-6 and abs(ay - by_) < 1e-6 for bx, by_ in by):
                by.append((ax, ay))
        return x + sum(b[0] for b in by), y + sum(b[1] for b in by)

    return moved


def _ceiling(
    treatment: CeilingTreatment, old: Room, names: Mapping[SideId, Sequence[SideId]], ring: Callable[[Ring], Ring],
    fits: Callable[[Ring], bool], lost: list[Lost],
) -> CeilingTreatment:  # fmt: skip
    kept: list[Exclusion] = []
    for one in treatment.exclusions:
        outline = ring(one.outline)
        if fits(outline):
            kept.append(one if outline == one.outline else replace(one, outline=outline))
        else:
            what = one.what or tr("masked part")
            lost.append(Lost(tr("masked part of the ceiling"), old.title, what, str(old.id)))
    return replace(
        treatment,
        exclusions=tuple(kept),
        left_on=_borders(treatment.left_on, old, names, lost),
        only=_borders(treatment.only, old, names, lost),
    )


def _borders(
    borders: tuple[Border, ...], old: Room, names: Mapping[SideId, Sequence[SideId]], lost: list[Lost]
) -> tuple[Border, ...]:
    found = []
    for border in borders:
        sides = tuple(name for side in border.sides for name in names.get(side, ()))
        if border.sides and not sides and any(side in names for side in border.sides):
            continue  # it goes on along a wall of another part
        if border.sides and not sides:
            lost.append(Lost(tr("strip of the ceiling"), old.title, border.what, str(old.id)))
        else:
            found.append(border if sides == border.sides else replace(border, sides=sides))
    return tuple(found)


def lights_carried(
    old: Storey, new: Storey, rooms: Sequence[Room], drawn: Mapping[RoomId, Room], lost: list[Lost],
    fresh: Callable[[], OpeningId],
) -> tuple[Rooflight, ...]:  # fmt: skip
    """The rooflights of a storey: those that the new drawing has, under the ids of the job's, and those that were put
    in by hand. ``drawn``: rooms by the ids of the new drawing; the others stay as they were."""
    there, held = {room.id for room in rooms}, {room.id for room in rooms} - {room.id for room in drawn.values()}
    theirs = [(light, ring_polygon(light.outline)) for light in new.rooflights if light.room in drawn]
    kept: list[Rooflight] = []
    again: set[OpeningId] = set()
    for light in old.rooflights:
        own = ring_polygon(light.outline)
        alike = [one for one in theirs if one[0].id not in again and _one_light(own, one[1])]
        again |= {one.id for one, _ in alike}
        by_hand = light.source in ("typed", "site")
        if light.room not in there or not (alike or by_hand or light.room in held):
            if by_hand:
                was = tr("{count} corners", count=len(light.outline))
                lost.append(Lost(tr("rooflight"), light.title, was, str(light.room)))
            continue
        if by_hand or light.room in held or own.symmetric_difference(alike[0][1]).area <= SAME_PART * own.area:
            kept.append(light)
        else:
            kept.append(replace(light, outline=alike[0][0].outline))
    kept += [replace(light, id=fresh(), room=drawn[light.room].id) for light, _ in theirs if light.id not in again]
    return tuple(kept)


def _one_light(a: Polygon, b: Polygon) -> bool:
    return bool(a.intersection(b).area >= SAME_LIGHT * a.union(b).area)
