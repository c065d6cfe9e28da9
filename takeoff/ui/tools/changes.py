"""What an edit would change, shown before it is made: rooms as they would be, new lengths beside them."""

from __future__ import annotations

import math

from takeoff.geometry.curves import Curve
from takeoff.plan.edits.side_edits import THICKEST_WALL_MM
from takeoff.plan.model import Job, Storey
from takeoff.plan.room_faults import SAME_MM
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.tools.drawing_tool import rings_of
from takeoff.ui.tools.preview import Preview


def show_rooms(preview: Preview, before: Storey | None, after: Job | None) -> None:
    """Outline every room of the storey that differs, and say the length of every side that is new."""
    if before is None or after is None:
        return
    storey = next((s for s in after.storeys if s.id == before.id), None)
    if storey is None:
        return
    known = {room.id: room for room in before.rooms}
    changed = [room for room in storey.rooms if known.get(room.id) is not room]
    after_rooms = {id(room) for room in storey.rooms}
    old = {
        _course(curve) for room in before.rooms if id(room) not in after_rooms for curve in side_curves(room).values()
    }
    said: list[Curve] = []
    for room in changed:
        preview.rings(rings_of(room))
        for curve in side_curves(room).values():
            if _course(curve) not in old and not any(_twins(curve, other) for other in said):
                preview.length(curve)
                said.append(curve)


def _twins(one: Curve, other: Curve) -> bool:
    """The two faces of one wall, of one length, of which one is enough to be said."""
    if abs(one.length - other.length) > SAME_MM:
        return False
    return math.dist(one.at(one.length / 2.0), other.at(other.length / 2.0)) <= THICKEST_WALL_MM


def _course(curve: Curve) -> tuple[float, float, float, float, float]:
    return curve.x0, curve.y0, curve.x1, curve.y1, curve.bulge
