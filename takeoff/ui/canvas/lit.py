"""Where a figure comes from, on the plan: dashed outlines inside the band, over what is chosen."""

from __future__ import annotations

import shapely
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QPainterPath, QPolygonF
from PySide6.QtWidgets import QGraphicsEllipseItem, QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Room, Storey
from takeoff.plan.shape import vertices
from takeoff.sheets.curved import facets, ring_polygon
from takeoff.ui.canvas.pens import pen_of
from takeoff.ui.canvas.pieces import BAND_MM
from takeoff.ui.canvas.room_labels import pivot
from takeoff.ui.canvas.targets import opening_corners, side_curves
from takeoff.ui.themes import Theme
from takeoff.views.figure_places import Stretch, Traced

Z_LIT = 55.0
_INSET_MM = 20.0
"""The outline of a lit stretch stays this far within its band."""

_DOT_PX, _RING_PX = 13.0, 32.0
"""About an upright edge, and about an opening with its question mark."""
_FILL_ALPHA = 46
_DASH = (1.6, 0.8)


class LitItems:
    """Few items, made anew whenever something else is lit."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._scene, self._theme = scene, theme
        self._items: list[QGraphicsItem] = []
        self.origin = (0.0, 0.0)
        self.traced = Traced()

    def set_theme(self, theme: Theme, storey: Storey | None) -> None:
        """Show the same in other colours."""
        self._theme = theme
        if storey is not None:
            self.show(storey, self.traced)

    def clear(self) -> None:
        """Light nothing."""
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()
        self.traced = Traced()

    def __len__(self) -> int:
        return len(self._items)

    def show(self, storey: Storey, traced: Traced) -> None:
        """Light these places; those that the storey does not have are passed over."""
        self.clear()
        self.traced = traced
        rooms = {str(room.id): room for room in storey.rooms}
        meant = {s.room for s in traced.stretches} | {str(o.room) for o in storey.openings}
        curves = {name: side_curves(rooms[name]) for name in meant & rooms.keys()}
        spaces = {s.room: _space(rooms[s.room]) for s in traced.stretches if s.room in rooms}
        for stretch in traced.stretches:
            curve = curves.get(stretch.room, {}).get(stretch.side)
            if curve is not None and stretch.to_mm > stretch.from_mm:
                self._band(curve, stretch, spaces[stretch.room])
        for rings in traced.areas:
            self._area(rings)
        for course in traced.courses:
            self._course(course)
        hosts = {str(o.id): o for o in storey.openings}
        for name in (*traced.openings, *traced.sought):
            opening = hosts.get(name)
            curve = curves.get(str(opening.room), {}).get(str(opening.side)) if opening else None
            if opening is not None and curve is not None and curve.length > 0:
                corners = tuple(opening_corners(opening, curve))
                self._area((corners,))
                if name in traced.sought:
                    middle = (sum(axis) / len(corners) for axis in zip(*corners, strict=True))
                    self._dot((next(middle), next(middle)), _RING_PX)
        for point in traced.points:
            self._dot(point)

    def _band(self, curve: Curve, stretch: Stretch, space: shapely.Geometry) -> None:
        part = curve.part(stretch.from_mm, stretch.to_mm)
        line = shapely.linestrings([*facets(part), (part.x1, part.y1)])
        band = shapely.buffer(line, BAND_MM, cap_style="flat").intersection(space)
        inner = shapely.buffer(band, -_INSET_MM, join_style="mitre")
        for area in shapely.get_parts(band if inner.is_empty else inner):
            if area.geom_type == "Polygon" and not area.is_empty:
                self._area(tuple(tuple(ring.coords)[:-1] for ring in (area.exterior, *area.interiors)), False)

    def _area(self, rings: tuple[tuple[tuple[float, float], ...], ...], filled: bool = True) -> None:
        path = QPainterPath()
        for ring in rings:
            path.addPolygon(QPolygonF([self._at(point) for point in ring]))
            path.closeSubpath()
        item = self._path(path)
        if filled:
            colour = self._theme.colour("chosen")
            colour.setAlpha(_FILL_ALPHA)
            item.setBrush(QBrush(colour))

    def _course(self, course: tuple[tuple[float, float], ...]) -> None:
        path = QPainterPath()
        path.addPolygon(QPolygonF([self._at(point) for point in course]))
        self._path(path, 0.6)

    def _path(self, path: QPainterPath, width_mm: float = 0.4) -> QGraphicsPathItem:
        item = QGraphicsPathItem(path)
        item.setPen(pen_of(self._theme, "chosen", width_mm, _DASH))
        item.setZValue(Z_LIT)
        self._scene.addItem(item)
        self._items.append(item)
        return item

    def _dot(self, point: tuple[float, float], wide_px: float = _DOT_PX) -> None:
        """A ring about an upright edge, of one size at any zoom."""
        at = pivot(self._scene, Z_LIT)
        at.setPos(self._at(point))
        ring = QGraphicsEllipseItem(QRectF(-wide_px / 2, -wide_px / 2, wide_px, wide_px), at)
        ring.setPen(pen_of(self._theme, "chosen", *((0.4, (0.8, 0.4)) if wide_px == _DOT_PX else (0.7, ()))))
        self._items.append(at)

    def _at(self, point: tuple[float, float]) -> QPointF:
        return QPointF(point[0] - self.origin[0], point[1] - self.origin[1])


def _space(room: Room) -> shapely.Geometry:
    rings = room.rings
    return ring_polygon([vertices(ring) for ring in rings])
