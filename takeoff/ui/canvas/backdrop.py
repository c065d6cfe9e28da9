"""A picture under the plan, where it lies in plan mm."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter, QPixmap, QTransform
from PySide6.QtWidgets import QGraphicsPixmapItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from takeoff.services.opened.pictures import Backdrop
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.linework import LayerShow

Z_BACKDROP = -100.0
_OPACITY: dict[LayerShow, float] = {"on": 1.0, "dimmed": 0.35, "off": 0.0}


class _PictureItem(QGraphicsPixmapItem):
    """A picture that is shown as its negative in a dark theme, where light words and lines lie on it."""

    def __init__(self, pixmap: QPixmap, is_dark: Callable[[], bool]) -> None:
        super().__init__(pixmap)
        self._is_dark = is_dark

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """The picture, then turned round where the theme is dark."""
        super().paint(painter, option, widget)  # type: ignore[arg-type]  # Qt allows no widget
        if self._is_dark():
            painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_Difference)
            painter.fillRect(self.boundingRect(), Qt.GlobalColor.white)
            painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)


class BackdropItem:
    """At most one picture in a scene, below everything else. ``is_dark``: whether the theme is."""

    def __init__(self, scene: QGraphicsScene, is_dark: Callable[[], bool]) -> None:
        self._scene, self._is_dark = scene, is_dark
        self._item: QGraphicsPixmapItem | None = None
        self.box: tuple[float, float, float, float] | None = None
        """What it covers, plan mm; None where there is none."""
        self.show: LayerShow = "on"

    def put(self, picture: Backdrop, origin: Point) -> None:
        """Show this picture in place of any other; ``origin``: the plan point at the scene's 0, 0."""
        self.clear()
        kind = QImage.Format.Format_Grayscale8 if picture.grey else QImage.Format.Format_RGB888
        stride = picture.width_px * (1 if picture.grey else 3)
        image = QImage(picture.pixels, picture.width_px, picture.height_px, stride, kind)
        item = _PictureItem(QPixmap.fromImage(image), self._is_dark)
        item.setTransformationMode(Qt.TransformationMode.SmoothTransformation)
        item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        x0, y0, x1, y1 = picture.box
        item.setTransform(QTransform.fromScale((x1 - x0) / picture.width_px, -(y1 - y0) / picture.height_px))
        item.setPos(x0 - origin[0], y1 - origin[1])
        item.setZValue(Z_BACKDROP)
        self._scene.addItem(item)
        self._item, self.box = item, picture.box
        self.set_show(self.show)

    def set_show(self, show: LayerShow) -> None:
        """Show it whole, dimmed, or not at all."""
        self.show = show
        if self._item is not None:
            self._item.setOpacity(_OPACITY[show])
            self._item.setVisible(show != "off")

    def clear(self) -> None:
        """Take it away."""
        if self._item is not None:
            self._scene.removeItem(self._item)
        self._item, self.box = None, None
