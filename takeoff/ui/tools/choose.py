"""Choosing: a click takes what is under it, Shift or Ctrl adds, a box takes what lies within."""

from __future__ import annotations

import math

from PySide6.QtCore import QRectF, Qt
from PySide6.QtWidgets import QGraphicsRectItem

from takeoff.sheets.model import Point
from takeoff.ui.canvas.paths import pen_of
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import IdleTool, Pointer
from takeoff.ui.document import Choice, Ref

_DRAG = 1.0
"""A drag longer than so many reaches is a box and no click."""


class Choose(IdleTool):
    """The tool that is always there to come back to."""

    name = "Choose"
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._from: Point | None = None
        self._box: QGraphicsRectItem | None = None

    def press(self, pointer: Pointer) -> None:
        """Begin a click or a box."""
        self._from = pointer.at

    def move(self, pointer: Pointer) -> None:
        """Show the box once the mouse has gone further than a click does."""
        if self._from is None or not pointer.left_down:
            return
        if self._box is None and math.dist(self._from, pointer.at) > _DRAG * pointer.reach_mm:
            self._box = QGraphicsRectItem()
            self._box.setPen(pen_of(self._plan.theme, "chosen", 0.2, (1.0, 0.6)))
            self._box.setZValue(100.0)
            self._plan.view.scene().addItem(self._box)
        if self._box is not None:
            ox, oy = self._plan.view.origin
            (x0, y0), (x1, y1) = self._from, pointer.at
            self._box.setRect(QRectF(min(x0, x1) - ox, min(y0, y1) - oy, abs(x1 - x0), abs(y1 - y0)))

    def release(self, pointer: Pointer) -> None:
        """Choose what was clicked, or the rooms and openings within the box."""
        start, self._from = self._from, None
        if start is None:
            return
        boxed = self._box is not None
        self._remove_box()
        document = self._plan.document
        if boxed:
            found = tuple(ref for ref in self._plan.within(start, pointer.at) if ref.kind != "side")
            rooms = tuple(ref for ref in found if ref.kind == "room")
            taken: Choice = rooms or found
        else:
            hit = self._plan.hit(pointer.at, pointer.reach_mm)
            taken = (hit,) if hit is not None else ()
        document.choose(together(document.choice, taken) if pointer.shift or pointer.control else taken)

    def double_click(self, pointer: Pointer) -> None:
        """Zoom to what was hit."""
        if self._plan.hit(pointer.at, pointer.reach_mm) is not None:
            self._plan.zoom_to_chosen()

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """Escape chooses nothing."""
        if key == Qt.Key.Key_Escape and self._plan.document.choice:
            self._plan.document.choose(())
            return True
        return False

    def stop(self) -> None:
        """Forget a box that was begun."""
        self._from = None
        self._remove_box()

    def _remove_box(self) -> None:
        if self._box is not None:
            self._plan.view.scene().removeItem(self._box)
            self._box = None


def together(before: Choice, taken: Choice) -> Choice:
    """The choice with these added; what was in it already is taken out again."""
    kept: tuple[Ref, ...] = tuple(ref for ref in before if ref not in taken)
    return (*kept, *(ref for ref in taken if ref not in before))
