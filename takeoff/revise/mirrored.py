"""A storey mirrored left to right: handed plots, and drawings that were plotted from the wrong side.

Rings are walked the other way round, so that outer ones stay anticlockwise: what is said along a side from its start is
said from what was its end.
"""

from __future__ import annotations

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.plan.model import (
    Exclusion,
    Field,
    Opening,
    Part,
    Plane,
    Reveal,
    Ring,
    Room,
    Side,
    Storey,
    Swing,
    WallTreatment,
)
from takeoff.plan.shape import curves_by_id, curves_of

replace = msgspec.structs.replace


def mirrored(storey: Storey) -> Storey:
    """The storey with x turned into −x. Rooms read on site lose their readings, which are walked one way round; how
    such rooms are set together goes with them."""
    lengths = {(room.id, side): curve.length for room in storey.rooms for side, curve in curves_by_id(room).items()}
    return replace(
        storey,
        rooms=tuple(_room(room) for room in storey.rooms),
        openings=tuple(_opening(o, lengths.get((o.room, o.side), 0.0)) for o in storey.openings),
        rooflights=tuple(replace(light, outline=mirrored_ring(light.outline)) for light in storey.rooflights),
        building=tuple(mirrored_ring(ring) for ring in storey.building),
        set_together=None,
    )


def mirrored_ring(ring: Ring) -> Ring:
    """A ring of the plan with x turned into −x, walked the other way round."""
    turned = ring[::-1]
    # the side that starts at a corner is, walked backwards, the one that ended there
    bulges = [*(vertex[2] for vertex in turned[1:]), *(vertex[2] for vertex in turned[:1])]
    return tuple((0.0 - x, y, bulge) for (x, y, _), bulge in zip(turned, bulges, strict=True))


def turned_reveal(reveal: Reveal) -> Reveal:
    """A reveal as it is seen along the wall the other way."""
    return replace(reveal, start=reveal.end, end=reveal.start)


def turned_swing(swing: Swing) -> Swing:
    """A leaf as it is seen along the wall the other way, from the same room."""
    return replace(swing, hinge="end" if swing.hinge == "start" else "start")


def _room(room: Room) -> Room:
    return replace(
        room,
        outline=_sides(room.outline),
        inner=tuple(_sides(ring) for ring in room.inner),
        ceiling=_field(room.ceiling),
        floor=_field(room.floor),
        ceiling_treatment=replace(
            room.ceiling_treatment,
            exclusions=tuple(
                replace(one, outline=mirrored_ring(one.outline)) for one in room.ceiling_treatment.exclusions
            ),
        ),
        stair=room.stair and replace(room.stair, outline=mirrored_ring(room.stair.outline)),
        readings=None,
    )


def _sides(ring: tuple[Side, ...]) -> tuple[Side, ...]:
    curves = curves_of(ring)
    ends = [(curve.x1, curve.y1) for curve in curves]
    walked = list(zip(ring, curves, ends, strict=True))[::-1]
    return tuple(replace(_side(side, curve), x_mm=0.0 - x, y_mm=y) for side, curve, (x, y) in walked)


def _side(side: Side, curve: Curve) -> Side:
    length = curve.length
    behind = tuple(
        replace(
            stretch,
            from_mm=0.0 if stretch.to_mm is None else length - stretch.to_mm,
            to_mm=None if stretch.from_mm == 0.0 else length - stretch.from_mm,
        )
        for stretch in side.behind[::-1]
    )
    treatment = side.treatment and _treatment(side.treatment, length)
    return replace(side, behind=behind, treatment=treatment)


def _treatment(treatment: WallTreatment, length: float) -> WallTreatment:
    def part(one: Part) -> Part:
        start, end = one
        return (0.0 if end is None else length - end, None if start == 0.0 else length - start)

    return replace(
        treatment,
        start_mm=treatment.end_mm,
        end_mm=treatment.start_mm,
        parts_mm=tuple(part(one) for one in treatment.parts_mm[::-1]),
        exclusions=tuple(_exclusion(one, length) for one in treatment.exclusions),
    )


def _exclusion(one: Exclusion, length: float) -> Exclusion:
    return replace(one, outline=tuple((x + length, z, bulge) for x, z, bulge in mirrored_ring(one.outline)))


def _field(field: Field | None) -> Field | None:
    if field is None:
        return None
    regions = tuple(
        replace(region, outline=mirrored_ring(region.outline), planes=_planes(region.planes))
        for region in field.regions
    )
    return replace(field, planes=_planes(field.planes), regions=regions)


def _planes(planes: tuple[Plane, ...]) -> tuple[Plane, ...]:
    return tuple(replace(plane, at_x_mm=0.0 - plane.at_x_mm, slope_x=0.0 - plane.slope_x) for plane in planes)


def _opening(opening: Opening, length: float) -> Opening:
    return replace(
        opening,
        offset_mm=length - opening.offset_mm - opening.width_mm,
        reveal=turned_reveal(opening.reveal),
        reveal_beyond=opening.reveal_beyond and turned_reveal(opening.reveal_beyond),
        swings=tuple(turned_swing(swing) for swing in opening.swings),
    )
