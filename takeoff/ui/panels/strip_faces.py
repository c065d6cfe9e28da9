"""The faces of a room side by side, seen from inside: coat, openings and what stays; set by hand there."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
    QTransform,
)
from PySide6.QtWidgets import QWidget

from takeoff.measure.elevations import FlatRing
from takeoff.services.strip import FaceDrawing, OpeningInFace, Strip
from takeoff.services.tracing import OnFace
from takeoff.ui.canvas.paths import hatch_brush, pen_of
from takeoff.ui.document import Choice, Ref
from takeoff.ui.panels.strip_drag import StripDrag
from takeoff.ui.themes import Theme, font

_GAP_PX, _MARGIN_PX = 16.0, 18.0
_LINE_PX = 17.0
_WORDS_PX = 2 * _LINE_PX + 4.0
_LEAST_PX = 34.0
"""A face is never narrower: its words would run into the next."""

_TICK_PX = 13.0
"""The box before a face's letter that is ticked where it is coated."""

_WASH_ALPHA = 46
"""How much the colour of what is chosen covers a lit area: coat and hatch stay visible."""

_DRAG_PX = 5.0
"""So far from where it was pressed a drag begins."""

_MIDDLE_PX = 4.0
"""So near to the middle of a wall the middle is meant."""

_NUDGE_MM, _FAR_NUDGE_MM = 10.0, 100.0
"""An arrow key moves a chosen opening so far; with Shift further."""

_ARROWS = {Qt.Key.Key_Left: (1.0, 0.0), Qt.Key.Key_Right: (-1.0, 0.0), Qt.Key.Key_Up: (0.0, 1.0),
           Qt.Key.Key_Down: (0.0, -1.0)}
"""(along the face from its start, up): a face starts at the right."""

LEAST_HEIGHT_PX = 150


