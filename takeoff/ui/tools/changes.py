"""What an edit would change, shown before it is made: rooms as they would be, new lengths beside them."""

from __future__ import annotations

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Job, Room, Storey
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
    for room in storey.rooms:
        old = known.get(room.id)
        if old is room:
            continue
        preview.rings(rings_of(room))
        for curve in new_sides(old, room):
            preview.length(curve)


def new_sides(before: Room | None, after: Room) -> list[Curve]:
    """The sides that run otherwise than any did before."""
    old = {_course(curve) for curve in side_curves(before).values()} if before is not None else set()
    return [curve for curve in side_curves(after).values() if _course(curve) not in old]


def _course(curve: Curve) -> tuple[float, float, float, float, float]:
    return curve.x0, curve.y0, curve.x1, curve.y1, curve.bulge
