"""A room with all that lies in its plan, moved and turned as a whole."""

from __future__ import annotations

import math

import msgspec

from takeoff.geometry.poses import Pose, put
from takeoff.plan.model import CeilingTreatment, Exclusion, Field, Plane, Region, Ring, Rooflight, Room, Side

replace = msgspec.structs.replace

STILL: Pose = (0.0, 0.0, 0.0)


def moved_room(room: Room, pose: Pose) -> Room:
    """The room where the pose puts it, with fields, regions and what is left out of its ceiling."""
    if pose == STILL:
        return room
    return replace(
        room,
        outline=_sides(room.outline, pose),
        inner=tuple(_sides(ring, pose) for ring in room.inner),
        ceiling=_field(room.ceiling, pose),
        floor=_field(room.floor, pose),
        ceiling_treatment=_ceiling(room.ceiling_treatment, pose),
        stair=room.stair and replace(room.stair, outline=moved_ring(room.stair.outline, pose)),
    )


def moved_light(light: Rooflight, pose: Pose) -> Rooflight:
    """A rooflight of a room that moves."""
    return replace(light, outline=moved_ring(light.outline, pose))


def _sides(ring: tuple[Side, ...], pose: Pose) -> tuple[Side, ...]:
    places = [put(pose, (side.x_mm, side.y_mm)) for side in ring]
    return tuple(replace(side, x_mm=x, y_mm=y) for side, (x, y) in zip(ring, places, strict=True))


def moved_ring(ring: Ring, pose: Pose) -> Ring:
    """A ring of the plan where the pose puts it."""
    return tuple((*put(pose, (x, y)), bulge) for x, y, bulge in ring)


def _field(field: Field | None, pose: Pose) -> Field | None:
    if field is None:
        return None
    regions = tuple(_region(region, pose) for region in field.regions)
    return replace(field, planes=_planes(field.planes, pose), regions=regions)


def _region(region: Region, pose: Pose) -> Region:
    return replace(region, outline=moved_ring(region.outline, pose), planes=_planes(region.planes, pose))


def _planes(planes: tuple[Plane, ...], pose: Pose) -> tuple[Plane, ...]:
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    made = []
    for plane in planes:
        x, y = put(pose, (plane.at_x_mm, plane.at_y_mm))
        slope_x = plane.slope_x * cos - plane.slope_y * sin
        slope_y = plane.slope_x * sin + plane.slope_y * cos
        made.append(replace(plane, at_x_mm=x, at_y_mm=y, slope_x=slope_x, slope_y=slope_y))
    return tuple(made)


def _ceiling(treatment: CeilingTreatment, pose: Pose) -> CeilingTreatment:
    left_out: tuple[Exclusion, ...] = tuple(
        replace(one, outline=moved_ring(one.outline, pose)) for one in treatment.exclusions
    )
    return replace(treatment, exclusions=left_out)
