"""What is chosen on the plan: a dashed outline inside the band, the walls' letters, a strong side."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPen
from PySide6.QtWidgets import QGraphicsEllipseItem, QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from takeoff.measure.takeoff import Edge
from takeoff.plan.model import Room, Storey
from takeoff.plan.shape import vertex_rings
from takeoff.sheets.curved import area_rings, ring_polygon
from takeoff.sheets.sheet_values import Course, Point
from takeoff.sheets.wall_names import wall_letters
from takeoff.ui.canvas.corner_spots import upright_at
from takeoff.ui.canvas.items import words_at
from takeoff.ui.canvas.pens import path_of, pen_of
from takeoff.ui.canvas.pieces import BAND_MM
from takeoff.ui.canvas.room_labels import pivot
from takeoff.ui.canvas.targets import Drawn, opening_corners, side_curves
from takeoff.ui.document import Choice, Ref
from takeoff.ui.themes import Theme

_INSET_MM = BAND_MM + 25.0
"""How far within its walls a room's outline runs: inside the band, so that the coat stays visible."""

_LETTER_PX = 15.0
"""What a wall's letter takes of the plan, each way."""

_OFF_PX = 3.0
"""How far off the band, beside the line of the choice."""

_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
"""Where along its wall a letter is tried, from the middle outwards."""

Z_CHOSEN, Z_CORNERS = 45.0, 55.0

_RING_PX = 9.0
"""Radius of the ring about a chosen corner."""

Edges = Callable[[Ref], Edge | None]
"""The edge that a chosen corner stands for."""


def no_edges(ref: Ref) -> None:
    """Corners that nobody knows of."""
    del ref


Box = tuple[float, float, float, float]


