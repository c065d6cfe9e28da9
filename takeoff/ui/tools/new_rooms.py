"""Rooms that are drawn: where one begins that is typed, and the new one chosen and brought into view."""

from __future__ import annotations

from PySide6.QtCore import QPointF

from takeoff.geometry.curves import Point
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import Aim
from takeoff.views.clipboard import BESIDE_MM


def usual_start(plan: Plan, aim: Aim, pointer: Pointer | None) -> Point:
    """Where a room begins that is typed before anything was clicked: at the pointer; else beside the
    rooms there are, in the middle of the view over a drawing, at nought in an empty job."""
    if pointer is not None:
        found = aim.at(pointer)
        return found.at if found is not None else pointer.at
    storey = plan.document.storey
    corners = [(s.x_mm, s.y_mm) for room in (storey.rooms if storey else ()) for s in room.outline]
    if corners:
        return max(x for x, _ in corners) + BESIDE_MM, min(y for _, y in corners)
    if plan.document.drawing is None:
        return 0.0, 0.0
    return plan.view.plan_point(QPointF(plan.view.viewport().rect().center()))


def room_ids(plan: Plan) -> set[str]:
    """The rooms of the storey that is shown."""
    storey = plan.document.storey
    return {str(room.id) for room in storey.rooms} if storey else set()


def choose_new_room(plan: Plan, known: set[str]) -> None:
    """Choose the room that an edit has added to those; show everything where it is not all in view."""
    storey = plan.document.storey
    added = [room for room in (storey.rooms if storey else ()) if str(room.id) not in known]
    if not added:
        return
    plan.document.choose((Ref("room", str(added[-1].id)),))
    port = plan.view.viewport().rect()
    in_view = all(port.contains(plan.view.spot((s.x_mm, s.y_mm))) for s in added[-1].outline)
    if not in_view or (not known and plan.document.drawing is None):
        plan.fit()
