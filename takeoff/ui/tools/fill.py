"""Filling a room: one click inside its linework."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from takeoff.errors import InputError
from takeoff.plan.model import Job
from takeoff.services.filling import fill_room
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit


class Fill(DrawingTool):
    """A click inside walls makes the room that they enclose, with the openings in them."""

    name = "Fill a room from its lines"

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self._filled = ""
        """The room that was filled last."""

    def click(self, pointer: Pointer) -> None:
        """Look for the room round the click."""
        drawing = self.plan.document.drawing
        known, storey = self.room_ids(), self.storey_id

        def filled(job: Job) -> Job:
            if drawing is None:
                raise InputError("There is no drawing to fill from: open one, or draw the room by its corners.")
            return fill_room(job, drawing, storey, *pointer.at)

        # tens of ms on most plans, more where a hall makes it look far
        QApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            done = self.apply("Fill a room", filled)
        finally:
            QApplication.restoreOverrideCursor()
        if done:
            self.choose_new_room(known)
            self._filled = next(iter(self.room_ids() - known), "")

    def redraw(self) -> None:
        """Say whose room there is already."""
        room = self.aim.room(self.pointer.at) if self.pointer is not None else None
        if self.plan.document.drawing is None:
            self.tell((), "no drawing")
        else:
            said = "click inside the walls"
            if room is not None:
                said = f"{room.name or room.id} is {'filled' if room.id == self._filled else 'there already'}"
            self.tell((), said)

    def next_step(self) -> str:
        """Where to click."""
        if self.plan.document.drawing is None:
            return "There is no drawing to fill from: open one, or draw the room by its corners."
        return "Click inside the walls of a room that was not found: its lines become its sides."
