"""The chosen room in three dimensions, painted, with its heading and the sides to see it from."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QWidget

from takeoff.geometry.seen import View
from takeoff.language import tr
from takeoff.ui.canvas.pens import dots_brush, pen_of
from takeoff.ui.document import Choice, Document, Ref
from takeoff.ui.panels.form_fields import small_button
from takeoff.ui.panels.page_parts import Elided, stacked
from takeoff.ui.themes import Theme, font
from takeoff.views.board import State
from takeoff.views.naming import place_of
from takeoff.views.room_seen import SAID, Area, Look, Mark, room_look

FROM_ABOVE, FROM_BELOW = View(-60.0, 32.0), View(-60.0, -28.0)

_TURN_DEG_PER_PX = 0.5
_KEY_DEG = 15.0
_CLICK_PX = 4.0
"""A press that moved less is a click."""

_MARGIN_PX = 14.0
_KEY_PX = 22.0
"""Height of the row that says what the fills mean."""

_SWATCH_PX = 15.0
_DARKER = 0.22
"""By so much of its lightness a surface that is seen edge on is darker than one that is faced."""

_GLASS = 0.2
"""How much glass is tinted."""

_FILLS = {"coat": "coat", "left_on": "wall", "bare": "paper", "floor": "field", "glass": "paper", "door": "hair"}
_PLAIN = Qt.KeyboardModifier.NoModifier
_STEPS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


class RoomPicture(QWidget):
    """The picture itself: turned by dragging and by the arrow keys, a click tells what was hit."""

    clicked = Signal(object)
    """The Ref of what was clicked."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._look: Look | None = None
        self._choice: Choice = ()
        self._shapes: tuple[View, Look, tuple[Area | Mark, ...]] | None = None
        self._from: tuple[QPointF, View] | None = None
        self._zoom = 1.0
        self.view = FROM_ABOVE
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setAccessibleName(tr("The selected room in three dimensions"))
        self.setToolTip(tr("Drag or use the arrow keys to turn the room; click a wall to select it"))
        self.setMinimumSize(220, 120)

    # -- what is shown

    @property
    def look(self) -> Look | None:
        """The room that is shown; None for none."""
        return self._look

    def set_theme(self, theme: Theme) -> None:
        """Paint in other colours."""
        self._theme = theme
        self.update()

    def show_look(self, look: Look | None, choice: Choice) -> None:
        """Show a room, from the side from which the last one was seen."""
        if look is not self._look or choice != self._choice:
            self._look, self._choice = look, choice
            self.update()

    def turn_to(self, view: View) -> None:
        """Look from another side."""
        if view != self.view:
            self.view = view
            self.update()

    def shapes(self) -> tuple[Area | Mark, ...]:
        """What is seen from this side; () where no room is shown."""
        if self._look is None:
            return ()
        if self._shapes is None or self._shapes[0] != self.view or self._shapes[1] is not self._look:
            self._shapes = self.view, self._look, self._look.picture(self.view)
        return self._shapes[2]

    def spot_of(self, surface: str) -> QPointF | None:
        """The middle of the first piece of a surface that is seen, px; None where none is."""
        for shape in self.shapes():
            if isinstance(shape, Area) and surface in (shape.surface, shape.opening):
                x, y = (sum(p[axis] for p in shape.points) / len(shape.points) for axis in (0, 1))
                return self._to_px().map(QPointF(x, y))
        return None

    # -- mouse and keys

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of the room."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._from = event.position(), self.view
            self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Turn it."""
        if self._from is not None and event.buttons() & Qt.MouseButton.LeftButton:
            by = event.position() - self._from[0]
            if by.manhattanLength() > _CLICK_PX or self.view != self._from[1]:
                # what is nearest follows the hand
                self.turn_to(self._from[1].turned(-by.x() * _TURN_DEG_PER_PX, by.y() * _TURN_DEG_PER_PX))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Let go; a press that turned nothing chooses what it hit."""
        pressed, self._from = self._from, None
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        if pressed is not None and self.view == pressed[1] and event.button() == Qt.MouseButton.LeftButton:
            ref = self.hit(event.position())
            if ref is not None:
                self.clicked.emit(ref)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Nearer and further."""
        self._zoom = min(max(self._zoom * 1.15 ** (event.angleDelta().y() / 120.0), 0.5), 4.0)
        self.update()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows turn the room, Home shows it as at first."""
        key = Qt.Key(event.key())
        if key in _STEPS:
            round_by, up_by = _STEPS[key]
            self.turn_to(self.view.turned(round_by * _KEY_DEG, up_by * _KEY_DEG))
        elif key == Qt.Key.Key_Home:
            self._zoom = 1.0
            self.turn_to(FROM_ABOVE)
            self.update()
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Home and the arrows are for the picture while it has the keys, and no shortcuts."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and (
                event.modifiers() in (_PLAIN, Qt.KeyboardModifier.KeypadModifier)
                and Qt.Key(event.key()) in (*_STEPS, Qt.Key.Key_Home)
            )
        ):
            event.accept()
            return True
        return super().event(event)

    def hit(self, spot: QPointF) -> Ref | None:
        """What a click means: an opening, a wall, else the room; None beside the room."""
        if self._look is None:
            return None
        at = self._to_px().inverted()[0].map(spot)
        area = self._look.at(self.view, at.x(), at.y())
        if area is None:
            return None
        if area.opening:
            light = area.surface == f"{area.opening}.shaft"
            return Ref("rooflight" if light else "opening", area.opening, self._look.room)
        sides = {f.surface for f in self._look.solid.facets if f.kind == "wall"}
        if area.surface in sides:
            return Ref("side", area.surface, self._look.room)
        return Ref("room", self._look.room)

    # -- painting

    def _scale(self) -> float:
        """px per mm of the picture."""
        reach = self._look.reach_mm if self._look is not None else 1.0
        room = min(self.width(), self.height() - _KEY_PX) / 2.0 - _MARGIN_PX
        # a room is broad rather than tall: it may use more of a broad picture than a ball would
        wide = self.width() / 2.0 - _MARGIN_PX
        return self._zoom * max(min(wide, room * 1.35), 10.0) / max(reach, 1.0)

    def _to_px(self) -> QTransform:
        scale = self._scale()
        move = QTransform.fromTranslate(self.width() / 2.0, (self.height() - _KEY_PX) / 2.0)
        return QTransform.fromScale(scale, -scale) * move

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Everything from the furthest to the nearest, then the key."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._theme.colour("paper"))
        to_px = self._to_px()
        for shape in self.shapes():
            points = to_px.map(QPolygonF([QPointF(x, y) for x, y in shape.points]))
            if isinstance(shape, Area):
                self._paint_area(painter, shape, points)
            else:
                self._paint_mark(painter, shape, points)
        if self._look is None:
            painter.setPen(QPen(self._theme.colour("grey")))
            painter.setFont(font(13))
            painter.drawText(
                self.rect(),
                Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                tr("Click a room on the plan to see it here."),
            )
        self._paint_key(painter)
        painter.end()

    def _paint_area(self, painter: QPainter, area: Area, points: QPolygonF) -> None:
        colour = self._theme.colour(_FILLS[area.fill])
        if area.fill == "glass":
            colour = _mixed(colour, self._theme.colour("bead"), _GLASS)
        elif area.fill != "floor":
            colour = _shaded(colour, area.shade, self._theme.is_dark)
        # a hair of the same colour closes the seams between neighbours
        painter.setPen(QPen(colour, 0.8))
        painter.setBrush(QBrush(colour))
        painter.drawPolygon(points)
        painter.setPen(Qt.PenStyle.NoPen)
        if area.fill == "coat":
            painter.setBrush(dots_brush(self._theme.colour("hatch"), QTransform()))
            painter.drawPolygon(points)
        if self._is_chosen(area.surface, area.opening):
            wash = self._theme.colour("chosen")
            wash.setAlpha(46)
            painter.setBrush(QBrush(wash))
            painter.drawPolygon(points)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _paint_mark(self, painter: QPainter, mark: Mark, points: QPolygonF) -> None:
        theme = self._theme
        if mark.stroke in ("outline", "ghost") and self._is_chosen(mark.surface, ""):
            painter.setPen(pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        elif mark.stroke == "bead":
            painter.setPen(QPen(theme.colour("bead"), 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        elif mark.stroke == "existing":
            painter.setPen(pen_of(theme, "bead", 0.4, (1.2, 0.8)))
        elif mark.stroke == "ghost":
            painter.setPen(pen_of(theme, "line", 0.2, (0.4, 0.8)))
        else:
            painter.setPen(pen_of(theme, "ink" if mark.stroke == "outline" else "hatch", 0.24))
        painter.drawPolyline(points)

    def _is_chosen(self, surface: str, opening: str) -> bool:
        return any(
            (ref.kind == "side" and ref.id == surface)
            or (ref.kind in ("opening", "rooflight") and opening and ref.id == opening)
            for ref in self._choice
        )

    def _paint_key(self, painter: QPainter) -> None:
        if self._look is None:
            return
        painter.setFont(font(13))
        metrics = QFontMetricsF(painter.font())
        x, y = _MARGIN_PX, self.height() - _KEY_PX + 3.0
        for name in self._look.key:
            box = QRectF(x, y, _SWATCH_PX, _SWATCH_PX)
            self._paint_swatch(painter, name, box)
            painter.setPen(QPen(self._theme.colour("ink")))
            words = tr(SAID[name])
            wide = metrics.horizontalAdvance(words)
            painter.drawText(
                QRectF(box.right() + 5.0, y - 2.0, wide + 2.0, _SWATCH_PX + 4.0), Qt.AlignmentFlag.AlignVCenter, words
            )
            x = box.right() + wide + 19.0

    def _paint_swatch(self, painter: QPainter, name: str, box: QRectF) -> None:
        if name in ("bead", "existing"):
            line = QPolygonF([QPointF(box.left(), box.center().y()), QPointF(box.right(), box.center().y())])
            self._paint_mark(painter, Mark((), name, ""), line)  # type: ignore[arg-type]
            return
        self._paint_area(painter, Area((), name, 1.0, ""), QPolygonF(box))  # type: ignore[arg-type]
        painter.setPen(pen_of(self._theme, "ink", 0.2))
        painter.drawRect(box)


def _mixed(one: QColor, other: QColor, share: float) -> QColor:
    """The first colour with a share of the other."""
    parts = zip((one.redF(), one.greenF(), one.blueF()), (other.redF(), other.greenF(), other.blueF()), strict=True)
    r, g, b = (a * (1.0 - share) + c * share for a, c in parts)
    return QColor.fromRgbF(r, g, b)


def _shaded(colour: QColor, shade: float, is_dark: bool) -> QColor:
    """A colour the darker the less its surface faces the eye."""
    h, s, v = max(colour.hsvHueF(), 0.0), colour.hsvSaturationF(), colour.valueF()
    factor = 1.0 - _DARKER * (1.0 - max(0.0, min(shade, 1.0)))
    if is_dark and v < 0.2:
        # nearly black grounds have no darker: those that are faced are lighter instead
        return QColor.fromHsvF(h, s, min(v + 0.10 * max(shade, 0.0), 1.0))
    return QColor.fromHsvF(h, s, v * factor)


class RoomLook(QWidget):
    """The picture with its heading; follows the chosen room."""

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self._shown: State | None = None
        self.setProperty("part", "strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.heading = Elided()
        self.picture = RoomPicture(theme)
        self.above = small_button(tr("Above"), tr("See the room from above: floor and walls"))
        self.below = small_button(tr("Below"), tr("See the room from below: ceiling and walls"))
        self.close_button = small_button("×", tr("Close the room view"))
        self._build()
        self.picture.clicked.connect(self._clicked)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.chosen_changed.connect(self.refresh)

    def _build(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(14, 6, 10, 2)
        head.setSpacing(5)
        head.addWidget(self.heading, 1)
        for button, view in ((self.above, FROM_ABOVE), (self.below, FROM_BELOW)):
            head.addWidget(button)
            button.clicked.connect(self._show_above if view is FROM_ABOVE else self._show_below)
        head.addWidget(self.close_button)
        down = stacked(self, (1, 0, 0, 0), 0)
        down.addLayout(head)
        down.addWidget(self.picture, 1)
        tabs: list[QWidget] = [self.above, self.below, self.close_button, self.picture]
        for before, after in pairwise(tabs):
            QWidget.setTabOrder(before, after)

    def set_theme(self, theme: Theme) -> None:
        """Paint in other colours."""
        self.picture.set_theme(theme)

    def refresh(self) -> None:
        """Show the room of what was chosen last; while hidden nothing is worked out."""
        if not self.isVisible():
            self._shown = None
            return
        choice, state = self._document.choice, self._document.state
        room = choice[-1].room_id if choice else ""
        look = self.picture.look
        if look is None or look.room != room or self._shown is None or _differs(self._shown, state, room):
            look = room_look(state, room) if room else None
            self._shown = state
        self.heading.say(look.title if look is not None else tr("No room selected"))
        self.picture.show_look(look, choice)

    def showEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """What was chosen or changed while it was hidden."""
        del event
        self.refresh()

    def _show_above(self) -> None:
        self.picture.turn_to(View(self.picture.view.round_deg, FROM_ABOVE.up_deg))

    def _show_below(self) -> None:
        self.picture.turn_to(View(self.picture.view.round_deg, FROM_BELOW.up_deg))

    def _clicked(self, ref: object) -> None:
        if isinstance(ref, Ref):
            self._document.choose((ref,))


def _differs(before: State, after: State, room: str) -> bool:
    """Whether a room may look otherwise: its storey is another, or kinds of wall and bead are."""
    one, other = place_of(before.job, room), place_of(after.job, room)
    return (
        one is None
        or other is None
        or one[0] is not other[0]
        or before.job.wall_types is not after.job.wall_types
        or before.room(room) is not after.room(room)
    )
