"""Rooms against each other: in one storey, and what several storeys ask: whether a ceiling goes on above a stair, and
what looks from one storey into another.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import Point, STRtree

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve
from takeoff.language import tr_count
from takeoff.plan.model import Job, Room, Storey
from takeoff.plan.room_faults import SAME_MM, Laid
from takeoff.plan.said import at, m2, spot
from takeoff.plan.shape import ceiling_height, floor_height, sound_polygon
from takeoff.plan.storeys_above import is_named_as_stair, next_above, stair_of, stair_over
from takeoff.plan.wall_letters import wall_letter

OVERLAP_MM2 = 1000.0
"""Rooms that share less area than this, or less than a strip of ``SAME_MM``, only touch."""

MOST_OVERLAPS = 200
"""So many pairs of rooms of a storey are told by name; where there are more, the plan lies over itself, and the rest
would only fill the papers."""

OPEN_REACH_MM = 50.0
"""How far across an open side the next space is looked for (common practice, no source)."""


def rooms_against_each_other(storey: Storey, rooms: Sequence[Laid]) -> list[Finding]:
    """Errors for rooms that overlap, and checks for open sides with no space behind them."""
    if not rooms:
        return []
    tree = STRtree([laid.polygon for laid in rooms])
    return [*_overlaps(storey, rooms, tree), *_open_sides(storey, rooms, tree)]


def _overlaps(storey: Storey, rooms: Sequence[Laid], tree: STRtree) -> Iterator[Finding]:
    shapes = [laid.polygon for laid in rooms]
    first, second = tree.query(shapes, predicate="intersects")
    told = 0
    for i, j in sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j):
        shared = shapes[i].intersection(shapes[j])
        if shared.area <= max(OVERLAP_MM2, shared.length * SAME_MM / 2.0):
            continue
        point = shared.representative_point()
        if _one_above_the_other(rooms[i], rooms[j], point.x, point.y):
            continue
        if told == MOST_OVERLAPS:
            yield noticed("rooms-overlap/more", Where(storey=storey.id), most=MOST_OVERLAPS, storey=storey.title)
            return
        told += 1
        where = spot(storey, rooms[j].room, point.x, point.y)
        yield noticed(
            "rooms-overlap",
            where,
            one=rooms[i].room.title,
            other=rooms[j].room.title,
            area=m2(shared.area),
            place=at(point.x, point.y),
        )


def _one_above_the_other(a: Laid, b: Laid, x: float, y: float) -> bool:
    """A gallery and the space below it may share their plan."""
    below = ceiling_height(a.storey, a.room, x, y) <= floor_height(b.room, x, y) + SAME_MM
    above = ceiling_height(b.storey, b.room, x, y) <= floor_height(a.room, x, y) + SAME_MM
    return below or above


def _open_sides(storey: Storey, rooms: Sequence[Laid], tree: STRtree) -> Iterator[Finding]:
    for number, laid in enumerate(rooms):
        for side in laid.room.sides:
            if side.kind == "open":
                curve = laid.sides[side.id]
                if not _led_on(curve, tree, number):
                    x, y = curve.at(curve.length / 2.0)
                    where = spot(storey, laid.room, x, y, side.id)
                    wall = wall_letter(laid.room, side.id)
                    yield noticed("open-side-leads-nowhere", where, side=wall, room=laid.room.title)


def _led_on(curve: Curve, tree: STRtree, number: int) -> bool:
    """Whether another room lies within reach outside each quarter of a side."""
    for share in (0.25, 0.5, 0.75):
        x, y = curve.at(curve.length * share)
        x0, y0 = curve.at(curve.length * (share - 0.01))
        x1, y1 = curve.at(curve.length * (share + 0.01))
        run = math.hypot(x1 - x0, y1 - y0)
        out = Point(x + (y1 - y0) / run * SAME_MM, y - (x1 - x0) / run * SAME_MM)
        near = tree.query(out, predicate="dwithin", distance=OPEN_REACH_MM)
        if any(int(k) != number for k in near):
            return True
    return False


def stairs_unanswered(job: Job) -> Iterator[Finding]:
    """A *check* for each room with a stair of whose ceiling nobody has said what it does above it. One that
    only its name says, on the last storey over others with stairs, comes up there and is not asked about."""
    for storey in job.storeys:
        last = len(job.storeys) > 1 and next_above(job, storey) is None
        comes_up = last and any(stair_of(room) for other in job.storeys if other is not storey for room in other.rooms)
        for room in storey.rooms:
            stair = stair_of(room)
            if stair is None or stair.answer:
                continue
            if room.stair is None and comes_up:
                continue
            x, y = (room.outline[0].x_mm, room.outline[0].y_mm) if room.outline else (None, None)
            where = Where(storey=storey.id, room=room.id, x_mm=x, y_mm=y)
            title, area = room.title, m2(float(sound_polygon(room).area))
            over = stair_over(job, storey, room)
            named = is_named_as_stair(room) and not stair.outline
            if not room.ceiling_treatment.coat:
                key = "stair-drawn/named-left-out" if named else "stair-drawn/left-out"
                yield noticed(key, where, room=title, area=area)
            elif over is not None:
                yield noticed("stair-drawn/well", where, room=title, area=area, over=over.title)
            else:
                yield noticed("stair-drawn/named" if named else "stair-drawn", where, room=title, area=area)


def openings_in_other_storeys(job: Job) -> Iterator[Finding]:
    """A *check* for each room that has openings wholly above the level of the next storey, in a space that
    is as tall as that."""
    for storey in job.storeys:
        above = next_above(job, storey)
        if above is None or above.level_mm <= storey.level_mm:
            continue
        rise = above.level_mm - storey.level_mm
        for room in storey.rooms:
            high = [o for o in storey.openings if o.room == room.id and o.sill_mm >= rise - SAME_MM]
            if not high or _top(storey, room) <= rise + SAME_MM:
                continue
            where = Where(storey=storey.id, room=room.id, opening=high[0].id)
            words = tr_count("{count} opening", "{count} openings", len(high))
            yield noticed("opening-in-other-storey", where, openings=words, room=room.title, storey=above.title)


def _top(storey: Storey, room: Room) -> float:
    point = sound_polygon(room).representative_point()
    return ceiling_height(storey, room, point.x, point.y)
