"""Levels, ceilings, floors and their regions."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import changed, finite, room_of, room_place, storey_of, unused, with_room, with_storey
from takeoff.plan.model import Field, Job, Plane, Region, RegionId, Room, RoomId, Source, StoreyId


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


def set_room_floor(job: Job, room_id: RoomId, floor: Field | None) -> Job:
    """The room's floor; None: flat at the datum again."""
    _finite_field(floor)
    return with_room(job, room_id, lambda room: changed(room, floor=floor))


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
        name = room.name or room.id
        raise InputError(f"The room “{name}” has no region “{region_id}”: choose one that it has.")
    return with_room(job, room_id, lambda r: changed(r, ceiling=ceiling, floor=floor))


def _finite_field(field: Field | None) -> None:
    planes = [] if field is None else [*field.planes, *(p for r in field.regions for p in r.planes)]
    for plane in planes:
        finite(
            z_mm=plane.z_mm, slope_x=plane.slope_x, slope_y=plane.slope_y, at_x_mm=plane.at_x_mm, at_y_mm=plane.at_y_mm
        )
