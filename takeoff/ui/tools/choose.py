"""Choosing: a click takes what is under it, Shift or Ctrl adds, a box takes what lies within.

What begins a drag of its own (an opening that is moved along its wall) says so with ``Drag``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGraphicsRectItem

from takeoff.language import mark
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.pens import pen_of
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.tool import IdleTool, Pointer
from takeoff.ui.document import Choice, Ref

_DRAG = 1.0
"""A drag longer than so many reaches is a box and no click."""


class Drag(Protocol):
    """What a drag does that begins on a thing, instead of a box."""

    def begin(self, ref: Ref, pointer: Pointer) -> bool:
        """Whether it takes this thing up, pressed there."""

    def move(self, pointer: Pointer) -> None: ...

    def drop(self, pointer: Pointer) -> None: ...

    def cancel(self) -> None: ...

    def key(self, key: int, text: str) -> bool: ...

    def wants(self, text: str) -> bool:
        """Whether a character is for it while it is dragged, and no shortcut."""


class Choose(IdleTool):
    """The tool that is always there to come back to."""

    name = mark("Select")
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._from: Pointer | None = None
        self._box: QGraphicsRectItem | None = None
        self._drag: Drag | None = None
        self._keys = DragKeys(self, plan.view)
        self.drags: list[Drag] = []
        """Asked in turn when a drag begins on something."""
        self.marks: list[Callable[[Pointer], Ref | None]] = []
        """Asked first what a click on a mark over the plan chooses."""

    @property
    def drag(self) -> Drag | None:
        """What is being dragged."""
        return self._drag

    def press(self, pointer: Pointer) -> None:
        """Begin a click, a drag or a box."""
        self._from = pointer

    def move(self, pointer: Pointer) -> None:
        """Drag what was pressed, or show the box, once the mouse has gone further than a click does."""
        if self._from is None or not pointer.left_down:
            return
        if self._drag is not None:
            self._drag.move(pointer)
            return
        if self._box is None and math.dist(self._from.at, pointer.at) > _DRAG * pointer.reach_mm:
            self._drag = self._dragged(self._from)
            if self._drag is not None:
                self._drag.move(pointer)
                return
            self._box = QGraphicsRectItem()
            self._box.setPen(pen_of(self._plan.theme, "chosen", 0.2, (1.0, 0.6)))
            self._box.setZValue(100.0)
            self._plan.view.scene().addItem(self._box)
        if self._box is not None:
            ox, oy = self._plan.view.origin
            (x0, y0), (x1, y1) = self._from.at, pointer.at
            self._box.setRect(QRectF(min(x0, x1) - ox, min(y0, y1) - oy, abs(x1 - x0), abs(y1 - y0)))

    def _dragged(self, start: Pointer) -> Drag | None:
        """The drag that takes up what was pressed; held Shift or Ctrl means to choose more."""
        hit = None if start.shift or start.control else self._plan.hit(start.at, start.reach_mm)
        if hit is None:
            return None
        return next((drag for drag in self.drags if drag.begin(hit, start)), None)

    def release(self, pointer: Pointer) -> None:
        """Choose what was clicked or lies within the box, or leave what was dragged."""
        start, self._from = self._from, None
        drag, self._drag = self._drag, None
        if drag is not None:
            drag.drop(pointer)
            return
        if start is None:
            return
        boxed = self._box is not None
        self._remove_box()
        taken = self.boxed(start.at, pointer.at) if boxed else self.clicked(pointer)
        document = self._plan.document
        document.choose(together(document.choice, taken) if pointer.shift or pointer.control else taken)

    def clicked(self, pointer: Pointer) -> Choice:
        """What a click takes: a corner right there, else what lies highest."""
        marked = next((ref for mark in self.marks if (ref := mark(pointer)) is not None), None)
        if marked is not None:
            return (marked,)
        asked = self._plan.asked_at(pointer.at)
        if asked is not None:
            return (asked,)
        corner = self._plan.corners_at(pointer.at, pointer.reach_mm)
        hit = None if corner else self._plan.hit(pointer.at, pointer.reach_mm)
        return corner or ((hit,) if hit is not None else ())

    def boxed(self, one: Point, other: Point) -> Choice:
        """What a box takes: rooms that lie in it, else openings, else corners."""
        found = tuple(ref for ref in self._plan.within(one, other) if ref.kind != "side")
        rooms = tuple(ref for ref in found if ref.kind == "room")
        return rooms or found or self._plan.corners_within(one, other)

    def double_click(self, pointer: Pointer) -> None:
        """Zoom to what was hit."""
        if self._plan.hit(pointer.at, pointer.reach_mm) is not None:
            self._plan.zoom_to_chosen()

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """Escape leaves what is dragged where it was, else chooses nothing."""
        if self._drag is not None and key != Qt.Key.Key_Escape:
            return self._drag.key(key, text)
        if key == Qt.Key.Key_Escape and self._drag is not None:
            self._give_up()
            return True
        if key == Qt.Key.Key_Escape and self._plan.document.choice:
            self._plan.document.choose(())
            return True
        return False

    def start(self) -> None:
        """Listen to the keys that would be shortcuts otherwise."""
        self._plan.view.installEventFilter(self._keys)

    def stop(self) -> None:
        """Forget a box or a drag that was begun."""
        self._plan.view.removeEventFilter(self._keys)
        self._give_up()
        self._remove_box()

    def _give_up(self) -> None:
        self._from = None
        drag, self._drag = self._drag, None
        if drag is not None:
            drag.cancel()

    def _remove_box(self) -> None:
        if self._box is not None:
            self._plan.view.scene().removeItem(self._box)
            self._box = None


class DragKeys(QObject):
    """Keeps what is typed while something is dragged from being a shortcut."""

    def __init__(self, tool: Choose, parent: QObject) -> None:
        super().__init__(parent)
        self._tool = tool

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Looks at keys during a drag only."""
        drag = self._tool.drag
        if drag is None or not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.ShortcutOverride:
            return False
        if drag.wants(event.text()) and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            event.accept()
            return True
        return False


def together(before: Choice, taken: Choice) -> Choice:
    """The choice with these added; what was in it already is taken out again."""
    kept: tuple[Ref, ...] = tuple(ref for ref in before if ref not in taken)
    return (*kept, *(ref for ref in taken if ref not in before))
