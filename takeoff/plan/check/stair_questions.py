"""What several storeys ask: whether a ceiling goes on above a stair, and what looks from one storey into another."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.model import Job, Room, Storey
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.said import counted, m2
from takeoff.plan.shape import ceiling_height, sound_polygon
from takeoff.plan.stairs import is_named_as_stair, next_above, stair_of, stair_over


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
            lie = "lies" if len(high) == 1 else "lie"
            where = Where(storey=storey.id, room=room.id, opening=high[0].id)
            words = f"{counted(len(high), 'opening')} {lie}"
            yield noticed("opening-in-other-storey", where, openings=words, room=room.title, storey=above.title)


def _top(storey: Storey, room: Room) -> float:
    point = sound_polygon(room).representative_point()
    return ceiling_height(storey, room, point.x, point.y)