class Faces(QWidget):
    """Draws the faces side by side at one scale; a click tells what was hit."""

    clicked = Signal(object, bool)
    """(Ref, whether to add to what is chosen)."""
    ticked = Signal(object)
    """The Ref of a face whose coat is to be switched."""
    slid = Signal(str, float, object)
    """(opening, mm along its own wall, new sill in mm or None): it was dragged there."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._strip: Strip | None = None
        self._choice: Choice = ()
        self._lit: dict[str, OnFace] = {}
        self._pressed: tuple[FaceDrawing, QRectF, OpeningInFace, QPointF] | None = None
        self.drag: StripDrag | None = None
        """The opening that is being dragged."""
        self.setAccessibleName("Walls of the chosen room")
        self.setToolTip("")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self._theme = theme
        self.update()

    def show_strip(self, strip: Strip | None, choice: Choice) -> None:
        """Draw these faces."""
        if strip != self._strip or choice != self._choice:
            if strip != self._strip:
                self._let_go()
            self._strip, self._choice = strip, choice
            self.updateGeometry()
            self._set_width()
            self.update()

    def light(self, faces: Iterable[OnFace]) -> None:
        """Light up where a figure comes from, in place of the outline of what is chosen."""
        lit = {face.side: face for face in faces}
        if lit != self._lit:
            self._lit = lit
            self.update()

    @property
    def lit(self) -> tuple[OnFace, ...]:
        """What is lit, face by face."""
        return tuple(self._lit.values())

    def scale(self) -> float:
        """px for a mm: the tallest face fills the height, or the longest strip the width it is given."""
        faces = self._faces()
        if not faces:
            return 0.05
        tall = max(f.elevation.high_mm for f in faces) - min(f.elevation.low_mm for f in faces)
        return max((self.height() - _WORDS_PX - 8.0) / max(tall, 1.0), 0.005)

    def boxes(self) -> tuple[tuple[FaceDrawing, QRectF], ...]:
        """Each face and where it is drawn, px."""
        found, x, scale = [], _MARGIN_PX, self.scale()
        faces = self._faces()
        top = max((f.elevation.high_mm for f in faces), default=0.0)
        for face in faces:
            e = face.elevation
            wide, tall = e.length_mm * scale, (e.high_mm - e.low_mm) * scale
            slot = max(wide, _LEAST_PX, self._words_px(face))
            found.append((face, QRectF(x + (slot - wide) / 2, 4.0 + (top - e.high_mm) * scale, wide, tall)))
            x += slot + _GAP_PX
        return tuple(found)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        return QSize(int(self._width()), LEAST_HEIGHT_PX)

    def hit(self, spot: QPointF) -> Ref | None:
        """The opening or the side under a spot; None between the faces."""
        if self._strip is None:
            return None
        for face, box in self.boxes():
            if box.adjusted(0, 0, 0, _WORDS_PX).contains(spot):
                inside = self._to_px(face, box).inverted()[0].map(spot)
                for opening, rings in face.elevation.openings:
                    if _path(rings).contains(inside):
                        return Ref("opening", opening, self._strip.room)
                return Ref("side", face.elevation.side, self._strip.room)
        return None

    def tick_box(self, face: FaceDrawing, box: QRectF) -> QRectF:
        """Where the tick of a face is drawn: before its letter."""
        wide = QFontMetricsF(font(13)).horizontalAdvance(face.words[0])
        left = box.center().x() - (wide + _TICK_PX + 5.0) / 2.0
        top = self.height() - _WORDS_PX + 2.0 + (_LINE_PX - _TICK_PX) / 2.0
        return QRectF(left, top, _TICK_PX, _TICK_PX)

    def ticked_at(self, spot: QPointF) -> Ref | None:
        """The face whose tick is under a spot."""
        for face, box in self.boxes():
            if self._strip and self.tick_box(face, box).adjusted(-4, -4, 4, 4).contains(spot):
                return Ref("side", face.elevation.side, self._strip.room)
        return None

    # -- mouse and keys

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Choose what is under the mouse, or switch the coat by its tick; an opening may be dragged."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        tick = self.ticked_at(event.position())
        if tick is not None:
            self.ticked.emit(tick)
            return
        ref = self.hit(event.position())
        if ref is None:
            return
        held = event.modifiers() & (Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier)
        self._pressed = None if held else self._opening_at(event.position(), ref)
        self.clicked.emit(ref, bool(held))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Drag the opening that was pressed; else show by the cursor what a press would do."""
        spot = event.position()
        if self._pressed is None or not event.buttons() & Qt.MouseButton.LeftButton:
            self._show_cursor(spot)
            return
        face, box, opening, start = self._pressed
        if self.drag is None and (spot - start).manhattanLength() > _DRAG_PX:
            at = self._to_px(face, box).inverted()[0].map(start)
            self.drag = StripDrag(face, opening, at.x(), at.y())
        if self.drag is not None:
            at = self._to_px(face, box).inverted()[0].map(spot)
            free = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.drag.to(at.x(), at.y(), _MIDDLE_PX / self.scale(), free)
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the opening where it was dragged, in one edit."""
        drag = self.drag
        self._let_go()
        if drag is not None and drag.has_moved and event.button() == Qt.MouseButton.LeftButton:
            self.slid.emit(drag.opening.id, drag.host_mm, drag.sill_mm)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape leaves what is dragged where it was; arrows move a chosen opening, the space bar
        switches the coat of a chosen face."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self.drag is not None:
            self._let_go()
        elif key in _ARROWS and self._nudge(*_ARROWS[key], bool(
                event.modifiers() & Qt.KeyboardModifier.ShiftModifier)):
            event.accept()
        elif key == Qt.Key.Key_Space and self._choice and self._choice[-1].kind == "side":
            self.ticked.emit(self._choice[-1])
        else:
            super().keyPressEvent(event)

    def _nudge(self, along: float, up: float, far: bool) -> bool:
        chosen = self._choice[-1].id if self._choice and self._choice[-1].kind == "opening" else ""
        opening = next((o for face in self._faces() for o in face.openings if o.id == chosen), None)
        if opening is None or (up and not opening.rises):
            return False
        step = _FAR_NUDGE_MM if far else _NUDGE_MM
        host = along * step if opening.is_host else -along * step
        self.slid.emit(opening.id, host, opening.sill_mm + up * step if up else None)
        return True

    def _opening_at(
        self, spot: QPointF, ref: Ref
    ) -> tuple[FaceDrawing, QRectF, OpeningInFace, QPointF] | None:
        if ref.kind != "opening":
            return None
        for face, box in self.boxes():
            if box.contains(spot):
                opening = next((o for o in face.openings if o.id == ref.id), None)
                return (face, box, opening, spot) if opening is not None else None
        return None

    def _show_cursor(self, spot: QPointF) -> None:
        ref = self.hit(spot)
        tick = self.ticked_at(spot)
        shape = Qt.CursorShape.ArrowCursor
        if tick is not None:
            shape = Qt.CursorShape.PointingHandCursor
        elif ref is not None and ref.kind == "opening":
            found = self._opening_at(spot, ref)
            shape = Qt.CursorShape.SizeAllCursor if found and found[2].rises else Qt.CursorShape.SizeHorCursor
        self.setCursor(shape)
        tip = "Coat this wall, or leave it out" if tick else ""
        if self.toolTip() != tip:
            self.setToolTip(tip)

    def _let_go(self) -> None:
        self._pressed = None
        if self.drag is not None:
            self.drag = None
            self.update()

    # -- painting

    def resizeEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Another height is another scale, and so another width."""
        del event
        self._set_width()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Ground, coat, what stays, openings, outline, and the words under each face."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for face, box in self.boxes():
            if box.adjusted(-20, -20, 20, 40).intersects(QRectF(event.rect())):
                self._paint(painter, face, box)
        painter.end()

    def _paint(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        theme, e = self._theme, face.elevation
        painter.save()
        painter.setTransform(self._to_px(face, box), combine=True)
        whole = _path(e.whole)
        painter.fillPath(whole, theme.colour("paper"))
        coat = _path(e.coat)
        painter.fillPath(coat, theme.colour("coat"))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillPath(coat, hatch_brush(theme.colour("hatch"), False, painter.worldTransform()))
        painter.fillPath(_path(e.left_on), theme.colour("wall"))
        for opening, rings in e.openings:
            shape = _path(rings)
            painter.fillPath(shape, theme.colour("paper"))
            painter.strokePath(shape, pen_of(theme, "ink", 0.24))
            if self._is_chosen("opening", opening):
                painter.strokePath(shape, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        painter.strokePath(whole, pen_of(theme, "ink", 0.28))
        if self._is_chosen("side", e.side):
            painter.strokePath(whole, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        self._paint_lit(painter, e.side)
        if self.drag is not None and self.drag.face == face:
            moved = _path(self.drag.rings())
            wash = theme.colour("chosen")
            wash.setAlpha(_WASH_ALPHA)
            painter.fillPath(moved, wash)
            painter.strokePath(moved, pen_of(theme, "chosen", 0.5))
        painter.restore()
        self._write(painter, face, box)
        if self.drag is not None and self.drag.face == face:
            self._write_lengths(painter, face, box)

    def _write_lengths(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        """What is left to both corners and to the floor while an opening is dragged."""
        assert self.drag is not None
        to_px, paper = self._to_px(face, box), self._theme.colour("paper")
        paper.setAlpha(225)
        painter.setFont(font(13, "semibold"))
        metrics = QFontMetricsF(painter.font())
        for u, z, words in self.drag.lengths():
            at = to_px.map(QPointF(u, z))
            wide = metrics.horizontalAdvance(words) + 6.0
            ground = QRectF(at.x() - wide / 2.0, at.y() - _LINE_PX / 2.0, wide, _LINE_PX)
            painter.fillRect(ground, paper)
            painter.setPen(QPen(self._theme.colour("chosen")))
            painter.drawText(ground, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_lit(self, painter: QPainter, side: str) -> None:
        lit = self._lit.get(side)
        if lit is None:
            return
        wash = self._theme.colour("chosen")
        wash.setAlpha(_WASH_ALPHA)
        for rings in lit.areas:
            path = _path(rings)
            painter.fillPath(path, wash)
            painter.strokePath(path, pen_of(self._theme, "chosen", 0.4, (1.6, 0.8)))
        for course in lit.lines:
            path = QPainterPath()
            path.addPolygon(QPolygonF([QPointF(u, z) for u, z in course]))
            painter.strokePath(path, pen_of(self._theme, "chosen", 0.8, (1.6, 0.8)))

    def _write(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        painter.setFont(font(13))
        painter.setPen(QPen(self._theme.colour("ink")))
        wide = max(box.width(), self._words_px(face)) + 4.0
        for number, words in enumerate(face.words):
            top = self.height() - _WORDS_PX + 2.0 + number * _LINE_PX
            shift = (_TICK_PX + 5.0) / 2.0 if number == 0 else 0.0
            line = QRectF(box.center().x() - wide / 2 + shift, top, wide, _LINE_PX)
            painter.drawText(line, Qt.AlignmentFlag.AlignCenter, words)
        self._paint_tick(painter, self.tick_box(face, box), face.coat)

    def _paint_tick(self, painter: QPainter, box: QRectF, coat: str) -> None:
        """Ticked where the face is coated, a dash where in part."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self._theme.colour("grey" if coat == "none" else "ink"), 1.4))
        painter.drawRoundedRect(box.adjusted(0.7, 0.7, -0.7, -0.7), 2.5, 2.5)
        painter.setPen(QPen(self._theme.colour("ink"), 1.8))
        if coat == "part":
            painter.drawLine(QPointF(box.left() + 3.5, box.center().y()),
                             QPointF(box.right() - 3.5, box.center().y()))
        elif coat == "whole":
            foot = QPointF(box.left() + 5.4, box.bottom() - 3.4)
            painter.drawLine(QPointF(box.left() + 3.0, box.top() + 6.6), foot)
            painter.drawLine(foot, QPointF(box.right() - 2.8, box.top() + 3.4))

    def _to_px(self, face: FaceDrawing, box: QRectF) -> QTransform:
        """From (u, z) mm: seen from inside the start of a side is on the right."""
        scale = self.scale()
        move = QTransform.fromTranslate(box.right(), box.bottom() + face.elevation.low_mm * scale)
        return QTransform.fromScale(-scale, -scale) * move

    def _is_chosen(self, kind: str, name: str) -> bool:
        return not self._lit and any(ref.kind == kind and ref.id == name for ref in self._choice)

    def _faces(self) -> tuple[FaceDrawing, ...]:
        return self._strip.faces if self._strip else ()

    def _words_px(self, face: FaceDrawing) -> float:
        metrics = QFontMetricsF(font(13))
        return max(metrics.horizontalAdvance(words) + (_TICK_PX + 5.0 if number == 0 else 0.0)
                   for number, words in enumerate(face.words))

    def _width(self) -> float:
        boxes = self.boxes()
        last = boxes[-1][1].right() if boxes else 0.0
        return last + 2 * _MARGIN_PX

    def _set_width(self) -> None:
        self.setMinimumWidth(int(self._width()))


def _path(rings: Iterable[FlatRing]) -> QPainterPath:
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(QPolygonF([QPointF(u, z) for u, z in ring]))
        path.closeSubpath()
    return path
