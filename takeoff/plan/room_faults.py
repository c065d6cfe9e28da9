"""What cannot be in the shape of a room, or looks wrong in it: rings, regions, ceilings below floors.

The check tells it; an edit that would bring it about is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Any

from shapely import Polygon

from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve, meet
from takeoff.geometry.rings import curves_area, inside, ring_curves
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr, tr_count
from takeoff.plan.model import Field, Ring, Room, Side, Storey
from takeoff.plan.said import at, m2, mm, spot
from takeoff.plan.shape import ceiling_height, chords, curves_of, floor_height, polygon, ring_polygon, vertices

SAME_MM = 1.0
"""Lengths and places closer than this are the same for a finding: nobody sets out finer."""


class Laid:
    """A room with sound rings. ``sides``: every side with its curve, outer ring first."""

    def __init__(self, storey: Storey, room: Room) -> None:
        self.storey, self.room = storey, room
        self.rings = [curves_of(ring) for ring in room.rings]
        self.curves = [curve for ring in self.rings for curve in ring]
        self.sides = dict(zip(_side_ids(room), self.curves, strict=True))

    @cached_property
    def polygon(self) -> Polygon:
        """The room's area, arcs as chords."""
        return polygon(self.room)

    @property
    def middle(self) -> tuple[float, float]:
        """A point inside the room."""
        point = self.polygon.representative_point()
        return point.x, point.y


def lay_out(storey: Storey, room: Room) -> Laid:
    """The room laid out; its rings must have been found sound."""
    return Laid(storey, room)


def _side_ids(room: Room) -> Iterator[str]:
    # An id that stands twice is a finding of its own; here the later side must not hide the first.
    seen: set[str] = set()
    for ring in room.rings:
        for number, side in enumerate(ring):
            yield side.id if side.id not in seen else f"{side.id} ({number})"
            seen.add(side.id)


LARGEST_ROOM_MM2 = 1e5 * 1e6
"""100,000 m², more than any hall that is plastered (common practice, no source)."""

SMALLEST_ROOM_MM2 = 0.01 * 1e6
"""0.01 m²: less is a sliver of linework."""


def unsound_outlines(storey: Storey, room: Room) -> list[Finding]:
    """Errors of the room's rings: too few sides, none of length, crossing, turned the wrong way."""
    found = list(_ring_faults(storey, room, room.outline, tr("The outline"), 1.0))
    for ring in room.inner:
        found += _ring_faults(storey, room, ring, tr("An inner outline"), -1.0)
    if not found and room.inner:
        found += _inner_places(storey, room)
    return found


def ring_fault(ring: Ring) -> tuple[str, float, float] | None:
    """What is wrong with a ring on its own, as the end of a sentence, and where; None if sound."""
    if not ring:
        return tr("has no corners"), 0.0, 0.0
    x, y = ring[0][0], ring[0][1]
    curves = ring_curves(ring)
    if len(curves) < (2 if any(c.bulge for c in curves) else 3):
        return tr_count("has only {count} side", "has only {count} sides", len(curves)), x, y
    for curve in curves:
        if curve.length <= SNAP_MM:
            return tr("has a side of no length {place}", place=at(curve.x0, curve.y0)), curve.x0, curve.y0
    crossing = _crossing(curves)
    if crossing is not None:
        return tr("crosses or touches itself {place}", place=at(*crossing)), *crossing
    if abs(curves_area(curves)) <= SNAP_MM:
        return tr("encloses nothing"), x, y
    return None


def _ring_faults(storey: Storey, room: Room, sides: Sequence[Side], what: str, turn: float) -> Iterator[Finding]:
    called: dict[str, Any] = {"ring": what, "room": room.title}
    fault = ring_fault(vertices(sides))
    if fault is not None:
        text, x, y = fault
        code = (
            "outline-crosses" if text == tr("crosses or touches itself {place}", place=at(x, y)) else "outline-unsound"
        )
        yield noticed(code, spot(storey, room, x, y), **called, fault=text)
        return
    area = curves_area(ring_curves(vertices(sides)))
    where = spot(storey, room, sides[0].x_mm, sides[0].y_mm)
    if area * turn < 0:
        way = tr("anticlockwise") if turn > 0 else tr("clockwise")
        yield noticed("outline-turned", where, **called, way=way)
    if abs(area) > LARGEST_ROOM_MM2:
        yield noticed("area-absurd", where, **called, area=m2(abs(area)))
    if turn > 0 and 0 < area < SMALLEST_ROOM_MM2:
        yield noticed("area-tiny", where, **called, area=m2(area))


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
    outer = ring_polygon(vertices(room.outline))
    holes = [ring_polygon(vertices(ring)) for ring in room.inner]
    for number, (hole, sides) in enumerate(zip(holes, room.inner, strict=True)):
        where = spot(storey, room, sides[0].x_mm, sides[0].y_mm)
        outside = hole.difference(outer).area
        if outside > _sliver(hole):
            outer_alone = math.isclose(outside, hole.area)
            how = tr("lies outside its outline") if outer_alone else tr("crosses its outline")
            yield noticed("inner-ring-outside", where, room=room.title, how=how)
        for other in holes[:number]:
            if hole.intersection(other).area > min(_sliver(hole), _sliver(other)):
                yield noticed("inner-rings-overlap", where, room=room.title)


def _sliver(polygon: Polygon) -> float:
    """The area of a strip of ``SAME_MM`` along half the border, below which nothing is said."""
    return float(polygon.length) * SAME_MM / 2.0


