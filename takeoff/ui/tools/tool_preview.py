"""What a tool shows while it draws: courses, lengths beside them, marks, rooms as they would be, the read-out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainterPath, QPen
from PySide6.QtWidgets import (
    QGraphicsItem,
    QGraphicsPathItem,
    QGraphicsRectItem,
    QGraphicsSimpleTextItem,
    QLabel,
    QWidget,
)

from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.snapping import Kind, Snap
from takeoff.language import mark, tr
from takeoff.plan.edits.facing_sides import THICKEST_WALL_MM
from takeoff.plan.model import Job, Ring, Storey
from takeoff.plan.room_faults import SAME_MM
from takeoff.plan.shape import vertex_rings
from takeoff.ui.canvas.pens import path_of, pen_of
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.room_labels import pivot
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.themes import SMALL_PX, Theme, font
from takeoff.units.printing import dim3

Z_PREVIEW = 90.0
_BESIDE_PX = 15.0
"""From a wall to the middle of the length beside it."""

_MARK_PX = 6.0

WORDS: dict[Kind, str] = {
    "end": mark("end"),
    "crossing": mark("crossing"),
    "middle": mark("middle"),
    "foot": mark("square onto the line"),
    "meets": mark("square, on the line"),
    "in line": mark("in line with the first corner"),
    "line": mark("on the line"),
    "square": mark("at a right angle"),
    "straight on": mark("straight on"),
}
"""What the read-out says of a point, so that no mark has to be known by heart."""


class Preview:
    """Items of one tool; all of them are taken away and made anew with every move."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._items: list[QGraphicsItem] = []
        self.words: list[str] = []
        """The lengths and words that are shown now."""

    def clear(self) -> None:
        """Show nothing."""
        for item in self._items:
            self._plan.view.scene().removeItem(item)
        self._items.clear()
        self.words.clear()

    def course(
        self,
        vertices: Sequence[tuple[float, float, float]],
        closed: bool = False,
        role: str = "chosen",
        width_mm: float = 0.4,
        dash_mm: tuple[float, ...] = (),
        filled: bool = False,
    ) -> None:
        """A course or a ring in plan mm."""
        ox, oy = self._plan.view.origin
        moved = tuple((x - ox, y - oy, bulge) for x, y, bulge in vertices)
        item = QGraphicsPathItem(path_of((moved,), closed, 1.0))
        item.setPen(pen_of(self._plan.theme, role, width_mm, dash_mm))
        if filled:
            tint = QColor(self._plan.theme.colour(role))
            tint.setAlpha(36)
            item.setBrush(QBrush(tint))
        self._add(item, Z_PREVIEW)

    def line(self, one: Point, other: Point, role: str = "chosen", dash_mm: tuple[float, ...] = ()) -> None:
        """A straight line."""
        self.course(((*one, 0.0), (*other, 0.0)), role=role, dash_mm=dash_mm)

    def rings(self, rings: Sequence[Ring]) -> None:
        """A room as it would be."""
        for ring in rings:
            self.course(ring, closed=True, filled=True)

    def length(self, curve: Curve, text: str = "", left: bool = False) -> None:
        """The length of a side beside it, at its right (outside of a room that is drawn anticlockwise);
        ``text`` instead where something is typed."""
        if curve.length <= 0:
            return
        middle, (dx, dy) = curve.at(curve.length / 2.0), curve.direction(curve.length / 2.0)
        sign = 1.0 if left else -1.0
        # the view's y runs down
        self.word(middle, text or f"{dim3(curve.length / 1000.0)}", (-dy * sign * _BESIDE_PX, -dx * sign * _BESIDE_PX))

    def word(self, at: Point, text: str, off_px: Point = (0.0, 0.0), role: str = "ink") -> None:
        """A word on a ground of paper, upright, beside a plan point."""
        holder = pivot(self._plan.view.scene(), Z_PREVIEW + 2.0)
        holder.setPos(self._at(at))
        item = QGraphicsSimpleTextItem(text)
        item.setFont(font(13, "semibold"))
        item.setBrush(QBrush(self._plan.theme.colour(role)))
        box = item.boundingRect()
        # long words stand further off, so that they never lie on their wall
        reach = math.hypot(*off_px)
        if reach:
            more = abs(off_px[0]) / reach * max(box.width() / 2.0 - 6.0, 0.0)
            off_px = (off_px[0] * (1.0 + more / reach), off_px[1])
        corner = QPointF(off_px[0] - box.width() / 2.0, off_px[1] - box.height() / 2.0)
        ground = QGraphicsRectItem(QRectF(corner, box.size()).adjusted(-3.0, -1.0, 3.0, 1.0), holder)
        paper = QColor(self._plan.theme.colour("paper"))
        paper.setAlpha(225)
        ground.setBrush(QBrush(paper))
        ground.setPen(QPen(Qt.PenStyle.NoPen))
        item.setParentItem(holder)
        item.setPos(corner)
        self._items.append(holder)
        self.words.append(text)

    def mark(self, snap: Snap, start: Point | None = None) -> None:
        """What a point is drawn to, by its shape; with the direction it keeps as a thin line."""
        if snap.along is not None and start is not None:
            self.line(start, snap.at, "bead", (0.8, 0.8))
        holder = pivot(self._plan.view.scene(), Z_PREVIEW + 1.0)
        holder.setPos(self._at(snap.at))
        shape = QGraphicsPathItem(_mark(snap.kind), holder)
        pen = QPen(self._plan.theme.colour("bead"), 2.0)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        shape.setPen(pen)
        self._items.append(holder)

    def dot(self, at: Point) -> None:
        """A corner that is set or can be taken."""
        holder = pivot(self._plan.view.scene(), Z_PREVIEW + 1.0)
        holder.setPos(self._at(at))
        spot = QGraphicsRectItem(QRectF(-4.0, -4.0, 8.0, 8.0), holder)
        spot.setPen(QPen(self._plan.theme.colour("chosen"), 2.0))
        spot.setBrush(QBrush(self._plan.theme.colour("paper")))
        self._items.append(holder)

    def _at(self, point: Point) -> QPointF:
        return QPointF(point[0] - self._plan.view.origin[0], point[1] - self._plan.view.origin[1])

    def _add(self, item: QGraphicsPathItem, z: float) -> None:
        item.setZValue(z)
        self._plan.view.scene().addItem(item)
        self._items.append(item)


