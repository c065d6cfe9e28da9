"""Every item of the plan by id. Items are made, changed and taken away here and nowhere else."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPolygonF
from PySide6.QtWidgets import (
    QGraphicsPathItem,
    QGraphicsPolygonItem,
    QGraphicsRectItem,
    QGraphicsScene,
    QGraphicsSimpleTextItem,
    QStyleOptionGraphicsItem,
    QWidget,
)

from takeoff.plan.model import Room
from takeoff.sheets.picture import Shape
from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.pens import colour_of, dots_brush, path_of, pen_of
from takeoff.ui.canvas.pieces import PAPER, Z_WORDS, Piece
from takeoff.ui.canvas.room_labels import Callouts, Label, pivot
from takeoff.ui.themes import Theme, font

_HALF_DIAMOND_PX = 9.0


class DotsItem(QGraphicsPathItem):
    """A path filled with dots that keep their distance on screen at any zoom."""

    def __init__(self, path: QPainterPath, colour: QColor) -> None:
        super().__init__(path)
        self.colour = colour
        self.setPen(Qt.PenStyle.NoPen)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Fill the path; the tile is smoothed as it is shrunk."""
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(dots_brush(self.colour, painter.worldTransform()))
        painter.drawPath(self.path())


Offset = tuple[float, float]
Box = tuple[float, float, float, float]


class _Shown:
    """The items of one piece."""

    def __init__(self) -> None:
        self.piece = Piece("", 0.0)
        self.shapes: list[QGraphicsPathItem] = []
        self.label: Label | None = None
        self.asks: list[QGraphicsRectItem] = []
        self.off_px: Offset = (0.0, 0.0)
        """Where question marks stand from their points, px right and up."""


class Items:
    """Shows pieces in a scene. ``origin``: the plan point at the scene's 0, 0."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._scene, self._theme = scene, theme
        self._shown: dict[str, _Shown] = {}
        self._px_per_mm = 1.0
        self._callouts = Callouts(scene)
        self.origin: Point = (0.0, 0.0)
        self.updates = 0
        """How many pieces were made or changed since the start: tests count that edits stay small."""

    @property
    def pieces(self) -> dict[str, Piece]:
        """What is shown now, by id."""
        return {name: shown.piece for name, shown in self._shown.items()}

    def label_at(self, room: Room) -> Point:
        """Where a room's name stands; in the middle of its corners where none is shown."""
        piece = self.pieces.get(f"room:{room.id}")
        if piece is not None and piece.words is not None:
            return piece.words.at
        xs, ys = [s.x_mm for s in room.outline], [s.y_mm for s in room.outline]
        return sum(xs) / len(xs), sum(ys) / len(ys)

    def show(self, pieces: Mapping[str, Piece]) -> None:
        """Show exactly these pieces; equal ones are left as they are."""
        for name in self._shown.keys() - pieces.keys():
            self._drop(name)
        for name, piece in pieces.items():
            self.put(name, piece)
        self._call_out()

    def put(self, name: str, piece: Piece) -> None:
        """Show one piece under a name, beside the others."""
        shown = self._shown.get(name)
        if shown is None:
            shown = self._shown[name] = _Shown()
        elif shown.piece is piece or shown.piece == piece:
            return
        self._update(shown, piece)
        self.updates += 1

    def drop(self, name: str) -> None:
        """Take one piece away; nothing happens where it is not shown."""
        if name in self._shown:
            self._drop(name)

    def clear(self) -> None:
        """Take everything away."""
        for name in list(self._shown):
            self._drop(name)
        self._callouts.clear()

    def set_theme(self, theme: Theme) -> None:
        """Show everything in other colours."""
        self._theme = theme
        for shown in self._shown.values():
            piece, shown.piece = shown.piece, Piece("", 0.0)
            for item in shown.shapes:
                self._scene.removeItem(item)
            shown.shapes.clear()
            self._update(shown, piece)
        self._call_out()

    def fit_labels(self, px_per_mm: float) -> None:
        """Tell every label how large a mm of plan is on screen now."""
        self._px_per_mm = px_per_mm
        for shown in self._shown.values():
            if shown.label is not None:
                shown.label.fit(px_per_mm)
        self._call_out()
        for shown in self._shown.values():
            if shown.asks and shown.label is not None:
                self._asks(shown, shown.piece)

    def taken_boxes(self) -> list[Box]:
        """(left, low, right, high) in plan mm of what is written at this zoom: labels and question marks."""
        mm = 1.0 / self._px_per_mm
        boxes = [box for shown in self._shown.values() if shown.label and (box := shown.label.box(mm)) is not None]
        boxes += [box for shown in self._shown.values() if shown.label and (box := shown.label.leader_box(mm))]
        half = _HALF_DIAMOND_PX * mm
        for shown in self._shown.values():
            for x, y in shown.piece.asks:
                x, y = x + shown.off_px[0] * mm, y + shown.off_px[1] * mm
                boxes.append((x - half, y - half, x + half, y + half))
        return boxes

    def _call_out(self) -> None:
        """Name what is too small for its name beside the building."""
        labels = [shown.label for shown in self._shown.values() if shown.label is not None]
        boxes = [label.words.box for label in labels if label.words is not None]
        homeless = [label for label in labels if not label.has_room]
        box = (
            (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))
            if boxes
            else None
        )
        mm = 1.0 / self._px_per_mm
        written = [own for label in labels if label.has_room and (own := label.box(mm)) is not None]
        self._callouts.show(homeless, box, self._px_per_mm, self.origin, self._theme, written)

    def asked_at(self, at: Point) -> str:
        """The id of the piece whose question mark is drawn over a plan point; "" where none is."""
        for name, shown in self._shown.items():
            for x, y in shown.piece.asks:
                off_x = (at[0] - x) * self._px_per_mm - shown.off_px[0]
                off_y = (at[1] - y) * self._px_per_mm - shown.off_px[1]
                if abs(off_x) + abs(off_y) <= _HALF_DIAMOND_PX + 1.0:
                    return name
        return ""

    def _drop(self, name: str) -> None:
        shown = self._shown.pop(name)
        for item in (*shown.shapes, *shown.asks, *([shown.label.pivot] if shown.label else [])):
            self._scene.removeItem(item)

    def _update(self, shown: _Shown, piece: Piece) -> None:
        before, shown.piece = shown.piece, piece
        for number, shape in enumerate(piece.shapes):
            if number < len(shown.shapes) and number < len(before.shapes):
                if before.shapes[number] == shape:
                    continue
                if _same_look(before.shapes[number], shape):
                    shown.shapes[number].setPath(path_of(shape.paths, shape.closed, PAPER))
                    continue
                self._scene.removeItem(shown.shapes[number])
                shown.shapes[number] = self._item(shape, piece.z + number * 0.01)
            else:
                shown.shapes.append(self._item(shape, piece.z + number * 0.01))
        while len(shown.shapes) > len(piece.shapes):
            self._scene.removeItem(shown.shapes.pop())
        self._label(shown, piece)
        self._asks(shown, piece)

    def _item(self, shape: Shape, z: float) -> QGraphicsPathItem:
        path = path_of(shape.paths, shape.closed, PAPER)
        if shape.dots:
            item: QGraphicsPathItem = DotsItem(path, colour_of(self._theme, shape.dots))
        else:
            item = QGraphicsPathItem(path)
            item.setPen(pen_of(self._theme, shape.stroke, shape.width_mm, shape.dash_mm))
            if shape.fill:
                item.setBrush(QBrush(colour_of(self._theme, shape.fill)))
        item.setZValue(z)
        self._scene.addItem(item)
        return item

    def _label(self, shown: _Shown, piece: Piece) -> None:
        if piece.words is None:
            if shown.label is not None:
                self._scene.removeItem(shown.label.pivot)
                shown.label = None
            return
        if shown.label is None:
            shown.label = Label(self._scene)
        shown.label.asked_px = 2.0 * _HALF_DIAMOND_PX if piece.asks else 0.0
        shown.label.show(piece.words, self._at(piece.words.at), self._theme)
        shown.label.fit(self._px_per_mm)

    def _asks(self, shown: _Shown, piece: Piece) -> None:
        for item in shown.asks:
            self._scene.removeItem(item)
        shown.off_px = shown.label.mark_offset(self._px_per_mm, _HALF_DIAMOND_PX) if shown.label else (0.0, 0.0)
        shown.asks = [diamond(self._scene, self._at(point), self._theme, shown.off_px) for point in piece.asks]

    def _at(self, point: Point) -> QPointF:
        return QPointF(point[0] - self.origin[0], point[1] - self.origin[1])


