"""Below the plan: the walls of the chosen room, seen from inside, with coat, openings and what stays."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
    QTransform,
)
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from takeoff.measure.elevations import FlatRing
from takeoff.services.board import State
from takeoff.services.cards import place_of
from takeoff.services.strip import FaceDrawing, Strip, wall_strip
from takeoff.services.tracing import OnFace
from takeoff.ui.canvas.paths import hatch_brush, pen_of
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.panels.words import label, set_text
from takeoff.ui.themes import Theme, font

_GAP_PX, _MARGIN_PX = 16.0, 18.0
_LINE_PX = 17.0
_WORDS_PX = 2 * _LINE_PX + 4.0
_LEAST_PX = 34.0
"""A face is never narrower: its words would run into the next."""

_WASH_ALPHA = 46
"""How much the colour of what is chosen covers a lit area: coat and hatch stay visible."""

LEAST_HEIGHT_PX = 150



class Faces(QWidget):
    """Draws the faces side by side at one scale; a click tells what was hit."""

    clicked = Signal(object, bool)
    """(Ref, whether to add to what is chosen)."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._strip: Strip | None = None
        self._choice: Choice = ()
        self._lit: dict[str, OnFace] = {}
        self.setAccessibleName("Walls of the chosen room")
        self.setMouseTracking(True)

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self._theme = theme
        self.update()

    def show_strip(self, strip: Strip | None, choice: Choice) -> None:
        """Draw these faces."""
        if strip != self._strip or choice != self._choice:
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

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Choose what is under the mouse."""
        ref = self.hit(event.position())
        if ref is not None and event.button() == Qt.MouseButton.LeftButton:
            held = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier
            self.clicked.emit(ref, bool(event.modifiers() & held))

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
        painter.restore()
        self._write(painter, face, box)

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
            line = QRectF(box.center().x() - wide / 2, top, wide, _LINE_PX)
            painter.drawText(line, Qt.AlignmentFlag.AlignCenter, words)

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
        return max(metrics.horizontalAdvance(words) for words in face.words)

    def _width(self) -> float:
        boxes = self.boxes()
        last = boxes[-1][1].right() if boxes else 0.0
        return last + 2 * _MARGIN_PX

    def _set_width(self) -> None:
        self.setMinimumWidth(int(self._width()))


class WallStrip(QWidget):
    """The strip with its heading; scrolls along when the walls are longer than the window."""

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.heading = label("", "grey")
        self.faces = Faces(theme)
        self.faces.clicked.connect(self._clicked)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(self.faces)
        scroll.setWidgetResizable(True)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.viewport().setAutoFillBackground(False)
        self.faces.setAutoFillBackground(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 4)
        layout.setSpacing(2)
        self.heading.setContentsMargins(18, 0, 18, 0)
        layout.addWidget(self.heading)
        layout.addWidget(scroll, 1)
        self.setMinimumHeight(LEAST_HEIGHT_PX)
        document.opened.connect(self.refresh)
        document.changed.connect(self._changed)
        document.chosen_changed.connect(self._listen)
        self.refresh()

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self.faces.set_theme(theme)

    def refresh(self) -> None:
        """Show the walls of the last chosen room."""
        choice = self._document.choice
        strip = wall_strip(self._document.state, choice[-1].room_id) if choice else None
        set_text(self.heading, strip.title if strip else "Click a room to see its walls from inside.")
        self.faces.show_strip(strip, choice)

    def _changed(self, before: State, after: State) -> None:
        """Only a change in the storey of the chosen room, or in the kinds of wall, changes its walls."""
        choice = self._document.choice
        place = place_of(after.job, choice[-1].room_id) if choice else None
        if place is None or before.job.wall_types is not after.job.wall_types or not any(
                storey is place[0] for storey in before.job.storeys):
            self.refresh()

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _clicked(self, ref: Ref, add: bool) -> None:
        document = self._document
        rest = tuple(other for other in document.choice if other != ref) if add else ()
        document.choose((*rest, ref))


def _path(rings: Iterable[FlatRing]) -> QPainterPath:
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(QPolygonF([QPointF(u, z) for u, z in ring]))
        path.closeSubpath()
    return path
