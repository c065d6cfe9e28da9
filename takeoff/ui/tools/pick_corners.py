"""Picking corners, one or many; and switching the coat of walls on and off by clicks."""

from __future__ import annotations

from PySide6.QtCore import Qt

from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId, SideId
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.tool import IdleTool, Pointer
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.tools.aiming import Aim, OnSide
from takeoff.ui.tools.choose import Choose
from takeoff.ui.tools.drawing_tool import Kit
from takeoff.ui.tools.tool_preview import Preview
from takeoff.views.chosen_coats import BEADS, FINISHES, corners_view

_FAR = 3.0
"""A wall is meant from so many clicks' reaches away."""


class PickCorners(Choose):
    """Chooses corners alone: by click, with Shift more, by a box."""

    name = mark("Pick corners")
    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit.plan)
        self._kit = kit

    def start(self) -> None:
        """Say what a click does."""
        self._kit.say(tr("Click a corner, Shift+click for more, or drag a box round them. Escape when done."))

    def stop(self) -> None:
        """Say nothing of corners any more."""
        super().stop()
        self._kit.readout.hide()

    def move(self, pointer: Pointer) -> None:
        """Say which corner is under the pointer."""
        super().move(pointer)
        state = self._plan.document.state
        found = self.clicked(pointer) if not pointer.left_down else ()
        view = corners_view(state, [(ref.room, ref.id) for ref in found]) if found else None
        if view is None:
            self._kit.readout.hide()
            return
        bead = dict(BEADS).get(view.bead or "", "") or dict(FINISHES).get(view.finish or "", "")
        said = ", ".join(part for part in (view.about, bead.lower()) if part)
        self._kit.readout.show_at(self._plan.view.spot(pointer.at), self._plan.theme, ((view.title, "", False),), said)

    def clicked(self, pointer: Pointer) -> Choice:
        """The corner nearest to the click."""
        return self._plan.corners_at(pointer.at, pointer.reach_mm * 2.0, float("inf"))

    def boxed(self, one: Point, other: Point) -> Choice:
        """Every corner in the box."""
        return self._plan.corners_within(one, other)


class CoatByClick(IdleTool):
    """A click near a wall switches the coat of its face on and off."""

    name = mark("Coat walls by click")
    cursor = Qt.CursorShape.PointingHandCursor

    def __init__(self, kit: Kit) -> None:
        self._kit = kit
        self._preview = Preview(kit.plan)

    def start(self) -> None:
        """Say what a click does."""
        self._kit.say(tr("Click a wall to coat it, or to stop coating it. Escape when done."))

    def stop(self) -> None:
        """Show nothing any more."""
        self._preview.clear()
        self._kit.readout.hide()

    def move(self, pointer: Pointer) -> None:
        """Show which face a click means, and what it does."""
        self._preview.clear()
        found = face_at(self._kit.aim, pointer)
        if found is None:
            self._kit.readout.hide()
            return
        room, side, curve = found
        self._preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.9)
        coated = is_coated(self._kit.plan.document.job, str(room.id), side)
        said = tr("click: do not coat this wall") if coated else tr("click: coat this wall")
        plan = self._kit.plan
        self._kit.readout.show_at(plan.view.spot(pointer.at), plan.theme, (), said)

    def press(self, pointer: Pointer) -> None:
        """Switch the coat of the face that is meant."""
        found = face_at(self._kit.aim, pointer)
        if found is not None:
            toggle_coat(self._kit.plan.document, (Ref("side", found[1], str(found[0].id)),))
            self.move(pointer)


def face_at(aim: Aim, pointer: Pointer) -> OnSide | None:
    """The face that a click near a wall means: that of the room in which the pointer is."""
    return aim.side(Pointer(pointer.at, pointer.reach_mm * _FAR, pointer.shift, pointer.control))


def is_coated(job: Job, room: str, side: str) -> bool:
    """Whether any of a face is to be coated."""
    found = edits.room_of(job, RoomId(room))
    one, _ = edits.side_curve(job, RoomId(room), SideId(side))
    return (one.treatment or found.walls).coat


def toggle_coat(document: Document, faces: Choice) -> None:
    """Coat these faces whole, or leave them out where the first is coated."""
    if not faces:
        return
    coat = not is_coated(document.job, faces[0].room, faces[0].id)
    by_room: dict[RoomId, list[SideId]] = {}
    for ref in faces:
        by_room.setdefault(RoomId(ref.room), []).append(SideId(ref.id))
    if coat:
        name = tr_count("Coat {count} wall", "Coat {count} walls", len(faces))
    else:
        name = tr_count("Do not coat {count} wall", "Do not coat {count} walls", len(faces))
    document.apply(name, lambda job: edits.coat_sides(job, by_room, coat))
