"""The scale bar over the plan: a round length, as long on screen as the zoom says."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from takeoff.ui.themes import Theme, font

_LENGTHS_M = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_MOST_PX = 320
_WORDS_PX = 60
_PARTS = 5


class ScaleBar(QWidget):
    """Lies over the view and lets the mouse through."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme, self._px_per_mm = theme, 0.05
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFixedSize(_MOST_PX + _WORDS_PX, 20)
        self.hide()

    @property
    def metres(self) -> float:
        """The length that the bar stands for."""
        fitting = (m for m in _LENGTHS_M if m * 1000.0 * self._px_per_mm <= _MOST_PX)
        return max(fitting, default=_LENGTHS_M[0])

    def set_scale(self, px_per_mm: float) -> None:
        """Draw for another zoom."""
        self._px_per_mm = px_per_mm
        self.update()

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self._theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Five parts, dark and pale in turn, and the length in words."""
        painter = QPainter(self)
        length = self.metres * 1000.0 * self._px_per_mm
        middle = self.height() / 2.0
        for part in range(_PARTS):
            role = "ink" if part % 2 == 0 else "grey"
            box = QRectF(length * part / _PARTS, middle - 1.5, length / _PARTS, 3.0)
            painter.fillRect(box, self._theme.colour(role))
        painter.setFont(font(13))
        painter.setPen(QPen(self._theme.colour("grey")))
        painter.drawText(QPointF(length + 6.0, middle + 4.5), bar_words(self.metres))
        painter.end()


def bar_words(metres: float) -> str:
    """ "5 m", "20 cm": the length in words."""
    return f"{metres:g} m" if metres >= 1 else f"{metres * 100:g} cm"
