"""Below the plan: the walls of the chosen room, as one sees them from inside; coat and openings are set and dragged
by hand there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

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
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from takeoff.language import tr
from takeoff.measure.elevations import FlatRing
from takeoff.plan import edits
from takeoff.plan.model import Job, OpeningId
from takeoff.ui.canvas.pens import dots_brush, pen_of
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.panels.page_parts import Elided, stacked
from takeoff.ui.themes import Theme, font
from takeoff.ui.tools.opening_tools import STEP_MM, stepped
from takeoff.units.printing import shown
from takeoff.views.board import State
from takeoff.views.figure_places import OnFace
from takeoff.views.naming import place_of
from takeoff.views.room_seen import FaceDrawing, OpeningInFace, Strip, wall_strip

LINE_PX = 17.0
WORDS_PX = 2 * LINE_PX + 4.0
"""What the words under a face take."""

TICK_PX = 13.0
"""The box before a face's letter that is ticked where it is coated."""

_WASH_ALPHA = 46
"""How much the colour of what is chosen covers a lit area: coat and dots stay visible."""


class FaceBrush:
    """Paints faces with what is chosen, lit and dragged at the moment."""

    def __init__(
        self,
        painter: QPainter,
        theme: Theme,
        scale: float,
        height: int,
        choice: Choice,
        lit: Mapping[str, OnFace],
        drag: StripDrag | None,
    ) -> None:
        self.painter, self.theme, self.scale, self.height = painter, theme, scale, height
        self.choice, self.lit, self.drag = choice, lit, drag

    def paint(self, face: FaceDrawing, box: QRectF) -> None:
        """Ground, coat, what stays, openings, outline, what is lit or dragged, and the words."""
        theme, e, painter = self.theme, face.elevation, self.painter
        painter.save()
        painter.setTransform(to_px(face, box, self.scale), combine=True)
        whole = path_of_rings(e.whole)
        painter.fillPath(whole, theme.colour("paper"))
        coat = path_of_rings(e.coat)
        painter.fillPath(coat, theme.colour("coat"))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillPath(coat, dots_brush(theme.colour("hatch"), painter.worldTransform()))
        painter.fillPath(path_of_rings(e.left_on), theme.colour("wall"))
        for opening, rings in e.openings:
            shape = path_of_rings(rings)
            painter.fillPath(shape, theme.colour("paper"))
            painter.strokePath(shape, pen_of(theme, "ink", 0.24))
            if self._is_chosen("opening", opening):
                painter.strokePath(shape, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        painter.strokePath(whole, pen_of(theme, "ink", 0.28))
        if self._is_chosen("side", e.side):
            painter.strokePath(whole, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        self._paint_lit(painter, e.side)
        if self.drag is not None and self.drag.face == face:
            moved = path_of_rings(self.drag.rings())
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
        onto, paper = to_px(face, box, self.scale), self.theme.colour("paper")
        paper.setAlpha(225)
        painter.setFont(font(13, "semibold"))
        metrics = QFontMetricsF(painter.font())
        for u, z, words in self.drag.lengths():
            at = onto.map(QPointF(u, z))
            wide = metrics.horizontalAdvance(words) + 6.0
            ground = QRectF(at.x() - wide / 2.0, at.y() - LINE_PX / 2.0, wide, LINE_PX)
            painter.fillRect(ground, paper)
            painter.setPen(QPen(self.theme.colour("chosen")))
            painter.drawText(ground, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_lit(self, painter: QPainter, side: str) -> None:
        lit = self.lit.get(side)
        if lit is None:
            return
        wash = self.theme.colour("chosen")
        wash.setAlpha(_WASH_ALPHA)
        for rings in lit.areas:
            path = path_of_rings(rings)
            painter.fillPath(path, wash)
            painter.strokePath(path, pen_of(self.theme, "chosen", 0.4, (1.6, 0.8)))
        for course in lit.lines:
            path = QPainterPath()
            path.addPolygon(QPolygonF([QPointF(u, z) for u, z in course]))
            painter.strokePath(path, pen_of(self.theme, "chosen", 0.8, (1.6, 0.8)))

    def _write(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        painter.setFont(font(13))
        painter.setPen(QPen(self.theme.colour("ink")))
        wide = max(box.width(), words_px(face)) + 4.0
        for number, words in enumerate(face.words):
            top = self.height - WORDS_PX + 2.0 + number * LINE_PX
            shift = (TICK_PX + 5.0) / 2.0 if number == 0 else 0.0
            line = QRectF(box.center().x() - wide / 2 + shift, top, wide, LINE_PX)
            painter.drawText(line, Qt.AlignmentFlag.AlignCenter, words)
        self._paint_tick(painter, tick_box(face, box, self.height), face.coat)

    def _paint_tick(self, painter: QPainter, box: QRectF, coat: str) -> None:
        """Ticked where the face is coated, a dash where in part."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.theme.colour("grey" if coat == "none" else "ink"), 1.4))
        painter.drawRoundedRect(box.adjusted(0.7, 0.7, -0.7, -0.7), 2.5, 2.5)
        painter.setPen(QPen(self.theme.colour("ink"), 1.8))
        if coat == "part":
            painter.drawLine(QPointF(box.left() + 3.5, box.center().y()), QPointF(box.right() - 3.5, box.center().y()))
        elif coat == "whole":
            foot = QPointF(box.left() + 5.4, box.bottom() - 3.4)
            painter.drawLine(QPointF(box.left() + 3.0, box.top() + 6.6), foot)
            painter.drawLine(foot, QPointF(box.right() - 2.8, box.top() + 3.4))

    def _is_chosen(self, kind: str, name: str) -> bool:
        return not self.lit and any(ref.kind == kind and ref.id == name for ref in self.choice)


def to_px(face: FaceDrawing, box: QRectF, scale: float) -> QTransform:
    """From (u, z) mm: seen from inside the start of a side is on the right."""
    move = QTransform.fromTranslate(box.right(), box.bottom() + face.elevation.low_mm * scale)
    return QTransform.fromScale(-scale, -scale) * move


def tick_box(face: FaceDrawing, box: QRectF, height: int) -> QRectF:
    """Where the tick of a face is drawn in a strip of that height: before its letter."""
    wide = QFontMetricsF(font(13)).horizontalAdvance(face.words[0])
    left = box.center().x() - (wide + TICK_PX + 5.0) / 2.0
    top = height - WORDS_PX + 2.0 + (LINE_PX - TICK_PX) / 2.0
    return QRectF(left, top, TICK_PX, TICK_PX)


def words_px(face: FaceDrawing) -> float:
    """How wide the words under a face are, with its tick."""
    metrics = QFontMetricsF(font(13))
    return max(
        metrics.horizontalAdvance(words) + (TICK_PX + 5.0 if number == 0 else 0.0)
        for number, words in enumerate(face.words)
    )


def path_of_rings(rings: Iterable[FlatRing]) -> QPainterPath:
    """Rings as one path, holes by even-odd."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(QPolygonF([QPointF(u, z) for u, z in ring]))
        path.closeSubpath()
    return path


UP_FROM_MM = 60.0
"""A drag must go up or down so far before the sill moves: most drags mean the place along the wall."""


class StripDrag:
    """Where the opening would be. ``to`` follows the mouse in mm of the face."""

    def __init__(self, face: FaceDrawing, opening: OpeningInFace, u_mm: float, z_mm: float) -> None:
        self.face, self.opening = face, opening
        self._from_u, self._from_z = u_mm, z_mm
        self.along_mm = 0.0
        """How far it would move along this face, from its start."""
        self.up_mm = 0.0
        self.said = ""

    def to(self, u_mm: float, z_mm: float, reach_mm: float, free: bool = False) -> None:
        """The mouse is there now; ``free``: without steps."""
        opening, length = self.opening, self.face.elevation.length_mm
        wish = opening.from_mm + u_mm - self._from_u
        at, self.said = stepped(length, opening.to_mm - opening.from_mm, wish, reach_mm, free)
        self.along_mm = at - opening.from_mm
        up = z_mm - self._from_z
        self.up_mm = self._stepped_up(up, free) if opening.rises and abs(up) >= UP_FROM_MM else 0.0

    def _stepped_up(self, up_mm: float, free: bool) -> float:
        """Sills go by steps too, and stay between floor and ceiling."""
        opening, e = self.opening, self.face.elevation
        highest = max(e.high_mm - (opening.head_mm - opening.sill_mm), e.low_mm)
        sill = min(max(opening.sill_mm + up_mm, e.low_mm), highest)
        return (sill if free else round(sill / STEP_MM) * STEP_MM) - opening.sill_mm

    @property
    def has_moved(self) -> bool:
        """Whether it would be anywhere else."""
        return abs(self.along_mm) > 1e-6 or abs(self.up_mm) > 1e-6

    @property
    def host_mm(self) -> float:
        """How far it would move along its own wall, from that wall's start."""
        return self.along_mm if self.opening.is_host else -self.along_mm

    @property
    def sill_mm(self) -> float | None:
        """The new sill; None where it stays."""
        return self.opening.sill_mm + self.up_mm if self.up_mm else None

    def rings(self) -> tuple[FlatRing, ...]:
        """Its outline where it would be."""
        found: tuple[FlatRing, ...] = next(
            (rings for name, rings in self.face.elevation.openings if name == self.opening.id), ()
        )
        return tuple(tuple((u + self.along_mm, z + self.up_mm) for u, z in ring) for ring in found)

    def lengths(self) -> tuple[tuple[float, float, str], ...]:
        """(u, z, words): what is left to both corners and below, in the middle of each stretch."""
        opening, e = self.opening, self.face.elevation
        start, end = opening.from_mm + self.along_mm, opening.to_mm + self.along_mm
        sill, head = opening.sill_mm + self.up_mm, opening.head_mm + self.up_mm
        middle = (max(sill, e.low_mm) + min(head, e.high_mm)) / 2.0
        said = [
            (start / 2.0, middle, shown(start / 1000.0, 3)),
            ((end + e.length_mm) / 2.0, middle, shown((e.length_mm - end) / 1000.0, 3)),
        ]
        if opening.rises:
            said.append(((start + end) / 2.0, (e.low_mm + sill) / 2.0, shown(sill / 1000.0, 3)))
        return tuple(said)


_GAP_PX, _MARGIN_PX = 16.0, 18.0
_LEAST_PX = 34.0
"""A face is never narrower: its words would run into the next."""

_DRAG_PX = 5.0
"""So far from where it was pressed a drag begins."""

_MIDDLE_PX = 4.0
"""So near to the middle of a wall the middle is meant."""

_NUDGE_MM, _FAR_NUDGE_MM = 10.0, 100.0
"""An arrow key moves a chosen opening so far; with Shift further."""

_ARROWS = {
    Qt.Key.Key_Left: (1.0, 0.0),
    Qt.Key.Key_Right: (-1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}
"""(along the face from its start, up): a face starts at the right."""

LEAST_HEIGHT_PX = 120


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
        self.setAccessibleName(tr("Walls of the selected room"))
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
        return max((self.height() - WORDS_PX - 8.0) / max(tall, 1.0), 0.005)

    def boxes(self) -> tuple[tuple[FaceDrawing, QRectF], ...]:
        """Each face and where it is drawn, px."""
        found, x, scale = [], _MARGIN_PX, self.scale()
        faces = self._faces()
        top = max((f.elevation.high_mm for f in faces), default=0.0)
        for face in faces:
            e = face.elevation
            wide, tall = e.length_mm * scale, (e.high_mm - e.low_mm) * scale
            slot = max(wide, _LEAST_PX, words_px(face))
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
            if box.adjusted(0, 0, 0, WORDS_PX).contains(spot):
                inside = self._to_px(face, box).inverted()[0].map(spot)
                for opening, rings in face.elevation.openings:
                    if path_of_rings(rings).contains(inside):
                        return Ref("opening", opening, self._strip.room)
                return Ref("side", face.elevation.side, self._strip.room)
        return None

    def ticked_at(self, spot: QPointF) -> Ref | None:
        """The face whose tick is under a spot."""
        for face, box in self.boxes():
            if self._strip and tick_box(face, box, self.height()).adjusted(-4, -4, 4, 4).contains(spot):
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
        elif key in _ARROWS and self._nudge(*_ARROWS[key], bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)):
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

    def _opening_at(self, spot: QPointF, ref: Ref) -> tuple[FaceDrawing, QRectF, OpeningInFace, QPointF] | None:
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
        tip = tr("Coat this wall, or leave it uncoated") if tick else ""
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
        """Every face that is to be seen, with the words under it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = FaceBrush(painter, self._theme, self.scale(), self.height(), self._choice, self._lit, self.drag)
        for face, box in self.boxes():
            if box.adjusted(-20, -20, 20, 40).intersects(QRectF(event.rect())):
                brush.paint(face, box)
        painter.end()

    def _to_px(self, face: FaceDrawing, box: QRectF) -> QTransform:
        return to_px(face, box, self.scale())

    def _faces(self) -> tuple[FaceDrawing, ...]:
        return self._strip.faces if self._strip else ()

    def _width(self) -> float:
        boxes = self.boxes()
        last = boxes[-1][1].right() if boxes else 0.0
        return last + 2 * _MARGIN_PX

    def _set_width(self) -> None:
        self.setMinimumWidth(int(self._width()))


class WallStrip(QWidget):
    """The strip with its heading; scrolls along when the walls are longer than the window."""

    coat_clicked = Signal(object)
    """The Ref of a face whose coat is to be switched."""

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.heading = Elided()
        self.faces = Faces(theme)
        self.faces.clicked.connect(self._clicked)
        self.faces.ticked.connect(self.coat_clicked)
        self.faces.slid.connect(self._slide)
        scroll = QScrollArea()
        scroll.setAccessibleName(tr("Walls of the selected room"))
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(self.faces)
        scroll.setWidgetResizable(True)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.viewport().setAutoFillBackground(False)
        self.faces.setAutoFillBackground(False)
        layout = stacked(self, (0, 8, 0, 4), 2)
        self.heading.setContentsMargins(18, 0, 18, 0)
        layout.addWidget(self.heading)
        layout.addWidget(scroll, 1)
        self.setMinimumHeight(LEAST_HEIGHT_PX)
        document.opened.connect(self.refresh)
        document.changed.connect(self._changed)
        document.chosen_changed.connect(self.refresh)
        self.refresh()

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self.faces.set_theme(theme)

    def refresh(self) -> None:
        """Show the walls of the last chosen room."""
        choice = self._document.choice
        strip = wall_strip(self._document.state, choice[-1].room_id) if choice else None
        has_rooms = self._document.job.has_rooms
        nothing = (
            tr("Click a room to see its walls from inside.")
            if has_rooms
            else tr("The walls of the selected room stand here, seen from inside.")
        )
        self.heading.say(strip.title if strip else nothing)
        self.faces.show_strip(strip, choice)

    def _changed(self, before: State, after: State) -> None:
        """Only a change in the storey of the chosen room, or in the kinds of wall, changes its walls."""
        choice = self._document.choice
        place = place_of(after.job, choice[-1].room_id) if choice else None
        if (
            place is None
            or before.job.wall_types is not after.job.wall_types
            or not any(storey is place[0] for storey in before.job.storeys)
        ):
            self.refresh()

    def _clicked(self, ref: Ref, add: bool) -> None:
        document = self._document
        rest = tuple(other for other in document.choice if other != ref) if add else ()
        document.choose((*rest, ref))

    def _slide(self, opening_id: str, along_mm: float, sill_mm: float | None) -> None:
        """An opening was dragged along its wall, or up."""

        def slid(job: Job) -> Job:
            opening = edits.opening_of(job, OpeningId(opening_id))
            return edits.slide_opening(job, opening.id, opening.offset_mm + along_mm, sill_mm)

        self._document.apply(tr("Move an opening"), slid)
