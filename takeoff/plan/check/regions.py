"""Regions of ceilings and floors, and rooflights, that do not fit their room."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon

from takeoff.errors import Finding
from takeoff.plan.check.laid import SAME_MM, Laid
from takeoff.plan.check.outlines import ring_fault
from takeoff.plan.check.wording import finding, m2, room_name, spot
from takeoff.plan.model import Field, Ring
from takeoff.plan.shape import ring_polygon


def unsound_regions(laid: Laid) -> list[Finding]:
    """Errors and checks of a room's fields: no planes, regions outside, overlapping, crossing."""
    found: list[Finding] = []
    for what, field in (("ceiling", laid.room.ceiling), ("floor", laid.room.floor)):
        if field is not None:
            found += _field(laid, field, what)
    for light in laid.storey.rooflights:
        if light.room == laid.room.id:
            found += [f for _, f in _shape(laid, light.outline, f"rooflight {light.mark or light.id}", light.id) if f]
    return found


def _field(laid: Laid, field: Field, what: str) -> Iterator[Finding]:
    name = room_name(laid.room)
    where = spot(laid.storey, laid.room, laid.curves[0].x0, laid.curves[0].y0)
    if not field.planes:
        yield finding("field-without-planes", "error", f"the {what} of {name} has no plane: give its height.", where)
    shapes: list[tuple[str, Polygon]] = []
    for region in field.regions:
        title = f"the region {region.what or region.id} of the {what}"
        if not region.planes:
            text = f"{title} of {name} has no plane: give its height."
            yield finding("field-without-planes", "error", text, where)
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
        yield (None, finding("region-unsound", "error", f"{title} of {room_name(room)} {text}: draw it again.", where))
        return
    shape = ring_polygon(ring)
    outside = shape.difference(laid.polygon).area
    where = spot(storey, room, ring[0][0], ring[0][1], surface)
    if outside > shape.area * 0.999:
        text = f"{title} lies outside {room_name(room)}: move it inside or take it out."
        yield None, finding("region-outside", "error", text, where)
    elif outside > shape.length * SAME_MM / 2.0:
        text = f"{title} sticks out of {room_name(room)} by {m2(outside)}, which is cut off: check its outline."
        yield shape, finding("region-sticks-out", "check", text, where)
    else:
        yield shape, None


def _nesting(laid: Laid, shapes: list[tuple[str, Polygon]], name: str, shape: Polygon, what: str) -> Iterator[Finding]:
    for other_name, other in shapes:
        shared = shape.intersection(other).area
        sliver = min(shape.length, other.length) * SAME_MM / 2.0
        if shared > sliver and min(shape.area, other.area) - shared > sliver:
            x, y = shape.intersection(other).representative_point().coords[0]
            text = f"the regions {other_name} and {name} of the {what} of {room_name(laid.room)} overlap by "
            text += f"{m2(shared)}, and neither lies within the other: part them."
            yield finding("regions-overlap", "error", text, spot(laid.storey, laid.room, x, y, name))