def unsound_regions(laid: Laid) -> list[Finding]:
    """Errors and checks of a room's fields: no planes, regions outside, overlapping, crossing."""
    found: list[Finding] = []
    for what, field in ((tr("the ceiling"), laid.room.ceiling), (tr("the floor"), laid.room.floor)):
        if field is not None:
            found += _field(laid, field, what)
    for light in laid.storey.rooflights:
        if light.room == laid.room.id:
            found += [f for _, f in _shape(laid, light.outline, light.title, light.id) if f]
    return found


def _field(laid: Laid, field: Field, what: str) -> Iterator[Finding]:
    name = laid.room.title
    where = spot(laid.storey, laid.room, laid.curves[0].x0, laid.curves[0].y0)
    if not field.planes:
        yield noticed("field-without-planes", where, field=what, room=name)
    shapes: list[tuple[str, Polygon]] = []
    for region in field.regions:
        title = tr("the part “{part}” of {field}", part=region.what or region.id, field=what)
        if not region.planes:
            yield noticed("field-without-planes", where, field=title, room=name)
        for shape, fault in _shape(laid, region.outline, title, region.id):
            if fault is not None:
                yield fault
            if shape is not None:
                yield from _nesting(laid, shapes, region.id, shape, what)
                shapes.append((region.id, shape))


def _shape(laid: Laid, ring: Ring, title: str, surface: str) -> Iterator[tuple[Polygon | None, Finding | None]]:
    """The polygon of a ring in the room's plan where it is sound, and what is wrong with it."""
    room, storey = laid.room, laid.storey
    fault = ring_fault(ring)
    if fault is not None:
        text, x, y = fault
        where = spot(storey, room, x, y, surface)
        yield None, noticed("region-unsound", where, region=title, room=room.title, fault=text)
        return
    shape = ring_polygon(ring)
    outside = shape.difference(laid.polygon).area
    where = spot(storey, room, ring[0][0], ring[0][1], surface)
    if outside > shape.area * 0.999:
        yield None, noticed("region-outside", where, region=title, room=room.title)
    elif outside > shape.length * SAME_MM / 2.0:
        yield shape, noticed("region-sticks-out", where, region=title, room=room.title, area=m2(outside))
    else:
        yield shape, None


def _nesting(laid: Laid, shapes: list[tuple[str, Polygon]], name: str, shape: Polygon, what: str) -> Iterator[Finding]:
    for other_name, other in shapes:
        shared = shape.intersection(other).area
        sliver = min(shape.length, other.length) * SAME_MM / 2.0
        if shared > sliver and min(shape.area, other.area) - shared > sliver:
            x, y = shape.intersection(other).representative_point().coords[0]
            where = spot(laid.storey, laid.room, x, y, name)
            yield noticed(
                "regions-overlap", where, one=other_name, other=name, field=what, room=laid.room.title, area=m2(shared)
            )


_NUDGE_MM = 0.5
"""How far beside a corner heights are looked at: both sides of a step count, its line does not."""

_ARC_POINTS = 8

HIGHEST_MM = 100_000.0
"""100 m from floor to ceiling: a slope that is carried on too far gives such heights of sound numbers
(common practice, no source)."""


def ceilings_below_floors(laid: Laid) -> Iterator[Finding]:
    """An error where a room's ceiling comes below its floor, at the deepest of such places, and one where
    it is higher above it than any ceiling is.

    The height of a void between planes is lowest at a corner of a room or region, or where two of
    their outlines cross, so only those are looked at; along arcs, points between.
    """
    room, storey = laid.room, laid.storey
    if _plain(room):
        gap = ceiling_height(storey, room, 0.0, 0.0) - floor_height(room, 0.0, 0.0)
        x, y = laid.curves[0].x0, laid.curves[0].y0
        most = (gap, x, y)
    else:
        places = list(_lowest_places(laid)) or [laid.middle]
        gaps = [(ceiling_height(storey, room, x, y) - floor_height(room, x, y), x, y) for x, y in places]
        gap, x, y = min(gaps)
        most = max(gaps)
    if gap < -SAME_MM:
        yield noticed("ceiling-below-floor", spot(storey, room, x, y), room=room.title, gap=mm(-gap), place=at(x, y))
    elif gap <= SAME_MM and _plain(room):
        yield noticed("room-without-height", spot(storey, room, x, y), room=room.title)
    if most[0] > HIGHEST_MM:
        height, px, py = most
        yield noticed("room-too-high", spot(storey, room, px, py), room=room.title, height=mm(height), place=at(px, py))


def _plain(room: Room) -> bool:
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    return all(not field.regions and all(p.slope_x == 0 and p.slope_y == 0 for p in field.planes) for field in fields)


def _lowest_places(laid: Laid) -> Iterator[tuple[float, float]]:
    """Points just beside every place where the void can be lowest, those inside the room."""
    fields = [field for field in (laid.room.ceiling, laid.room.floor) if field is not None]
    rings = [ring_curves(region.outline) for field in fields for region in field.regions if region.planes]
    corners = list(_looked_at(laid.rings, rings))
    for x, y in corners:
        for k in range(8):
            turn = (k + 0.5) * math.pi / 4.0
            px, py = x + _NUDGE_MM * math.cos(turn), y + _NUDGE_MM * math.sin(turn)
            if inside(laid.curves, px, py):
                yield px, py


def _looked_at(room: Sequence[Sequence[Curve]], regions: Sequence[Sequence[Curve]]) -> Iterator[tuple[float, float]]:
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
