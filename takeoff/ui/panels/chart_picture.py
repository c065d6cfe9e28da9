"""The bars of a programme, painted as the sheets draw them, as wide as their place."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from takeoff.language import tr
from takeoff.sheets.bar_chart import chart_pictures
from takeoff.sheets.picture import Picture
from takeoff.sheets.sheet_values import BarChart
from takeoff.ui.themes import SMALL_PX, font

PX_PER_MM = 3.78
_GAP_PX = 8.0
PAPER = QColor("#FFFFFF")


class ChartPicture(QWidget):
    """Shows one chart on white, as on paper; one part below another where it has many days."""

    def __init__(self) -> None:
        super().__init__()
        self._chart: BarChart | None = None
        self.pictures: tuple[Picture, ...] = ()
        self.setAccessibleName(tr("Bars of the programme, rooms by days"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(120)

    def show_chart(self, chart: BarChart | None) -> None:
        """Show these bars; None for none."""
        if chart != self._chart:
            self._chart = chart
            self._draw()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Days share another width."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._draw()

    def _draw(self) -> None:
        wide = max(30.0, (self.width() - 2 * _GAP_PX) / PX_PER_MM)
        self.pictures = chart_pictures(self._chart, wide, _measure) if self._chart else ()
        tall = sum(picture.height_mm * PX_PER_MM + _GAP_PX for picture in self.pictures)
        self.setFixedHeight(int(tall + _GAP_PX) if self.pictures else 0)
        self.setVisible(bool(self.pictures))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint every part."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), PAPER)
        top = _GAP_PX
        for picture in self.pictures:
            _paint(painter, picture, _GAP_PX, top + picture.height_mm * PX_PER_MM)
            top += picture.height_mm * PX_PER_MM + _GAP_PX
        painter.end()


def _measure(text: str, style: str, size_pt: float) -> float:
    return QFontMetricsF(font(SMALL_PX)).horizontalAdvance(text) / PX_PER_MM


def _paint(painter: QPainter, picture: Picture, left: float, base: float) -> None:
    """A picture of straight shapes, its lower left there; y goes up on paper."""
    for shape in picture.shapes:
        painter.setBrush(QColor(shape.fill) if shape.fill else Qt.BrushStyle.NoBrush)
        pen = QPen(QColor(shape.stroke)) if shape.stroke else QPen(Qt.PenStyle.NoPen)
        pen.setWidthF(max(0.6, shape.width_mm * PX_PER_MM))
        painter.setPen(pen)
        for path in shape.paths:
            points = QPolygonF([QPointF(left + v[0] * PX_PER_MM, base - v[1] * PX_PER_MM) for v in path])
            if shape.closed:
                painter.drawPolygon(points)
            else:
                painter.drawPolyline(points)
    painter.setFont(font(SMALL_PX))
    for caption in picture.captions:
        painter.setPen(QColor(caption.colour))
        spot = QRectF(left + caption.x_mm * PX_PER_MM, base - caption.y_mm * PX_PER_MM, 0.0, 0.0)
        painter.drawText(spot.topLeft(), caption.text)