class ChosenItems:
    """The outlines of what is chosen. They are few, and made anew with every choice."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._scene, self._theme = scene, theme
        self._items: list[QGraphicsItem] = []
        self.origin: Point = (0.0, 0.0)
        self.px_per_mm = 0.05
        """How large a mm of plan is on screen."""
        self._drawn: Drawn = {}
        self.letters: dict[str, Point] = {}
        """Where the letters of the chosen rooms' walls stand, by side."""

    def set_theme(self, theme: Theme) -> None:
        """Use other colours from the next choice on."""
        self._theme = theme

    def clear(self) -> None:
        """Outline nothing."""
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()
        self.letters.clear()

    def show(
        self,
        storey: Storey,
        choice: Choice,
        edges: Edges = no_edges,
        outlined: bool = True,
        written: Sequence[Box] = (),
        drawn: Drawn | None = None,
    ) -> None:
        """Outline what of a choice is on this storey; only its letters where it is not ``outlined``.
        ``edges`` tells where corners are, ``written`` what letters must not lie over, plan mm; ``drawn``: openings as
        they are drawn."""
        self._drawn = drawn or {}
        self.clear()
        rooms = {str(room.id): room for room in storey.rooms}
        lettered = {ref.room_id for ref in choice}
        for ref in choice:
            room = rooms.get(ref.room_id)
            if room is None or not outlined:
                continue
            if ref.kind == "corner":
                self._corner(edges(ref))
            else:
                self._outline(storey, room, ref)
        taken = list(written)
        for room_id in lettered & rooms.keys():
            self._letters(rooms[room_id], taken)

    def _outline(self, storey: Storey, room: Room, ref: Ref) -> None:
        if ref.kind == "room":
            self._dashed(_inner_rings(room))
        elif ref.kind == "side":
            self._dashed(_inner_rings(room), 0.25)
            curve = side_curves(room).get(ref.id)
            if curve is not None:
                self._line(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)))
        elif ref.kind == "opening":
            opening = next((o for o in storey.openings if o.id == ref.id), None)
            # chosen from the room on the wall's other side too
            owner = next((r for r in storey.rooms if opening and r.id == opening.room), room)
            host = side_curves(owner).get(str(opening.side)) if opening else None
            if opening is not None and host is not None and host.length > 0:
                self._dashed(
                    (tuple((x, y, 0.0) for x, y in opening_corners(opening, host, self._drawn.get(str(opening.id)))),)
                )
        elif ref.kind == "rooflight":
            self._dashed(tuple(light.outline for light in storey.rooflights if light.id == ref.id))

    def _corner(self, edge: Edge | None) -> None:
        """A ring about an upright corner, a strong line along another."""
        spot = upright_at(edge) if edge else None
        if spot is not None:
            holder = pivot(self._scene, Z_CORNERS)
            holder.setPos(QPointF(spot[0] - self.origin[0], spot[1] - self.origin[1]))
            ring = QGraphicsEllipseItem(QRectF(-_RING_PX, -_RING_PX, 2 * _RING_PX, 2 * _RING_PX), holder)
            ring.setPen(QPen(self._theme.colour("chosen"), 2.0))
            self._items.append(holder)
        elif edge is not None and len(edge.line) > 1:
            self._line(tuple((x, y, 0.0) for x, y, _ in edge.line))

    def _letters(self, room: Room, taken: list[Box]) -> None:
        """The letters of a room's walls, within it and clear of its band, of all that is written and of one
        another; a wall without room for its letter at this zoom goes without."""
        letters = wall_letters(room)
        half = _LETTER_PX / 2 / self.px_per_mm
        inner = shapely.buffer(ring_polygon(vertex_rings(room)), -BAND_MM, join_style="mitre")
        shapely.prepare(inner)
        for side, curve in side_curves(room).items():
            for share in _SHARES if curve.length > 0 else ():
                (x, y), (dx, dy) = curve.at(curve.length * share), curve.direction(curve.length * share)
                off = BAND_MM + half * (abs(dx) + abs(dy)) + _OFF_PX / self.px_per_mm
                x, y = x - dy * off, y + dx * off
                box = (x - half, y - half, x + half, y + half)
                if inner.contains(shapely.box(*box)) and not any(_meet(box, other) for other in taken):
                    at = QPointF(x - self.origin[0], y - self.origin[1])
                    self._items.append(words_at(self._scene, at, letters[side], self._theme))
                    self.letters[side] = x, y
                    taken.append(box)
                    break

    def _dashed(self, rings: tuple[Course, ...], width_mm: float = 0.4) -> None:
        item = QGraphicsPathItem(path_of(self._moved(rings), True, 1.0))
        item.setPen(pen_of(self._theme, "chosen", width_mm, (1.6, 0.8)))
        self._add(item)

    def _line(self, course: Course) -> None:
        item = QGraphicsPathItem(path_of(self._moved((course,)), False, 1.0))
        item.setPen(pen_of(self._theme, "chosen", 0.8))
        self._add(item)

    def _add(self, item: QGraphicsPathItem) -> None:
        item.setZValue(Z_CHOSEN)
        self._scene.addItem(item)
        self._items.append(item)

    def _moved(self, courses: tuple[Course, ...]) -> tuple[Course, ...]:
        ox, oy = self.origin
        return tuple(tuple((x - ox, y - oy, bulge) for x, y, bulge in course) for course in courses)


def _inner_rings(room: Room) -> tuple[Course, ...]:
    rings = vertex_rings(room)
    space = ring_polygon(rings)
    inner = shapely.buffer(space, -_INSET_MM, join_style="mitre", mitre_limit=4.0)
    return area_rings(space if inner.is_empty else inner)


def box_of(storey: Storey, choice: Choice) -> Box | None:
    """(left, low, right, high) of what of a choice is on a storey; None for nothing."""
    rooms = {str(room.id): room for room in storey.rooms}
    boxes: list[Box] = []
    for ref in choice:
        room = rooms.get(ref.room_id)
        if room is None:
            continue
        curves = side_curves(room)
        opening = next((o for o in storey.openings if ref.kind == "opening" and o.id == ref.id), None)
        if opening is not None and opening.room in rooms:
            curves = side_curves(rooms[str(opening.room)])
        side = ref.id if ref.kind == "side" else str(opening.side) if opening else ""
        boxes += [curves[side].box] if side in curves else [curve.box for curve in curves.values()]
    if not boxes:
        return None
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
