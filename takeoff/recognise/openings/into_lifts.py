"""Doors of lifts: no leaf of theirs is drawn open, since they slide into the wall of the shaft.

A bare way or a few lines along one in the wall of a lift's shaft are its door. A lift says so, or its cabin is drawn in
it with a cross, smaller than the shaft (common practice of drawing, no source)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.model import Opening, Room
from takeoff.plan.opening_groups import OFF_FACE_MM, WALL_MM
from takeoff.plan.reasons import because
from takeoff.plan.shape import curves_by_id, sound_polygon
from takeoff.plan.usual_sizes import UsualSizes, of_kind
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.shaft_names import is_lift
from takeoff.recognise.openings.opening_kinds import with_reason

DOOR_MM = (650.0, 2600.0)
"""The doors of lifts, for goods as well, are so wide (common practice, no source)."""
SHAFT_M2, CABIN_PART = (1.8, 14.0), (0.3, 0.9)
"""A shaft is so large, and its cabin takes so much of it: what is crossed from wall to wall is a void or a shower."""
CLEAR_MM = 20.0
"""A cabin stands so far off its walls all round; a tray stands against them."""
CABIN_M2 = (0.9, 8.0)
"""A cabin is so large; one that no room was found round stands in a shaft as well (common practice, no source)."""


def into_lifts(
    openings: Sequence[Opening],
    rooms: Sequence[Room],
    words: Sequence[Placed],
    crossed: NDArray[np.object_],
    origin: tuple[float, float],
    usual: UsualSizes,
) -> list[Opening]:
    """The openings, those into lifts that are not sure as doors. ``words`` and ``crossed``, the boxes with crosses from
    corner to corner: near the origin."""
    said = [shapely.Point(w.x + origin[0], w.y + origin[1]) for w in words if is_lift(w.words.text)]
    boxes = shapely.transform(crossed, lambda xy: xy + np.array(origin))
    lifts = shapely.STRtree(_lifts([sound_polygon(room) for room in rooms], said, boxes))
    curves = {room.id: curves_by_id(room) for room in rooms}

    def judged(opening: Opening) -> Opening:
        curve = curves[opening.room].get(opening.side)
        fits = DOOR_MM[0] <= opening.width_mm <= DOOR_MM[1] and opening.kind != "door" and not opening.mark
        if opening.confidence == "sure" or not fits or curve is None or curve.length <= 0:
            return opening
        at = min(max(opening.offset_mm + opening.width_mm / 2.0, 0.0), curve.length)
        (x, y), (dx, dy) = curve.at(at), curve.direction(at)
        # rooms lie to the left of their sides: one of the lift's own hosts the opening, or the lift lies behind
        line = shapely.LineString([(x + dy * off, y - dx * off) for off in (-OFF_FACE_MM, WALL_MM)])
        if not len(lifts.query(line, predicate="intersects")):
            return opening
        return with_reason(of_kind(opening, "door", usual), because("as-door", reason=because("into-lift")))

    return [judged(opening) for opening in openings]


def _lifts(
    rooms: list[shapely.Polygon], said: list[shapely.Point], boxes: NDArray[np.object_]
) -> list[shapely.Polygon]:
    """The rooms that are shafts of lifts, and the cabins that lie in no room."""
    area = shapely.area(boxes)
    tree = shapely.STRtree(rooms)
    room, box = tree.query(boxes, predicate="intersects")[::-1]
    alone = ~np.isin(np.arange(len(boxes)), box) & (area >= CABIN_M2[0] * 1e6) & (area <= CABIN_M2[1] * 1e6)
    within = [
        (r, b) for r, b in zip(room.tolist(), box.tolist(), strict=True) if rooms[r].contains(boxes[b].buffer(CLEAR_MM))
    ]
    part = {r: area[b] / rooms[r].area for r, b in within}
    called = set(tree.query(said, predicate="within")[1].tolist()) if said else set()
    shafts = [
        shape
        for k, shape in enumerate(rooms)
        if SHAFT_M2[0] * 1e6 <= shape.area <= SHAFT_M2[1] * 1e6
        and (k in called or CABIN_PART[0] <= part.get(k, 0.0) <= CABIN_PART[1])
    ]
    return [*shafts, *boxes[alone]]
