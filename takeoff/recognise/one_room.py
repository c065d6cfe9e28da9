"""The rooms that may be meant by a point of a drawing, with the openings in their own sides, the likeliest first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
import shapely.affinity

from takeoff.geometry.curves import Point
from takeoff.plan.model import Confidence, Field, Opening, Plane, Room, RoomId
from takeoff.plan.reasons import because
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.openings.opening_hosts import host_openings
from takeoff.recognise.openings.opening_marks import marked
from takeoff.recognise.presets import Settings
from takeoff.recognise.rooms.borders import sides_of
from takeoff.recognise.rooms.making import own_area
from takeoff.recognise.round_point.known_ground import Ground
from takeoff.recognise.round_point.likely_rooms import Likely, likely_rooms

DEFAULTS = Settings()
Line = tuple[Point, Point]

MOST, WORSE = 6, 3.5
"""So many rooms are offered for a point, and none that is so much less likely than the first."""
WALLED = 0.6
"""A space that was read is sure where this part of its border are walls of a usual thickness."""


class FoundRoom(NamedTuple):
    """A room and the openings in its own sides, whichever room's they would be in a whole plan."""

    room: Room
    openings: tuple[Opening, ...]


def rooms_at(
    ground: Ground,
    x_mm: float,
    y_mm: float,
    taken: Sequence[Room] = (),
    settings: Settings = DEFAULTS,
    bounds: Sequence[Line] = (),
    doubted: Sequence[Room] = (),
) -> tuple[FoundRoom, ...]:
    """The rooms that may be meant by a point of the drawing, the likeliest first; empty where nothing closed is round
    it. ``taken``: rooms that are there and stay, so that no other covers their ground; ``bounds``: lines that
    the user drew for rooms to end at; ``doubted``: rooms that are there in doubt."""
    x, y = ground.origin
    shapes, doubts = (
        [shapely.affinity.translate(sound_polygon(room), -x, -y) for room in rooms] for rooms in (taken, doubted)
    )
    drawn = np.array([(*a, *b) for a, b in bounds], float).reshape(-1, 4) - np.array([x, y, x, y])
    likely = likely_rooms(ground, x_mm - x, y_mm - y, shapes, drawn, doubts)
    likely = [one for one in likely[:MOST] if one.score >= likely[0].score - WORSE]
    return tuple(_found(ground, one, settings) for one in likely)


def _found(ground: Ground, likely: Likely, settings: Settings) -> FoundRoom:
    written = likely.written
    sides = sides_of([list(ring) for ring in likely.rings], ground.origin)
    own = own_area(written, float(likely.polygon.area) / 1e6)
    heights = {round(w.words.value, 1) for w in written.heights}
    confidence: Confidence = "sure" if likely.printed or (likely.read and likely.walled >= WALLED) else "check"
    room = Room(
        id=RoomId("r1"),
        outline=sides[0],
        inner=tuple(sides[1:]),
        name=" / ".join(written.names),
        number=" / ".join(written.numbers),
        ceiling=Field(planes=(Plane(z_mm=heights.pop()),), source="figured") if len(heights) == 1 else None,
        printed_area_m2=own.words.value if own else None,
        confidence=confidence,
        evidence=(because("by-hand"),),
    )
    # by itself it gets the doors, too, that in a whole plan are its neighbours'
    openings = host_openings(list(ground.openings), [room], ground.origin, settings).openings
    return FoundRoom(room, tuple(marked(openings, [room], list(ground.words), ground.origin)))


COVERED, NEAR_MM = 0.1, 6000.0
"""A room that shares this part of its ground, or of the new room's, is in its place. Names farther off than this from
every room are titles and notes."""


def in_place_of(new: Room, rooms: Sequence[Room]) -> tuple[Room, ...]:
    """Those of some rooms that a new one takes the place of."""
    own = sound_polygon(new)
    shared = [(room, shape) for room in rooms if (shape := sound_polygon(room)).intersects(own)]
    return tuple(r for r, s in shared if own.intersection(s).area >= COVERED * min(own.area, s.area))


def names_in_none(ground: Ground, rooms: Sequence[Room]) -> tuple[tuple[str, Point], ...]:
    """(what is written, where in the drawing) of names and areas near these rooms but in none of them, from top to
    bottom; empty without rooms or names."""
    if not rooms:
        return ()
    x, y = ground.origin
    shapes = [shapely.affinity.translate(sound_polygon(room), -x, -y) for room in rooms]
    low_x, low_y, high_x, high_y = (float(v) for v in shapely.total_bounds(shapes))
    found = [
        (word.words.text, (word.x + x, word.y + y))
        for word in ground.spoken
        if word.words.kind in ("name", "area")
        and low_x - NEAR_MM <= word.x <= high_x + NEAR_MM
        and low_y - NEAR_MM <= word.y <= high_y + NEAR_MM
        and not any(shapely.contains_xy(shape, word.x, word.y) for shape in shapes)
    ]
    return tuple(sorted(found, key=lambda one: (-one[1][1], one[1][0])))
