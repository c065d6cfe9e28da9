"""What lies above a room: the next storey, a stair (drawn, or said by the room's name) that is one well with its
own, and ceilings of which nobody has said what is above them, in groups that one answer is likely to fit.
"""

from __future__ import annotations

import re

import msgspec
import shapely
from shapely import Polygon
from shapely.affinity import translate

from takeoff.plan.model import AboveClass, Job, Room, RoomId, Stair, Storey
from takeoff.plan.shape import ring_polygon, sound_polygon

ALIKE = 0.5
"""Rooms that lie over each other on this part of the smaller may be one well (common practice, no source)."""


_WORDS = re.compile(
    r"stairs?|stair(?:cases?|well|way|hall)|treppen?|treppen(?:haus|raum)|stiege|stiegenhaus|escaliers?|escaleras?|"
    r"escadas?|scala|trap|trappen(?:huis|hal)|trapp[ae]?|trapphus|trappe?ro[mu]m?|schody|schodiště|schodisko|"
    r"лестница|лестничная|лестницы|сходи|сходова|merdiven|porras|portaikko|lépcső|lépcsőház|scară|scări|σκάλα|"
    r"κλιμακοστάσιο"
)
"""What a room with a stair is called."""
_BENEATH = re.compile(
    r"under|below|beneath|unter|sous|bajo|sob|sotto|onder|под|cupboard|store|abstellraum|placard|schrank|kast|armario"
)
"""With one of these a name says of a place beneath the stair, whose soffit is its ceiling."""


def stair_of(room: Room) -> Stair | None:
    """The stair that was seen in a room, or one without outline where its name says that it has one; None
    where there is none."""
    return room.stair or (Stair() if is_named_as_stair(room) else None)


def is_named_as_stair(room: Room) -> bool:
    """Whether a room's name says that it has a stair; one for what lies beneath a stair does not."""
    words = re.findall(r"[^\W\d_]+", room.name.casefold())
    return any(map(_WORDS.fullmatch, words)) and not any(map(_BENEATH.fullmatch, words))


def next_above(job: Job, storey: Storey) -> Storey | None:
    """The storey above: the next higher one, or the next in the job where no level is known."""
    order = sorted(range(len(job.storeys)), key=lambda k: (job.storeys[k].level_mm, k))
    at = next((n for n, k in enumerate(order) if job.storeys[k].id == storey.id), len(order))
    return job.storeys[order[at + 1]] if at + 1 < len(order) else None


def stair_over(job: Job, storey: Storey, room: Room) -> Room | None:
    """The room of the next storey with a stair that lies over this one with a stair; None where there is
    none. Plans that lie apart on one sheet are laid over each other by their stairs."""
    above = next_above(job, storey)
    stair = stair_of(room)
    if stair is None or above is None:
        return None
    own = sound_polygon(room)
    for other in above.rooms:
        beyond = stair_of(other)
        if beyond is None:
            continue
        theirs = sound_polygon(other)
        if _over(own, theirs):
            return other
        low, high = stair.outline, beyond.outline
        if low and high and not _one_ground(storey, above):
            a, b = ring_polygon(low).centroid, ring_polygon(high).centroid
            if _over(own, translate(theirs, a.x - b.x, a.y - b.y)):
                return other
    return None


def _over(own: Polygon, other: Polygon) -> bool:
    return bool(own.intersection(other).area > ALIKE * min(own.area, other.area) > 0.0)


def _one_ground(storey: Storey, above: Storey) -> bool:
    """Whether any room of one lies over a room of the other as they are drawn."""
    lower = [sound_polygon(room) for room in storey.rooms]
    return any(sound_polygon(room).intersection(low).area > 0.0 for room in above.rooms for low in lower)


COVERED = 0.5
"""A room lies under others where more of it does (common practice, no source)."""


class Ceilings(msgspec.Struct, frozen=True):
    """Rooms of a storey of which nobody has said what lies above, and what the job lets one think: rooms of
    the next storey lie over them, or their ceilings slope or have rooflights; else *unknown*."""

    storey: str
    rooms: tuple[RoomId, ...]
    likely: AboveClass


def unsaid_ceilings(job: Job) -> tuple[Ceilings, ...]:
    """The groups, storey by storey; none where every room has its answer."""
    found = []
    for storey in job.storeys:
        unsaid = [room for room in storey.rooms if room.above == "unknown"]
        if not unsaid:
            continue
        over = shapely.union_all([sound_polygon(room) for room in _rooms_higher(job, storey)])
        groups: dict[AboveClass, list[RoomId]] = {}
        for room in unsaid:
            groups.setdefault(_likely(storey, room, over), []).append(room.id)
        found += [Ceilings(str(storey.id), tuple(rooms), likely) for likely, rooms in groups.items()]
    return tuple(found)


def _rooms_higher(job: Job, storey: Storey) -> tuple[Room, ...]:
    """The rooms of the lowest storey above; plans that lie beside each other share no ground with it."""
    higher = [other for other in job.storeys if other.level_mm > storey.level_mm]
    return min(higher, key=lambda other: other.level_mm).rooms if higher else ()


def _likely(storey: Storey, room: Room, over: shapely.Geometry) -> AboveClass:
    own = sound_polygon(room)
    if own.area and own.intersection(over).area > COVERED * own.area:
        return "same"
    sloped = room.ceiling is not None and any(plane.slope_x or plane.slope_y for plane in room.ceiling.planes)
    return "roof" if sloped or any(light.room == room.id for light in storey.rooflights) else "unknown"
