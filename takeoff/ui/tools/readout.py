"""The read-out beside the cursor: what is typed, what it is drawn to, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLabel, QWidget

from takeoff.ui.themes import SMALL_PX, Theme

_AWAY_PX = QPoint(22, 20)
"""From the cursor to the read-out's corner, so that the point itself is never covered."""

_EDGE_PX = 6


class Readout(QLabel):
    """A few words over the plan's view; the mouse goes through it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("readout")
        self.setAccessibleName("Lengths being drawn")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.hide()

    def show_at(
        self, spot: QPoint, theme: Theme, fields: Sequence[tuple[str, str, bool]], said: str, wrong: str = ""
    ) -> None:
        """Show (word, value, whether it is being typed) fields and a word below, beside a spot."""
        colours = theme.colours
        parts = []
        for word, value, typed in fields:
            caret = f"<span style='color:{colours['chosen']}'>|</span>" if typed else ""
            parts.append(
                f"<span style='color:{colours['grey']}'>{escape(word)}</span>&nbsp;"
                f"<b>{escape(value).replace(' ', '&nbsp;')}</b>{caret}"
            )
        lines = ["&nbsp;&nbsp; ".join(parts)] if parts else []
        if wrong:
            lines.append(f"<span style='color:{colours['hold']}'>{escape(wrong)}</span>")
        elif said:
            lines.append(f"<span style='color:{colours['grey']}'>{escape(said)}</span>")
        self.setStyleSheet(
            f"QLabel#readout {{ background: {colours['paper']}; color: {colours['ink']}; padding: 4px 8px;"
            f" border: 1px solid {colours['hair']}; border-radius: 5px; font-size: {SMALL_PX}px; }}"
        )
        self.setWordWrap(bool(wrong))
        self.setText("<br>".join(lines))
        self.setVisible(bool(lines))
        if wrong:
            self.setFixedWidth(280)
        else:
            self.setMinimumWidth(0)
            self.setMaximumWidth(16_777_215)
        self.adjustSize()
        self.move(self._place(spot + _AWAY_PX, spot))
        self.raise_()

    def _place(self, wish: QPoint, spot: QPoint) -> QPoint:
        """Beside the cursor, on its other side where the view ends."""
        parent = self.parentWidget()
        room = parent.size() if parent is not None else self.size()
        x = wish.x() if wish.x() + self.width() <= room.width() - _EDGE_PX else (spot.x() - self.width() - _AWAY_PX.x())
        y = (
            wish.y()
            if wish.y() + self.height() <= room.height() - _EDGE_PX
            else (spot.y() - self.height() - _AWAY_PX.y())
        )
        return QPoint(max(x, _EDGE_PX), max(y, _EDGE_PX))
