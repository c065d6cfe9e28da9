"""The rooms of another storey as dashed outlines under the one that is shown, to see how they lie."""

from __future__ import annotations

from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsScene

from takeoff.plan.model import Storey, Vertex
from takeoff.plan.shape import curves_by_id, vertices
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.pens import path_of, pen_of
from takeoff.ui.themes import Theme

Z_OTHER = 40.0
_WIDTH_MM, _DASH = 0.3, (1.2, 0.8)
_BOX_MM = 120.0


class OtherStorey:
    """One path for all its rooms; ``openings``: its openings too, as boxes outside of their faces. ``role``: of the
    theme's colours."""

    def __init__(
        self,
        scene: QGraphicsScene,
        theme: Theme,
        role: str = "chosen",
        width_mm: float = _WIDTH_MM,
        z: float = Z_OTHER,
        openings: bool = False,
    ) -> None:
        self._role, self._width_mm, self._openings = role, width_mm, openings
        self._item = QGraphicsPathItem()
        self._item.setZValue(z)
        scene.addItem(self._item)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show the same in other colours."""
        self._item.setPen(pen_of(theme, self._role, self._width_mm, _DASH))

    def show(self, storey: Storey | None, origin: Point) -> None:
        """The outlines of its rooms about a local origin; None shows nothing."""
        if storey is None:
            self._item.setPath(QPainterPath())
            return
        rings = [vertices(ring) for room in storey.rooms for ring in room.rings]
        rings += opening_boxes(storey) if self._openings else []
        shifted = [tuple((x - origin[0], y - origin[1], bulge) for x, y, bulge in ring) for ring in rings]
        self._item.setPath(path_of(shifted, True, 1.0))

    @property
    def is_empty(self) -> bool:
        """Whether nothing is shown."""
        return self._item.path().isEmpty()


def opening_boxes(storey: Storey) -> list[tuple[Vertex, ...]]:
    """A box for each opening, from its host's face outwards."""
    curves = {(room.id, side): curve for room in storey.rooms for side, curve in curves_by_id(room).items()}
    found: list[tuple[Vertex, ...]] = []
    for opening in storey.openings:
        curve = curves.get((opening.room, opening.side))
        if curve is None:
            continue
        (ax, ay), (bx, by) = curve.at(opening.offset_mm), curve.at(opening.offset_mm + opening.width_mm)
        # rooms run counter-clockwise, so that outside is to the right
        dx, dy = curve.direction(opening.offset_mm + opening.width_mm / 2.0)
        out = dy * _BOX_MM, -dx * _BOX_MM
        found.append(((ax, ay, 0.0), (bx, by, 0.0), (bx + out[0], by + out[1], 0.0), (ax + out[0], ay + out[1], 0.0)))
    return found
