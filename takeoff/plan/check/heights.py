"""Ceilings that come below their floors."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from takeoff.errors import Finding
from takeoff.geometry.curves import Curve, meet
from takeoff.geometry.rings import inside, ring_curves
from takeoff.plan.check.laid import SAME_MM, Laid
from takeoff.plan.check.wording import at, finding, mm, room_name, spot
from takeoff.plan.model import Room
from takeoff.plan.shape import ceiling_height, floor_height

_NUDGE_MM = 0.5
"""How far beside a corner heights are looked at: both sides of a step count, its line does not."""

_ARC_POINTS = 8


def ceilings_below_floors(laid: Laid) -> Iterator[Finding]:
    """An error where a room's ceiling comes below its floor, at the deepest of such places.

    The height of a void between planes is lowest at a corner of a room or region, or where two of
    their outlines cross, so only those are looked at; along arcs, points between.
    """
    room, storey = laid.room, laid.storey
    if _plain(room):
        gap = ceiling_height(storey, room, 0.0, 0.0) - floor_height(room, 0.0, 0.0)
        x, y = laid.curves[0].x0, laid.curves[0].y0
    else:
        places = list(_places(laid)) or [laid.middle]
        gaps = [(ceiling_height(storey, room, x, y) - floor_height(room, x, y), x, y) for x, y in places]
        gap, x, y = min(gaps)
    if gap < -SAME_MM:
        text = f"the ceiling of {room_name(room)} comes {mm(-gap)} below its floor {at(x, y)}: "
        yield finding("ceiling-below-floor", "error", text + "mend one of their heights.", spot(storey, room, x, y))
    elif gap <= SAME_MM and _plain(room):
        text = f"{room_name(room)} has no height between floor and ceiling: give its ceiling."
        yield finding("room-without-height", "error", text, spot(storey, room, x, y))


def _plain(room: Room) -> bool:
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    return all(not field.regions and all(p.slope_x == 0 and p.slope_y == 0 for p in field.planes) for field in fields)


def _places(laid: Laid) -> Iterator[tuple[float, float]]:
    """Points just beside every place where the void can be lowest, those inside the room."""
    fields = [field for field in (laid.room.ceiling, laid.room.floor) if field is not None]
    rings = [ring_curves(region.outline) for field in fields for region in field.regions if region.planes]
    corners = list(_corners(laid.rings, rings))
    for x, y in corners:
        for k in range(8):
            turn = (k + 0.5) * math.pi / 4.0
            px, py = x + _NUDGE_MM * math.cos(turn), y + _NUDGE_MM * math.sin(turn)
            if inside(laid.curves, px, py):
                yield px, py


def _corners(room: Sequence[Sequence[Curve]], regions: Sequence[Sequence[Curve]]) -> Iterator[tuple[float, float]]:
    for ring in (*room, *regions):
        for curve in ring:
            yield curve.x0, curve.y0
            if curve.bulge:
                for k in range(1, _ARC_POINTS):
                    yield curve.at(curve.length * k / _ARC_POINTS)
    for number, ring in enumerate(regions):
        for other in (*room, *regions[:number]):
            for curve in ring:
                for crossed in other:
                    for t, _ in meet(curve, crossed):
                        yield curve.at(t)
