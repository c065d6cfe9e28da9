"""A picture under the plan, where it lies in plan mm."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPixmap, QTransform
from PySide6.QtWidgets import QGraphicsPixmapItem, QGraphicsScene

from takeoff.services.pictures import Backdrop
from takeoff.sheets.model import Point
from takeoff.ui.canvas.linework import LayerShow

Z_BACKDROP = -100.0
_OPACITY: dict[LayerShow, float] = {"on": 1.0, "dimmed": 0.35, "off": 0.0}


class BackdropItem:
    """At most one picture in a scene, below everything else."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
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
        item = QGraphicsPixmapItem(QPixmap.fromImage(image))
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
