"""Rings that cannot bound a room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import Polygon

from takeoff.errors import Finding
from takeoff.geometry.curves import Curve, meet
from takeoff.geometry.rings import curves_area, ring_curves
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.check.wording import at, finding, m2, room_name, spot
from takeoff.plan.model import Ring, Room, Side, Storey
from takeoff.plan.shape import chords, vertices

LARGEST_ROOM_MM2 = 1e5 * 1e6
"""100,000 m², more than any hall that is plastered (common practice, no source)."""

SMALLEST_ROOM_MM2 = 0.01 * 1e6
"""0.01 m²: less is a sliver of linework."""


def unsound_outlines(storey: Storey, room: Room) -> list[Finding]:
    """Errors of the room's rings: too few sides, none of length, crossing, turned the wrong way."""
    found = list(_ring(storey, room, room.outline, "outline", 1.0))
    for ring in room.inner:
        found += _ring(storey, room, ring, "inner ring", -1.0)
    if not found and room.inner:
        found += _inner_places(storey, room)
    return found


def ring_fault(ring: Ring) -> tuple[str, float, float] | None:
    """What is wrong with a ring on its own, as the end of a sentence, and where; None if sound."""
    if not ring:
        return "has no corners", 0.0, 0.0
    x, y = ring[0][0], ring[0][1]
    curves = ring_curves(ring)
    if len(curves) < (2 if any(c.bulge for c in curves) else 3):
        return f"has only {len(curves)} side{'s' if len(curves) > 1 else ''}", x, y
    for curve in curves:
        if curve.length <= SNAP_MM:
            return f"has a side of no length {at(curve.x0, curve.y0)}", curve.x0, curve.y0
    crossing = _crossing(curves)
    if crossing is not None:
        return f"crosses or touches itself {at(*crossing)}", *crossing
    if abs(curves_area(curves)) <= SNAP_MM:
        return "encloses nothing", x, y
    return None


def _ring(storey: Storey, room: Room, sides: Sequence[Side], what: str, turn: float) -> Iterator[Finding]:
    name = f"the {what} of {room_name(room)}"
    fault = ring_fault(vertices(sides))
    if fault is not None:
        text, x, y = fault
        code = "outline-crosses" if text.startswith("crosses") else "outline-unsound"
        yield finding(code, "error", f"{name} {text}: draw it again.", spot(storey, room, x, y))
        return
    area = curves_area(ring_curves(vertices(sides)))
    where = spot(storey, room, sides[0].x_mm, sides[0].y_mm)
    if area * turn < 0:
        way = "anticlockwise" if turn > 0 else "clockwise"
        yield finding("outline-turned", "error", f"{name} runs the wrong way round: list it {way}.", where)
    if abs(area) > LARGEST_ROOM_MM2:
        text = f"{name} encloses {m2(abs(area))}, more than any room has: check the unit of the drawing."
        yield finding("area-absurd", "error", text, where)
    if turn > 0 and 0 < area < SMALLEST_ROOM_MM2:
        text = f"{name} encloses only {m2(area)}: check the unit of the drawing, or take the room out."
        yield finding("area-tiny", "check", text, where)


def _crossing(curves: Sequence[Curve]) -> tuple[float, float] | None:
    """Where two sides of a ring have a point in common that is not their shared corner."""
    # Straight rings that shapely finds valid need no closer look, and nearly all are.
    if not any(c.bulge for c in curves) and Polygon(chords(curves)).is_valid:
        return None
    n = len(curves)
    for i in range(n):
        for j in range(i + 1, n):
            for t, u in meet(curves[i], curves[j]):
                if j == i + 1 and t >= curves[i].length - SAME_MM / 10 and u <= SAME_MM / 10:
                    continue
                if (j + 1) % n == i and u >= curves[j].length - SAME_MM / 10 and t <= SAME_MM / 10:
                    continue
                return curves[i].at(t)
    return None


def _inner_places(storey: Storey, room: Room) -> Iterator[Finding]:
    outer = Polygon(chords(ring_curves(vertices(room.outline))))
    holes = [Polygon(chords(ring_curves(vertices(ring)))) for ring in room.inner]
    for number, (hole, sides) in enumerate(zip(holes, room.inner, strict=True)):
        where = spot(storey, room, sides[0].x_mm, sides[0].y_mm)
        outside = hole.difference(outer).area
        if outside > _sliver(hole):
            how = "lies outside its outline" if math.isclose(outside, hole.area) else "crosses its outline"
            text = f"an inner ring of {room_name(room)} {how}: move it inside or take it out."
            yield finding("inner-ring-outside", "error", text, where)
        for other in holes[:number]:
            if hole.intersection(other).area > min(_sliver(hole), _sliver(other)):
                text = f"two inner rings of {room_name(room)} overlap: make one ring of them."
                yield finding("inner-rings-overlap", "error", text, where)


def _sliver(polygon: Polygon) -> float:
    """The area of a strip of ``SAME_MM`` along half the border, below which nothing is said."""
    return float(polygon.length) * SAME_MM / 2.0
