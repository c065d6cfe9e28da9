"""Names of rooms that are too small for them: beside the building, each with a line to its room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QBrush
from PySide6.QtWidgets import QGraphicsEllipseItem, QGraphicsItem, QGraphicsLineItem, QGraphicsScene

from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.pens import pen_of
from takeoff.ui.canvas.pieces import Z_WORDS, Words
from takeoff.ui.canvas.room_labels import LINE_PX, Label, callout_form, form_width, pivot
from takeoff.ui.themes import Theme

_LEAST_PX = 18.0
"""Rooms that show smaller than this are named by nobody: one zooms in."""

_MOST = 10
"""With more of them the plan would be hemmed in by names."""

_WALL_MM = 450.0
"""The building's outer walls are no thicker (common practice, no source)."""

_AWAY_PX = 14.0
_DOT_PX = 5.0

Box = tuple[float, float, float, float]


class Callouts:
    """Lines from names to rooms, made anew with every zoom."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self._items: list[QGraphicsItem] = []

    def clear(self) -> None:
        """Take every line away."""
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()

    def show(self, homeless: Sequence[Label], box: Box | None, px_per_mm: float, origin: Point, theme: Theme) -> None:
        """Name these rooms beside the building, whose rooms lie in ``box``."""
        self.clear()
        own = [label for label in homeless if label.words is not None and _shows(label.words, px_per_mm)]
        if box is None or not own or len(own) > _MOST:
            return
        wide = box[2] - box[0] > 1.5 * (box[3] - box[1])
        for label, at in zip(own, places([label.words for label in own], box, px_per_mm, wide), strict=True):
            label.call_out(at)
            self._line(label, at, px_per_mm, wide, origin, theme)

    def _line(self, label: Label, at: Point, px_per_mm: float, wide: bool, origin: Point, theme: Theme) -> None:
        words = label.words
        if words is None:
            return
        (x, y), (ax, ay) = words.at, at
        if wide:
            ay += (LINE_PX / 2.0 if ay < y else -LINE_PX / 2.0) / px_per_mm
        else:
            half = form_width(callout_form(words)) / 2.0 + 4.0
            ax += (half if ax < x else -half) / px_per_mm
        line = QGraphicsLineItem(QLineF(ax - origin[0], ay - origin[1], x - origin[0], y - origin[1]))
        line.setPen(pen_of(theme, "grey", 0.2))
        line.setZValue(Z_WORDS - 0.5)
        self._scene.addItem(line)
        dot = pivot(self._scene, Z_WORDS - 0.5)
        dot.setPos(QPointF(x - origin[0], y - origin[1]))
        mark = QGraphicsEllipseItem(QRectF(-_DOT_PX / 2, -_DOT_PX / 2, _DOT_PX, _DOT_PX), dot)
        mark.setBrush(QBrush(theme.colour("grey")))
        mark.setPen(pen_of(theme, "grey", 0.0))
        self._items += [line, dot]


def places(words: Sequence[Words | None], box: Box, px_per_mm: float, wide: bool) -> list[Point]:
    """Where the names stand: at the nearer side of the building, level with their rooms, none over
    another. ``wide``: above and below, where a building leaves no room at its sides."""
    left, low, right, high = box[0] - _WALL_MM, box[1] - _WALL_MM, box[2] + _WALL_MM, box[3] + _WALL_MM
    found: dict[int, Point] = {}
    ends: dict[bool, float] = {}
    order = sorted((k for k, one in enumerate(words) if one), key=lambda k: _rank(words[k], wide))
    for k in order:
        one = words[k]
        if one is None:
            continue
        (x, y), long = one.at, (form_width(callout_form(one)) + 8.0) / px_per_mm
        if wide:
            far = y > (low + high) / 2.0
            x = max(x, ends.get(far, x) + long / 2.0)
            ends[far] = x + long / 2.0
            away = (_AWAY_PX + LINE_PX / 2.0) / px_per_mm
            found[k] = x, high + away if far else low - away
        else:
            far = x > (left + right) / 2.0
            tall = LINE_PX / px_per_mm
            y = max(y, ends.get(far, y - tall) + tall)
            ends[far] = y
            away = _AWAY_PX / px_per_mm + long / 2.0
            found[k] = right + away if far else left - away, y
    return [found[k] for k in range(len(words))]


def _rank(words: Words | None, wide: bool) -> float:
    return 0.0 if words is None else words.at[0 if wide else 1]


def _shows(words: Words, px_per_mm: float) -> bool:
    left, low, right, high = words.box
    return min(right - left, high - low) * px_per_mm >= _LEAST_PX
