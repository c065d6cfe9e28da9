"""The rooms of another storey as thin dashed outlines under the one that is shown, to see how they lie."""

from __future__ import annotations

from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsScene

from takeoff.plan.model import Storey
from takeoff.plan.shape import vertices
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.pens import path_of, pen_of
from takeoff.ui.themes import Theme

Z_OTHER = 40.0
_WIDTH_MM, _DASH = 0.3, (1.2, 0.8)


class OtherStorey:
    """One path for all its rooms."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._theme = theme
        self._item = QGraphicsPathItem()
        self._item.setZValue(Z_OTHER)
        scene.addItem(self._item)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show the same in other colours."""
        self._item.setPen(pen_of(theme, "chosen", _WIDTH_MM, _DASH))

    def show(self, storey: Storey | None, origin: Point) -> None:
        """The outlines of its rooms about a local origin; None shows nothing."""
        if storey is None:
            self._item.setPath(QPainterPath())
            return
        rings = [vertices(ring) for room in storey.rooms for ring in room.rings]
        shifted = [tuple((x - origin[0], y - origin[1], bulge) for x, y, bulge in ring) for ring in rings]
        self._item.setPath(path_of(shifted, True, 1.0))

    @property
    def is_empty(self) -> bool:
        """Whether nothing is shown."""
        return self._item.path().isEmpty()