def _same_look(a: Shape, b: Shape) -> bool:
    return (a.closed, a.fill, a.dots, a.stroke, a.width_mm, a.dash_mm) == (
        b.closed,
        b.fill,
        b.dots,
        b.stroke,
        b.width_mm,
        b.dash_mm,
    )


def diamond(scene: QGraphicsScene, at: QPointF, theme: Theme, off_px: Offset = (0.0, 0.0)) -> QGraphicsRectItem:
    """The mark of what is to check: a diamond with a question mark, upright at any zoom; so far off its point."""
    mark_at = pivot(scene, Z_WORDS + 1.0)
    mark_at.setPos(at)
    half = _HALF_DIAMOND_PX
    corners = [QPointF(-half, 0), QPointF(0, -half), QPointF(half, 0), QPointF(0, half)]
    shape = QGraphicsPolygonItem(QPolygonF([QPointF(c.x() + off_px[0], c.y() - off_px[1]) for c in corners]), mark_at)
    shape.setBrush(QBrush(theme.colour("paper")))
    shape.setPen(pen_of(theme, "ink", 0.3))
    mark = QGraphicsSimpleTextItem("?", mark_at)
    mark.setFont(font(13, "semibold"))
    mark.setBrush(QBrush(theme.colour("ink")))
    box = mark.boundingRect()
    mark.setPos(off_px[0] - box.width() / 2, -off_px[1] - box.height() / 2)
    return mark_at


def words_at(
    scene: QGraphicsScene, at: QPointF, text: str, theme: Theme, role: str = "chosen", px: int = 13
) -> QGraphicsRectItem:
    """A short word about a plan point, upright and of one size at any zoom."""
    mark_at = pivot(scene, Z_WORDS)
    mark_at.setPos(at)
    item = QGraphicsSimpleTextItem(text, mark_at)
    item.setFont(font(px, "semibold"))
    item.setBrush(QBrush(theme.colour(role)))
    box = item.boundingRect()
    item.setPos(-box.width() / 2, -box.height() / 2)
    return mark_at
