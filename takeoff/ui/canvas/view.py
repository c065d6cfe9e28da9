"""The view: y up, zoom to the cursor, pan, the mouse handed to the current tool in plan mm, a scale bar over it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QTransform, QWheelEvent
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QWidget

from takeoff.language import tr
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.tool import IdleTool, Pointer, Tool
from takeoff.ui.themes import Theme, font
from takeoff.units.printing import shown_short

REACH_PX = 7.0
"""How near a click must come to a line."""

_STEP = 1.2
"""Zoom for a notch of the wheel."""

_CLOSEST_PX_PER_MM, _FARTHEST_PX_PER_MM = 20.0, 1e-4
_MARGIN = 0.06
"""Free border when the plan is fitted, as part of its size."""

_LARGEST_MM = 1e8
"""The scene's half size: a local origin keeps plans well within."""


class PlanView(QGraphicsView):
    """Shows the scene of one plan. ``origin``: the plan point at the scene's 0, 0."""

    zoomed = Signal(float)
    """px per mm of plan now."""
    pointed = Signal(object)
    """The Pointer, whenever the mouse moves."""
    escaped = Signal()
    """Escape that the tool had no use for."""
    tool_changed = Signal()
    """Another tool was taken up."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        self._scene = QGraphicsScene()
        super().__init__(self._scene, parent)
        self.origin: Point = (0.0, 0.0)
        self._theme = theme
        self._tool: Tool = IdleTool()
        self._pan_from: QPoint | None = None
        self._space = False
        self._box: QRectF | None = None
        self._fitted = True
        # over the view and not over its viewport, which carries its children along when it scrolls
        self._bar = ScaleBar(theme, self)
        self.zoomed.connect(self._bar.set_scale)
        self.scene().setSceneRect(-_LARGEST_MM, -_LARGEST_MM, 2 * _LARGEST_MM, 2 * _LARGEST_MM)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontSavePainterState)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.SmartViewportUpdate)
        self.setMouseTracking(True)
        # a scene takes what is dragged over it and does nothing with it: files are for the window
        self.setAcceptDrops(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Plan"))
        self.set_theme(theme)
        self.setTransform(QTransform.fromScale(0.05, -0.05))

    # -- what is seen

    @property
    def px_per_mm(self) -> float:
        """How large a mm of plan is on screen."""
        return self.transform().m11()

    def set_theme(self, theme: Theme) -> None:
        """Change the ground and the scale bar."""
        self._theme = theme
        self._bar.set_theme(theme)
        self.setBackgroundBrush(theme.colour("paper"))

    def set_box(self, left: float, low: float, right: float, high: float) -> None:
        """What "fit" shows, plan mm."""
        self._box = QRectF(left - self.origin[0], low - self.origin[1], right - left, high - low)
        self._bar.show()

    def fit(self) -> None:
        """Show everything, and go on doing so while the window changes its size."""
        if self._box is not None:
            self._fit(self._box)
            self._fitted = True

    def show_area(self, left: float, low: float, right: float, high: float) -> None:
        """Zoom to an area, plan mm."""
        self._fit(QRectF(left - self.origin[0], low - self.origin[1], right - left, high - low))
        self._fitted = False

    def _fit(self, box: QRectF) -> None:
        port = self.viewport().rect()
        wide, tall = max(box.width(), 1.0), max(box.height(), 1.0)
        scale = min(port.width() / wide, port.height() / tall) / (1.0 + 2.0 * _MARGIN)
        self._set_scale(scale)
        self.centerOn(box.center())

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom by a factor about a point of the viewport, its middle by default."""
        spot = QPointF(self.viewport().rect().center()) if about is None else about
        before = self.mapToScene(spot.toPoint())
        self._set_scale(self.px_per_mm * factor)
        moved = self.mapFromScene(before) - spot.toPoint()
        self._scroll(moved)
        self._fitted = False

    def _set_scale(self, scale: float) -> None:
        scale = min(max(scale, _FARTHEST_PX_PER_MM), _CLOSEST_PX_PER_MM)
        self.setTransform(QTransform.fromScale(scale, -scale))
        self.zoomed.emit(scale)

    def _scroll(self, by: QPoint) -> None:
        self.horizontalScrollBar().setValue(self.horizontalScrollBar().value() + by.x())
        self.verticalScrollBar().setValue(self.verticalScrollBar().value() + by.y())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep a fitted plan fitted."""
        super().resizeEvent(event)
        self._bar.move(18, self.height() - self._bar.height() - 6)
        if self._fitted:
            self.fit()

    # -- where things are

    def plan_point(self, spot: QPointF) -> Point:
        """The plan point under a spot of the viewport."""
        # mapToScene takes whole px only: the transform itself keeps the parts
        at = self.viewportTransform().inverted()[0].map(spot)
        return at.x() + self.origin[0], at.y() + self.origin[1]

    def spot(self, point: Point) -> QPoint:
        """Where a plan point is in the viewport."""
        return self.mapFromScene(QPointF(point[0] - self.origin[0], point[1] - self.origin[1]))

    # -- tool and mouse

    @property
    def tool(self) -> Tool:
        """What the mouse is handed to."""
        return self._tool

    def take(self, tool: Tool) -> None:
        """Lay down the tool and take up another."""
        self._tool.stop()
        self._tool = tool
        self.viewport().setCursor(tool.cursor)
        tool.start()
        self.tool_changed.emit()

    def _pointer(self, event: QMouseEvent) -> Pointer:
        held = event.modifiers()
        return Pointer(
            at=self.plan_point(event.position()),
            reach_mm=REACH_PX / self.px_per_mm,
            shift=bool(held & Qt.KeyboardModifier.ShiftModifier),
            control=bool(held & Qt.KeyboardModifier.ControlModifier),
            left_down=bool(event.buttons() & Qt.MouseButton.LeftButton),
        )

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Middle button, or left with space held, pans; left goes to the tool."""
        pans = event.button() == Qt.MouseButton.MiddleButton or (
            event.button() == Qt.MouseButton.LeftButton and self._space
        )
        if pans:
            self._pan_from = event.position().toPoint()
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self._tool.press(self._pointer(event))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Pan, or tell the tool."""
        if self._pan_from is not None:
            here = event.position().toPoint()
            self._scroll(self._pan_from - here)
            self._pan_from, self._fitted = here, False
            return
        pointer = self._pointer(event)
        self._tool.move(pointer)
        self.pointed.emit(pointer)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """End panning, or tell the tool."""
        if self._pan_from is not None:
            self._pan_from = None
            self.viewport().setCursor(self._tool.cursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self._tool.release(self._pointer(event))
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Left goes to the tool."""
        if event.button() == Qt.MouseButton.LeftButton and not self._space:
            self._tool.double_click(self._pointer(event))
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Zoom to the cursor; a touchpad's fine steps zoom finely."""
        notches = event.angleDelta().y() / 120.0
        if notches:
            self.zoom(_STEP**notches, event.position())
        event.accept()

    def escape(self) -> None:
        """Escape for the tool in hand; told where it has no use for it."""
        if not self._tool.key(Qt.Key.Key_Escape, "", False, False):
            self.escaped.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Keys go to the tool first; space pans, Escape that nobody wants is told."""
        held = event.modifiers()
        wanted = self._tool.key(
            event.key(),
            event.text(),
            bool(held & Qt.KeyboardModifier.ShiftModifier),
            bool(held & Qt.KeyboardModifier.ControlModifier),
        )
        if wanted:
            event.accept()
        elif event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = True
            self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Space released: the tool's cursor again."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            self.viewport().setCursor(self._tool.cursor)
        super().keyReleaseEvent(event)


_BAR_LENGTHS_M = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_BAR_PX, _BAR_WORDS_PX, _BAR_PARTS = 320, 60, 5


class ScaleBar(QWidget):
    """Lies over the view and lets the mouse through."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme, self._px_per_mm = theme, 0.05
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFixedSize(_BAR_PX + _BAR_WORDS_PX, 20)
        self.hide()

    @property
    def metres(self) -> float:
        """The length that the bar stands for."""
        fitting = (m for m in _BAR_LENGTHS_M if m * 1000.0 * self._px_per_mm <= _BAR_PX)
        return max(fitting, default=_BAR_LENGTHS_M[0])

    def set_scale(self, px_per_mm: float) -> None:
        """Draw for another zoom."""
        self._px_per_mm = px_per_mm
        self.update()

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self._theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Five parts, dark and pale in turn, and the length in words."""
        painter = QPainter(self)
        length = self.metres * 1000.0 * self._px_per_mm
        middle = self.height() / 2.0
        for part in range(_BAR_PARTS):
            role = "ink" if part % 2 == 0 else "grey"
            box = QRectF(length * part / _BAR_PARTS, middle - 1.5, length / _BAR_PARTS, 3.0)
            painter.fillRect(box, self._theme.colour(role))
        painter.setFont(font(13))
        painter.setPen(QPen(self._theme.colour("grey")))
        painter.drawText(QPointF(length + 6.0, middle + 4.5), bar_words(self.metres))
        painter.end()


def bar_words(metres: float) -> str:
    """ "5 m", "20 cm": the length in words."""
    return f"{shown_short(metres)} m" if metres >= 1 else f"{shown_short(metres * 100)} cm"
