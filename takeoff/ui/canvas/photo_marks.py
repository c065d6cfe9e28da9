"""Where photos are pinned, on the plan: a small camera, of one size at any zoom, with their number."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene, QGraphicsSimpleTextItem

from takeoff.plan.model import Room, Storey
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.room_labels import pivot
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.document import Ref
from takeoff.ui.themes import SMALL_PX, Theme, font

_INWARD_MM = 320.0
"""From a wall to the mark of a photo pinned to it."""
_UNDER_LABEL_PX = 36.0
_ALONG = (0.5, 0.25, 0.75, 0.1, 0.9)
"""Where along a face its mark may stand, the first place that keeps clear of the room's name."""
_NEAR_LABEL_MM = 1500.0

Z_PHOTOS = 70.0
WIDE_PX, HIGH_PX = 20.0, 14.0
REACH_PX = 13.0


class Mark(msgspec.Struct, frozen=True):
    """A mark: where it stands in plan mm, moved by so many px, what is chosen by it, how many photos."""

    at: Point
    ref: Ref
    count: int
    off_px: Point = (0.0, 0.0)


class PhotoMarks:
    """The marks of the storey that is shown."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._scene, self._theme = scene, theme
        self._items: list[QGraphicsItem] = []
        self.marks: tuple[Mark, ...] = ()
        self.origin: Point = (0.0, 0.0)

    def show(self, marks: Sequence[Mark], origin: Point, theme: Theme) -> None:
        """Show these and no others."""
        if (tuple(marks), origin, theme) == (self.marks, self.origin, self._theme):
            return
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()
        self.marks, self.origin, self._theme = tuple(marks), origin, theme
        for mark in self.marks:
            self._put(mark)

    def at(self, point: Point, px_per_mm: float) -> Ref | None:
        """What the mark under a plan point belongs to; None beside all marks."""
        for mark in reversed(self.marks):
            x = (point[0] - mark.at[0]) * px_per_mm - mark.off_px[0]
            y = (mark.at[1] - point[1]) * px_per_mm - mark.off_px[1]
            if math.hypot(x, y) <= REACH_PX:
                return mark.ref
        return None

    def _put(self, mark: Mark) -> None:
        holder = pivot(self._scene, Z_PHOTOS)
        holder.setPos(QPointF(mark.at[0] - self.origin[0], mark.at[1] - self.origin[1]))
        body = QGraphicsPathItem(camera(), holder)
        body.setPos(*mark.off_px)
        body.setPen(QPen(self._theme.colour("ink"), 1.4))
        body.setBrush(QBrush(self._theme.colour("paper")))
        if mark.count > 1:
            words = QGraphicsSimpleTextItem(f"{mark.count}", holder)
            words.setFont(font(SMALL_PX, "semibold"))
            words.setBrush(QBrush(self._theme.colour("ink")))
            words.setPos(mark.off_px[0] + WIDE_PX / 2 + 3.0, mark.off_px[1] - 10.0)
        self._items.append(holder)


def camera() -> QPainterPath:
    """A camera about nought: body, hump, lens; y runs down."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.WindingFill)
    body = QRectF(-WIDE_PX / 2, -HIGH_PX / 2 + 1.0, WIDE_PX, HIGH_PX)
    path.addRoundedRect(body, 2.5, 2.5)
    path.addRect(QRectF(-3.5, -HIGH_PX / 2 - 2.0, 7.0, 3.0))
    path.addEllipse(QPointF(0.0, 1.0), 3.8, 3.8)
    return path


def mark_at(storey: Storey, ref: Ref, count: int, label_at: Callable[[Room], Point]) -> Mark | None:
    """The mark of so many photos pinned to a room, a side or an opening of a storey; None where that is gone.
    It keeps clear of the room's name, which stands at ``label_at``."""
    room = next((room for room in storey.rooms if room.id == ref.room_id), None)
    if room is None:
        return None
    words = label_at(room)
    if ref.kind == "room":
        return Mark(words, ref, count, (0.0, _UNDER_LABEL_PX))
    opening = next((o for o in storey.openings if o.id == ref.id), None)
    host = next((r for r in storey.rooms if opening is not None and r.id == opening.room), room)
    curve = side_curves(host).get(str(opening.side) if opening is not None else ref.id)
    if curve is None or curve.length <= 0:
        return None
    if opening is not None:
        return Mark(curve.beside(opening.offset_mm + opening.width_mm / 2.0, _INWARD_MM), ref, count)
    places = [curve.beside(curve.length * part, _INWARD_MM) for part in _ALONG]
    free = [at for at in places if math.dist(at, words) > _NEAR_LABEL_MM]
    return Mark(free[0] if free else max(places, key=lambda at: math.dist(at, words)), ref, count)
