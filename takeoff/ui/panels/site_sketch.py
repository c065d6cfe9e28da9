"""The outline as it is keyed: corners, lengths, openings, and where the walk misses its start."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from takeoff.language import tr
from takeoff.plan.readings.walked_outline import corner_name
from takeoff.ui.themes import SMALL_PX, Theme, font
from takeoff.units.printing import shown
from takeoff.views.site_sheet import Read

_MARGIN_PX, _TIGHT_PX = 46.0, 30.0
_SMALL_PX = 200
"""A sketch that is less high keeps less room around it."""

_OUT_PX = 14.0
_OPENING_PX, _WALL_PX = 7.0, 3.0
_SHORTEST_WORDS_PX = 46.0


class SiteSketch(QWidget):
    """Shows what ``show_read`` was given last."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._read: Read | None = None
        self._side = -1
        self.setAccessibleName(tr("The outline as entered"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(200, 120)

    def set_theme(self, theme: Theme) -> None:
        """Paint in these colours."""
        self._theme = theme
        self.update()

    def show_read(self, read: Read) -> None:
        """Show another outline."""
        self._read = read
        self.update()

    def show_side(self, side: int) -> None:
        """Mark the side that is being keyed; −1 for none."""
        if side != self._side:
            self._side = side
            self.update()

    @property
    def corners_px(self) -> tuple[QPointF, ...]:
        """Where the corners are drawn."""
        return tuple(self._placed()) if self._read is not None else ()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw walls, openings, letters and lengths."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(SMALL_PX))
        read, points = self._read, self._placed()
        if read is None or len(points) < 2:
            self._say_nothing(painter)
            painter.end()
            return
        closed = read.outline.closed
        if closed:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._theme.colour("hover"))
            painter.drawPolygon(QPolygonF(points))
        self._walls(painter, points, closed)
        self._letters(painter, points, closed)
        painter.end()

    def _say_nothing(self, painter: QPainter) -> None:
        painter.setPen(self._theme.colour("grey"))
        painter.drawText(
            QRectF(self.rect()),
            Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
            tr("The outline shows here\nas you enter it."),
        )

    def _placed(self) -> list[QPointF]:
        """The outline's corners in px, y down, as large as there is room."""
        points = self._read.outline.points if self._read is not None else ()
        if len(points) < 2:
            return []
        xs, ys = [x for x, _ in points], [y for _, y in points]
        wide, tall = max(max(xs) - min(xs), 1.0), max(max(ys) - min(ys), 1.0)
        margin = _TIGHT_PX if self.height() < _SMALL_PX else _MARGIN_PX
        room = max(self.width() - 2 * _MARGIN_PX, 20.0), max(self.height() - 2 * margin, 20.0)
        scale = min(room[0] / wide, room[1] / tall)
        left = (self.width() - wide * scale) / 2.0
        top = (self.height() - tall * scale) / 2.0
        return [QPointF(left + (x - min(xs)) * scale, top + (max(ys) - y) * scale) for x, y in points]

    def _walls(self, painter: QPainter, points: list[QPointF], closed: bool) -> None:
        read = self._read
        if read is None:
            return
        ends = list(zip(points, [*points[1:], points[0]], strict=True))
        for k, (a, b) in enumerate(ends if closed else ends[:-1]):
            colour = self._theme.colour("chosen" if k == self._side else "ink")
            painter.setPen(QPen(colour, _WALL_PX))
            painter.drawLine(a, b)
            self._openings(painter, k, a, b)
            self._length(painter, k, a, b)
        if not closed and len(points) > 3 and read.outline.closing_mm is not None:
            painter.setPen(QPen(self._theme.colour("hold"), 1.5, Qt.PenStyle.DashLine))
            painter.drawLine(points[-1], points[0])

    def _openings(self, painter: QPainter, k: int, a: QPointF, b: QPointF) -> None:
        side = self._read.readings.sides[k] if self._read is not None else None
        if side is None or not side.openings:
            return
        points = self._read.outline.points if self._read is not None else ()
        long = math.dist(points[k], points[(k + 1) % len(points)])
        for opening in side.openings:
            start = a + (b - a) * (opening.from_mm / long)
            end = a + (b - a) * (min(opening.to_mm / long, 1.0))
            painter.setPen(QPen(self._theme.colour("paper"), _WALL_PX + 1.0))
            painter.drawLine(start, end)
            style = Qt.PenStyle.DotLine if opening.kind == "open" else Qt.PenStyle.SolidLine
            painter.setPen(QPen(self._theme.colour("bead"), 1.5, style))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            across = _across(a, b) * (_OPENING_PX / 2.0)
            painter.drawLine(start - across, start + across)
            painter.drawLine(end - across, end + across)
            if opening.kind == "window":
                painter.drawLine(start - across / 2, end - across / 2)
                painter.drawLine(start + across / 2, end + across / 2)
            else:
                painter.drawLine(start, end)

    def _length(self, painter: QPainter, k: int, a: QPointF, b: QPointF) -> None:
        if math.hypot(b.x() - a.x(), b.y() - a.y()) < _SHORTEST_WORDS_PX or self._read is None:
            return
        points = self._read.outline.points
        mm = math.dist(points[k], points[(k + 1) % len(points)])
        spot = (a + b) / 2.0 + _across(a, b) * (_OUT_PX + 4.0) * self._outward()
        painter.setPen(self._theme.colour("ink" if k == self._side else "grey"))
        _centred(painter, spot, shown(mm / 1000.0))

    def _letters(self, painter: QPainter, points: list[QPointF], closed: bool) -> None:
        count = len(points)
        painter.setFont(font(SMALL_PX, "semibold"))
        painter.setPen(self._theme.colour("ink"))
        for k, here in enumerate(points):
            before, after = points[k - 1] if k or closed else here, points[(k + 1) % count]
            out = _across(before, here) if before != here else QPointF()
            if closed or k + 1 < count:
                out += _across(here, after)
            far = math.hypot(out.x(), out.y()) or 1.0
            _centred(painter, here + out / far * _OUT_PX * self._outward(), corner_name(k))

    def _outward(self) -> float:
        """Which side of a wall is outside: its left when walked clockwise."""
        sides = self._read.readings.sides if self._read is not None else ()
        return 1.0 if sum(side.turn_deg for side in sides) <= 0.0 else -1.0


def _across(a: QPointF, b: QPointF) -> QPointF:
    """The unit vector to the left of the way from a to b as it is seen."""
    far = math.hypot(b.x() - a.x(), b.y() - a.y()) or 1.0
    return QPointF((b.y() - a.y()) / far, -(b.x() - a.x()) / far)


def _centred(painter: QPainter, at: QPointF, text: str) -> None:
    painter.drawText(QRectF(at.x() - 40.0, at.y() - 12.0, 80.0, 24.0), Qt.AlignmentFlag.AlignCenter, text)