def _mark(kind: Kind) -> QPainterPath:
    """The mark of a kind: box, cross, triangle, foot, ring, angle; y runs down."""
    m = _MARK_PX
    path = QPainterPath()
    if kind == "end":
        path.addRect(QRectF(-m, -m, 2 * m, 2 * m))
    elif kind in ("crossing", "meets"):
        _strokes(path, ((-m, -m, m, m), (-m, m, m, -m)))
    elif kind == "middle":
        _strokes(path, ((-m, m, m, m), (m, m, 0.0, -m), (0.0, -m, -m, m)))
    elif kind == "foot":
        _strokes(path, ((-m, m, m, m), (0.0, m, 0.0, -m)))
    elif kind == "square":
        _strokes(path, ((-m, -m, -m, m), (-m, m, m, m)))
    elif kind == "in line":
        _strokes(path, ((-m, 0.0, m, 0.0), (0.0, -m, 0.0, m)))
    else:
        path.addEllipse(QRectF(-m * 0.7, -m * 0.7, 1.4 * m, 1.4 * m))
    return path


def _strokes(path: QPainterPath, strokes: Sequence[tuple[float, float, float, float]]) -> None:
    for x0, y0, x1, y1 in strokes:
        path.moveTo(x0, y0)
        path.lineTo(x1, y1)


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
        preview.rings(vertex_rings(room))
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


_AWAY_PX = QPoint(22, 20)
"""From the cursor to the read-out's corner, so that the point itself is never covered."""

_EDGE_PX = 6


class Readout(QLabel):
    """A few words over the plan's view; the mouse goes through it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("readout")
        self.setAccessibleName(tr("Lengths being drawn"))
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.hide()

    def show_at(
        self, spot: QPoint, theme: Theme, fields: Sequence[tuple[str, str, bool]], said: str, wrong: str = ""
    ) -> None:
        """Show (word, value, whether it is being typed) fields and a word below, beside a spot."""
        colours = theme.colours
        parts = []
        for word, value, typed in fields:
            caret = f"<span style='color:{colours['chosen']}'>|</span>" if typed else ""
            parts.append(
                f"<span style='color:{colours['grey']}'>{escape(word)}</span>&nbsp;"
                f"<b>{escape(value).replace(' ', '&nbsp;')}</b>{caret}"
            )
        lines = ["&nbsp;&nbsp; ".join(parts)] if parts else []
        if wrong:
            lines.append(f"<span style='color:{colours['hold']}'>{escape(wrong)}</span>")
        elif said:
            lines.append(f"<span style='color:{colours['grey']}'>{escape(said)}</span>")
        self.setStyleSheet(
            f"QLabel#readout {{ background: {colours['paper']}; color: {colours['ink']}; padding: 4px 8px;"
            f" border: 1px solid {colours['hair']}; border-radius: 5px; font-size: {SMALL_PX}px; }}"
        )
        self.setWordWrap(bool(wrong))
        self.setText("<br>".join(lines))
        self.setVisible(bool(lines))
        if wrong:
            self.setFixedWidth(280)
        else:
            self.setMinimumWidth(0)
            self.setMaximumWidth(16_777_215)
        self.adjustSize()
        self.move(self._place(spot + _AWAY_PX, spot))
        self.raise_()

    def _place(self, wish: QPoint, spot: QPoint) -> QPoint:
        """Beside the cursor, on its other side where the view ends."""
        parent = self.parentWidget()
        room = parent.size() if parent is not None else self.size()
        x = wish.x() if wish.x() + self.width() <= room.width() - _EDGE_PX else (spot.x() - self.width() - _AWAY_PX.x())
        y = (
            wish.y()
            if wish.y() + self.height() <= room.height() - _EDGE_PX
            else (spot.y() - self.height() - _AWAY_PX.y())
        )
        return QPoint(max(x, _EDGE_PX), max(y, _EDGE_PX))
