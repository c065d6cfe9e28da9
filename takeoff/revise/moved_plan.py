"""What lies in the plan of a room whose walls have moved: parts of its ceiling and floor, what is left out of its
ceiling, strips along walls, rooflights. What stands at a wall moves with the wall."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import msgspec
from shapely import Point as Spot

from takeoff.geometry.curves import Curve, Point
from takeoff.language import tr
from takeoff.plan.model import (
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    OpeningId,
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
SAME_LIGHT = 0.3
"""Rooflights that share so much of their outline are one."""


def fields_moved(
    room: Room, old: Room, new: Room, called: Mapping[SideId, SideId], paired: Mapping[SideId, SidePair],
    lost: list[Lost],
) -> Room:  # fmt: skip
    """The reshaped room with all that lies in its plan where its walls are now. What has no place any more is
    added to ``lost``."""
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
    treatment = _ceiling(room.ceiling_treatment, old, names, ring, fits, lost)
    stair = room.stair
    if stair is not None and not stair.answer and new.stair is not None:
        stair = replace(stair, outline=new.stair.outline)
    return replace(room, ceiling=field(room.ceiling), floor=field(room.floor), ceiling_treatment=treatment, stair=stair)


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
        if border.sides and not sides:
            lost.append(Lost(tr("strip of the ceiling"), old.title, border.what, str(old.id)))
        else:
            found.append(border if sides == border.sides else replace(border, sides=sides))
    return tuple(found)


def lights_carried(
    old: Storey, new: Storey, rooms: Sequence[Room], drawn: Mapping[RoomId, Room], lost: list[Lost],
    fresh: Callable[[], OpeningId],
) -> tuple[Rooflight, ...]:  # fmt: skip
    """The rooflights of a storey: those of the job whose rooms are still there, and those that only the new drawing
    has. ``drawn``: rooms by the ids of the new drawing."""
    there = {room.id for room in rooms}
    kept: list[Rooflight] = []
    for light in old.rooflights:
        if light.room in there:
            kept.append(light)
        elif light.source in ("typed", "site"):
            was = tr("{count} corners", count=len(light.outline))
            lost.append(Lost(tr("rooflight"), light.title, was, str(light.room)))
    shapes = [ring_polygon(light.outline) for light in kept]
    for light in new.rooflights:
        room, own = drawn.get(light.room), ring_polygon(light.outline)
        again = any(own.intersection(s).area >= SAME_LIGHT * own.union(s).area for s in shapes)
        if room is not None and not again:
            kept.append(replace(light, id=fresh(), room=room.id))
    return tuple(kept)
