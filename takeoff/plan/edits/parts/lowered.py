"""What hangs below a ceiling: bulkheads along walls, the soffit under a stair."""

from __future__ import annotations

from typing import Literal

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.plan.check.laid import SAME_MM
from takeoff.plan.edits.lookup import finite, room_of, room_place
from takeoff.plan.edits.parts.places import longer_than_nothing, straight, strip_along, with_region
from takeoff.plan.model import Job, Plane, Region, RegionId, RoomId, SideId
from takeoff.plan.shape import ceiling_height, floor_height
from takeoff.units.printing import fmt2

_BESIDE_MM = 0.5
"""Heights are looked at so far inside of the wall."""


def bulkhead(job: Job, room_id: RoomId, side_id: SideId, out_mm: float, down_mm: float) -> Job:
    """A bulkhead, or boxing, under the ceiling along the whole of a straight side: so far out from the wall
    and so far down from the ceiling at the middle of it.

    Raises InputError where it would reach the floor or does not fit into the room.
    """
    longer_than_nothing(width_mm=out_mm, depth_mm=down_mm)
    curve = straight(job, room_id, side_id, "A bulkhead")[1]
    above, below = _heights_at(job, room_id, curve, curve.length / 2.0)
    room = room_of(job, room_id)
    if above - down_mm <= below + SAME_MM:
        raise InputError(
            f"The ceiling is only {fmt2((above - below) / 1000.0)} m above the floor there: "
            "make the bulkhead less deep."
        )
    # planes stand on the drawn ceiling, of which the build-up is taken off
    plane = Plane(z_mm=above - down_mm + room.ceiling_build_up_mm)
    outline = strip_along(room, side_id, out_mm, 0.0, curve.length)
    region = Region(id=RegionId("new"), op="lower", outline=outline, planes=(plane,), what="bulkhead")
    return with_region(job, room_id, "ceiling", region)


def stair_soffit(
    job: Job, room_id: RoomId, side_id: SideId, low_end_mm: float, towards: Literal["start", "end"],
    width_mm: float, run_mm: float, low_mm: float, high_mm: float | None = None,
) -> Job:  # fmt: skip
    """The soffit under a stair along a straight side. Its low end lies so far along the side, ``low_mm``
    above the floor; from there it rises over its run towards the side's start or end, up to ``high_mm``
    above the floor, or to the ceiling. What would run through the wall is cut off.

    Raises InputError where it does not rise or does not fit into the room.
    """
    longer_than_nothing(width_mm=width_mm, run_mm=run_mm)
    finite(low_end_mm=low_end_mm, low_mm=low_mm, high_mm=high_mm)
    curve = straight(job, room_id, side_id, "A stair soffit")[1]
    room = room_of(job, room_id)
    foot = min(max(low_end_mm, 0.0), curve.length)
    sign = 1.0 if towards == "end" else -1.0
    head = min(max(foot + sign * run_mm, 0.0), curve.length)
    if abs(head - foot) < SAME_MM:
        raise InputError("There is no wall left on that side: let the soffit rise the other way.")
    above, below = _heights_at(job, room_id, curve, (foot + head) / 2.0)
    high = above - below if high_mm is None else high_mm
    if low_mm < 0 or high - low_mm < SAME_MM:
        raise InputError(
            f"The soffit rises from {fmt2(low_mm / 1000.0)} to {fmt2(high / 1000.0)} m, which "
            "is not upwards: type its heights again."
        )
    slope = sign * (high - low_mm) / run_mm
    x, y = curve.at(foot)
    plane = Plane(
        z_mm=below + low_mm + room.ceiling_build_up_mm,
        slope_x=slope * curve.dx,
        slope_y=slope * curve.dy,
        at_x_mm=x,
        at_y_mm=y,
    )
    outline = strip_along(room, side_id, width_mm, min(foot, head), max(foot, head))
    region = Region(id=RegionId("new"), op="lower", outline=outline, planes=(plane,), what="stair soffit")
    return with_region(job, room_id, "ceiling", region)


def _heights_at(job: Job, room_id: RoomId, curve: Curve, along_mm: float) -> tuple[float, float]:
    """(ceiling, floor), finished, above the datum beside a place on a side, mm."""
    s, r = room_place(job, room_id)
    storey = job.storeys[s]
    (x, y), (dx, dy) = curve.at(along_mm), curve.direction(along_mm)
    px, py = x - dy * _BESIDE_MM, y + dx * _BESIDE_MM
    return ceiling_height(storey, storey.rooms[r], px, py), floor_height(storey.rooms[r], px, py)
