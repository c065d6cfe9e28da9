"""Rooms on hold, on the plan: the word in a red frame, of one size at any zoom, by the room's name."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsRectItem, QGraphicsScene, QGraphicsSimpleTextItem

from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.room_labels import pivot
from takeoff.ui.document import Ref
from takeoff.ui.themes import SMALL_PX, Theme, font

Z_HOLDS = 75.0
_ABOVE_PX, _BELOW_PX = -50.0, 58.0
_PAD_PX = 5.0


class HoldMark(msgspec.Struct, frozen=True):
    """A mark: the room, where its name stands (plan mm), and whether a question mark stands above that."""

    room: str
    at: Point
    asked: bool = False

    @property
    def off_px(self) -> float:
        """How far below the name it stands, px."""
        return _BELOW_PX if self.asked else _ABOVE_PX


class HoldMarks:
    """The marks of the storey that is shown."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self._items: list[QGraphicsItem] = []
        self._boxes: list[tuple[HoldMark, QRectF]] = []
        self._made_of: object = None

    @property
    def marks(self) -> tuple[HoldMark, ...]:
        """What is shown."""
        return tuple(mark for mark, _ in self._boxes)

    def show(self, marks: Sequence[HoldMark], word: str, origin: Point, theme: Theme) -> None:
        """Show these and no others."""
        made_of = (tuple(marks), word, origin, theme)
        if made_of == self._made_of:
            return
        self._made_of = made_of
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()
        self._boxes = [(mark, self._put(mark, word, origin, theme)) for mark in marks]

    def at(self, point: Point, px_per_mm: float) -> Ref | None:
        """The room of the mark under a plan point; None beside all marks."""
        for mark, box in self._boxes:
            x, y = (point[0] - mark.at[0]) * px_per_mm, (mark.at[1] - point[1]) * px_per_mm
            if box.contains(QPointF(x, y)):
                return Ref("room", mark.room)
        return None

    def _put(self, mark: HoldMark, word: str, origin: Point, theme: Theme) -> QRectF:
        holder = pivot(self._scene, Z_HOLDS)
        holder.setPos(QPointF(mark.at[0] - origin[0], mark.at[1] - origin[1]))
        words = QGraphicsSimpleTextItem(word)
        words.setFont(font(SMALL_PX, "semibold"))
        words.setBrush(QBrush(theme.colour("hold")))
        size = words.boundingRect()
        box = QRectF(
            -size.width() / 2 - _PAD_PX, mark.off_px - size.height() / 2, size.width() + 2 * _PAD_PX, size.height()
        )
        frame = QGraphicsRectItem(box, holder)
        frame.setPen(QPen(theme.colour("hold"), 1.6))
        frame.setBrush(QBrush(theme.colour("paper")))
        words.setParentItem(frame)
        words.setPos(-size.width() / 2, mark.off_px - size.height() / 2)
        self._items.append(holder)
        return box
