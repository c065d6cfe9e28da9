"""Levels, ceilings, floors and their regions; ceilings that slope by eaves and pitch, or by corner heights."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.geometry.planes import FIT_MM, Height, Through, planes_through
from takeoff.geometry.rings import curves_area
from takeoff.language import tr
from takeoff.plan.edits.lookup import (
    changed,
    finite,
    ring_of,
    room_of,
    room_place,
    side_place,
    storey_of,
    unused,
    with_room,
    with_storey,
)
from takeoff.plan.model import Field, Job, Plane, Region, RegionId, Room, RoomId, SideId, Source, StoreyId
from takeoff.plan.room_faults import SAME_MM, ceilings_below_floors, lay_out
from takeoff.plan.shape import curves_of
from takeoff.units.printing import shown, whole


def set_storey_height(job: Job, storey_id: StoreyId, height_mm: float, source: Source = "typed") -> Job:
    """Floor to ceiling of all rooms of the storey that have no ceiling of their own."""
    finite(height_mm=height_mm)
    return with_storey(job, storey_id, lambda s: changed(s, height_mm=height_mm, height_source=source))


def set_storey_level(job: Job, storey_id: StoreyId, level_mm: float) -> Job:
    """The level of the storey's datum above the job's."""
    finite(level_mm=level_mm)
    return with_storey(job, storey_id, lambda storey: changed(storey, level_mm=level_mm))


def set_room_ceiling(job: Job, room_id: RoomId, ceiling: Field | None) -> Job:
    """The room's ceiling; None: flat at the storey's height again."""
    _finite_field(ceiling)
    return with_room(job, room_id, lambda room: changed(room, ceiling=ceiling))


def set_flat_ceiling(job: Job, room_id: RoomId, height_mm: float, source: Source = "typed") -> Job:
    """A flat ceiling at a height of its own; the regions of the old ceiling stay."""
    finite(height_mm=height_mm)

    def lowered(room: Room) -> Room:
        regions = room.ceiling.regions if room.ceiling is not None else ()
        return changed(room, ceiling=Field(planes=(Plane(z_mm=height_mm),), regions=regions, source=source))

    return with_room(job, room_id, lowered)


def set_flat_floor(job: Job, room_id: RoomId, level_mm: float, source: Source = "typed") -> Job:
    """A level floor so far above the datum (below it when negative); its raised parts go with it."""
    finite(level_mm=level_mm)

    def levelled(room: Room) -> Room:
        regions = room.floor.regions if room.floor is not None else ()
        if not regions and level_mm == 0.0:
            return changed(room, floor=None)
        by = level_mm - (room.floor.planes[0].z_mm if room.floor is not None and room.floor.planes else 0.0)
        moved = tuple(_raised_by(region, by) for region in regions)
        return changed(room, floor=Field(planes=(Plane(z_mm=level_mm),), regions=moved, source=source))

    return with_room(job, room_id, levelled)


def _raised_by(region: Region, by_mm: float) -> Region:
    planes = tuple(changed(plane, z_mm=plane.z_mm + by_mm) for plane in region.planes)
    return changed(region, planes=planes)


def set_build_ups(job: Job, room_id: RoomId, floor_mm: float, ceiling_mm: float) -> Job:
    """What is added to the drawn floor and taken off the drawn ceiling."""
    finite(floor_mm=floor_mm, ceiling_mm=ceiling_mm)
    return with_room(
        job, room_id, lambda room: changed(room, floor_build_up_mm=floor_mm, ceiling_build_up_mm=ceiling_mm)
    )


def set_storey_build_ups(job: Job, storey_id: StoreyId, floor_mm: float, ceiling_mm: float) -> Job:
    """The same build-ups for every room of a storey: a screed, a lining under all ceilings."""
    for room in storey_of(job, storey_id).rooms:
        job = set_build_ups(job, room.id, floor_mm, ceiling_mm)
    return job


def add_region(job: Job, room_id: RoomId, which: Literal["ceiling", "floor"], region: Region) -> Job:
    """The room's ceiling or floor with a region more; its id must be new in the room.

    A ceiling at the storey's height stays there, and as well known as that height is.
    """
    finite(**{f"z_mm of plane {i}": plane.z_mm for i, plane in enumerate(region.planes)})
    room = room_of(job, room_id)
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    unused([known for field in fields for known in field.regions], region.id, "region")
    field = room.ceiling if which == "ceiling" else room.floor
    if field is None:
        storey = job.storeys[room_place(job, room_id)[0]]
        flat = Plane(z_mm=storey.height_mm if which == "ceiling" else 0.0)
        field = Field(planes=(flat,), source=storey.height_source if which == "ceiling" else "typed")
    field = msgspec.structs.replace(field, regions=(*field.regions, region))
    return with_room(job, room_id, lambda r: changed(r, **{which: field}))


def remove_region(job: Job, room_id: RoomId, region_id: RegionId) -> Job:
    """The room without that region of its ceiling or floor."""

    def without(field: Field | None) -> Field | None:
        if field is None:
            return None
        return changed(field, regions=tuple(r for r in field.regions if r.id != region_id))

    room = room_of(job, room_id)
    ceiling, floor = without(room.ceiling), without(room.floor)
    if ceiling is room.ceiling and floor is room.floor:
        name = room.name or room.title
        raise InputError(
            tr("“{room}” has no part “{part}” of floor or ceiling: select one that it has.", room=name, part=region_id)
        )
    return with_room(job, room_id, lambda r: changed(r, ceiling=ceiling, floor=floor))


def _finite_field(field: Field | None) -> None:
    planes = [] if field is None else [*field.planes, *(p for r in field.regions for p in r.planes)]
    for plane in planes:
        finite(
            z_mm=plane.z_mm, slope_x=plane.slope_x, slope_y=plane.slope_y, at_x_mm=plane.at_x_mm, at_y_mm=plane.at_y_mm
        )


replace = msgspec.structs.replace

Form = Literal["one", "two", "all"]
"""One slope from a wall; two from it and the wall across; one from every wall."""

Others = Literal["stay", "follow"]
"""What corners do whose heights are not given: stay as high as they are, or lie in the same plane."""

MOST_HEIGHTS = 40
"""More heights than these are no ceiling that anybody measures corner by corner."""

STEEPEST_DEG = 80.0
"""A steeper ceiling is a wall (common practice, no source)."""


def slope_ceiling(
    job: Job, room_id: RoomId, side_id: SideId, form: Form, eaves_mm: float,
    pitch_deg: float | None = None, top_mm: float | None = None, flat_mm: float | None = None,
    other_eaves_mm: float | None = None,
) -> Job:  # fmt: skip
    """The room's ceiling as slopes that rise from a straight wall, ``eaves_mm`` high there, by their pitch or
    up to ``top_mm``: the height at the far end of one slope, at the ridge of several (the middle of the
    room for two). ``flat_mm``: a level piece cuts them off. ``other_eaves_mm``: of the wall across, else
    the same. Heights are of the drawn ceiling above the datum; its regions stay.

    Raises InputError where neither pitch nor top is given, or they cannot be.
    """
    finite(eaves_mm=eaves_mm, pitch_deg=pitch_deg, top_mm=top_mm, flat_mm=flat_mm, other_eaves_mm=other_eaves_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    curves = curves_of(ring_of(room, number))
    if number or curves[index].bulge:
        raise InputError(tr("Slopes rise from a straight wall of the room: select another wall."))
    across = _across(room, curves[index])
    other = eaves_mm if other_eaves_mm is None or form != "two" else other_eaves_mm
    run = across if form == "one" else across / 2.0
    if form == "all":
        planes = _from_all(curves, eaves_mm, _steepness(eaves_mm, pitch_deg, top_mm, _inmost(curves)))
    else:
        planes = (_rising(curves[index], eaves_mm, _steepness(eaves_mm, pitch_deg, top_mm, run)),)
    if form == "two":
        back = _shifted(curves[index], across)
        planes = (*planes, _rising(back, other, _steepness(other, pitch_deg, top_mm, run)))
    if flat_mm is not None:
        if flat_mm <= max(eaves_mm, other) + SAME_MM:
            raise InputError(tr("The level piece must be above the eaves: type its height again."))
        planes = (*planes, Plane(z_mm=flat_mm))
    return _with_planes(job, room, planes)


def _steepness(eaves_mm: float, pitch_deg: float | None, top_mm: float | None, run_mm: float) -> float:
    """Rise over run."""
    if eaves_mm < 0:
        raise InputError(tr("The eaves must not be below the floor: type their height again."))
    if pitch_deg is not None:
        if not 0.0 < pitch_deg <= STEEPEST_DEG:
            raise InputError(tr("The pitch must be more than 0 and at most {steepest}°.", steepest=whole(STEEPEST_DEG)))
        return math.tan(math.radians(pitch_deg))
    if top_mm is None:
        raise InputError(tr("Type the pitch of the slope, or how high it is at its top."))
    if top_mm - eaves_mm < SAME_MM:
        raise InputError(
            tr(
                "The slope would run from {eaves} to {top} m, which is not upwards: type its heights again.",
                eaves=shown(eaves_mm / 1000.0),
                top=shown(top_mm / 1000.0),
            )
        )
    if run_mm < SAME_MM:
        raise InputError(tr("The room has no depth from this wall: select another wall."))
    return (top_mm - eaves_mm) / run_mm


def _across(room: Room, curve: Curve) -> float:
    """How far the room reaches from a wall, square to it, mm."""
    return max(_depth(curve, c.x0, c.y0) for c in curves_of(room.outline))


def _depth(curve: Curve, x: float, y: float) -> float:
    return (y - curve.y0) * curve.dx - (x - curve.x0) * curve.dy


def _shifted(curve: Curve, into_mm: float) -> Curve:
    """The line across, turned so that the room lies to its left."""
    ox, oy = -curve.dy * into_mm, curve.dx * into_mm
    return Curve(curve.x1 + ox, curve.y1 + oy, curve.x0 + ox, curve.y0 + oy)


def _rising(curve: Curve, eaves_mm: float, steep: float) -> Plane:
    """The plane that rises into the room from a line."""
    return Plane(z_mm=eaves_mm, slope_x=-curve.dy * steep, slope_y=curve.dx * steep, at_x_mm=curve.x0, at_y_mm=curve.y0)


def _from_all(curves: Sequence[Curve], eaves_mm: float, steep: float) -> tuple[Plane, ...]:
    """A hipped ceiling. Raises InputError for a room that a plane from one wall would cut into."""
    if any(c.bulge for c in curves) or any(
        _depth(c, other.x0, other.y0) < -SAME_MM for c in curves for other in curves
    ):
        raise InputError(
            tr("Slopes from every wall need straight walls and no external corner: use one or two slopes.")
        )
    return tuple(_rising(c, eaves_mm, steep) for c in curves if c.length > SAME_MM)


def _inmost(curves: Sequence[Curve]) -> float:
    """How far the place that is furthest from every wall is from them, mm: under the top of a hipped roof."""
    import shapely

    ring = shapely.polygons([(c.x0, c.y0) for c in curves])
    return (
        float(shapely.maximum_inscribed_circle(ring, tolerance=SAME_MM).length) if abs(curves_area(curves)) > 0 else 0.0
    )


def corner_heights(job: Job, room_id: RoomId) -> dict[SideId, float]:
    """How high the drawn ceiling is at the start of each side of the room's outline, mm above the datum;
    lowered and raised parts do not count."""
    s, r = room_place(job, room_id)
    storey, room = job.storeys[s], job.storeys[s].rooms[r]
    planes = (
        room.ceiling.planes if room.ceiling is not None and room.ceiling.planes else (Plane(z_mm=storey.height_mm),)
    )
    return {side.id: min(p.at(side.x_mm, side.y_mm) for p in planes) for side in room.outline}


def ceiling_through(
    job: Job, room_id: RoomId, heights_mm: Mapping[SideId, float], others: Others = "stay"
) -> tuple[Through, dict[SideId, float]]:
    """The planes through heights at corners (each named by the side that starts there), and by how much
    they miss each of those heights, mm. ``others``: what the corners that are not named do.

    Raises InputError for a corner that the room does not have, for no heights and for more than forty.
    """
    room = room_of(job, room_id)
    for name, height in heights_mm.items():
        finite(height_mm=height)
        if side_place(room, name)[0]:
            raise InputError(tr("The heights of a pier's corners follow the ceiling: type those of the room."))
    now = corner_heights(job, room_id)
    every = {**now, **heights_mm} if others == "stay" else dict(heights_mm)
    spots = {side.id: Height(side.x_mm, side.y_mm, every[side.id]) for side in room.outline if side.id in every}
    if not 0 < len(spots) <= MOST_HEIGHTS:
        raise InputError(
            tr("A ceiling takes 1 to {most} heights: type some, or set slopes by their eaves.", most=MOST_HEIGHTS)
        )
    through = planes_through(list(spots.values()))
    return through, dict(zip(spots, through.off_mm, strict=True))


def set_corner_heights(job: Job, room_id: RoomId, heights_mm: Mapping[SideId, float], others: Others = "stay") -> Job:
    """The ceiling through heights at corners: one plane where they lie in one, else planes that meet in
    ridges and hips. Its regions stay.

    Raises InputError where no such ceiling passes through them, with the corner that does not fit.
    """
    through, missed = ceiling_through(job, room_id, heights_mm, others)
    name, off = max(missed.items(), key=lambda item: abs(item[1]))
    room = room_of(job, room_id)
    if abs(off) > FIT_MM:
        at = next(side for side in room.outline if side.id == name)
        typed = heights_mm.get(name)
        height = typed if typed is not None else corner_heights(job, room_id)[name]
        raise InputError(
            tr(
                "The heights disagree: at the corner {x}, {y} the others give {expected} m, not {typed} m. "
                "Measure it again, or make the lower part a part of its own.",
                x=shown(at.x_mm / 1000.0),
                y=shown(at.y_mm / 1000.0),
                expected=shown((height + off) / 1000.0),
                typed=shown(height / 1000.0),
            )
        )
    return _with_planes(job, room, through.planes)


def _with_planes(job: Job, room: Room, planes: tuple[Plane, ...], source: Source = "typed") -> Job:
    regions = room.ceiling.regions if room.ceiling is not None else ()
    after = set_room_ceiling(job, room.id, Field(planes=planes, regions=regions, source=source))
    s, _ = room_place(job, room.id)
    for was in ceilings_below_floors(lay_out(job.storeys[s], room)):
        if was.severity == "error":
            return after
    for finding in ceilings_below_floors(lay_out(after.storeys[s], room_of(after, room.id))):
        if finding.severity == "error":
            raise InputError(
                tr(
                    "The ceiling would come below the floor somewhere: select another wall for the "
                    "eaves, or type larger heights."
                )
            )
    return after
