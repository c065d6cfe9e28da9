"""A stop of the tour: a few words beside a widget of the window, and a frame round that widget."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.ui.panels.words import label, set_text
from takeoff.views.tour import Stop

WIDE_PX = 340
_GAP_PX, _MARGIN_PX = 14, 10


class TourBubble(QFrame):
    """Next and Enter go on, Back and the left arrow go back, Skip and Escape end."""

    next = Signal()
    back = Signal()
    ended = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._window = parent
        self.setProperty("part", "bubble")
        self.setFixedWidth(WIDE_PX)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.frame = QFrame(parent)
        self.frame.setProperty("part", "tour-frame")
        self.frame.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.frame.hide()
        self.title, self.text = label("", "heading", wrap=True), label("", "tour", wrap=True)
        self.count = label("", "grey")
        self.buttons = {
            key: QPushButton(words) for key, words in (("skip", "Skip the tour"), ("back", "Back"), ("next", "Next"))
        }
        self.buttons["next"].setProperty("part", "main")
        self.buttons["skip"].clicked.connect(self.ended)
        self.buttons["back"].clicked.connect(self.back)
        self.buttons["next"].clicked.connect(self.next)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.count)
        row.addStretch(1)
        for button in self.buttons.values():
            row.addWidget(button)
        down = QVBoxLayout(self)
        down.setContentsMargins(16, 14, 16, 12)
        down.setSpacing(8)
        down.addWidget(self.title)
        down.addWidget(self.text)
        down.addSpacing(4)
        down.addLayout(row)
        self.hide()

    def show_stop(self, stop: Stop, number: int, of: int, target: QWidget) -> None:
        """Say what a stop says, beside its widget."""
        set_text(self.title, stop.title)
        set_text(self.text, stop.text)
        set_text(self.count, f"{number} of {of}")
        last = number == of
        self.buttons["back"].setVisible(number > 1)
        self.buttons["skip"].setVisible(not last)
        self.buttons["next"].setText("Done" if last else "Next")
        self.setAccessibleName(f"Tour, {number} of {of}: {stop.title}. {stop.text}")
        self.place_at(target)
        self.frame.show()
        self.show()
        self.frame.raise_()
        self.raise_()
        self.buttons["next"].setFocus()

    def place_at(self, target: QWidget) -> None:
        """Stand beside a widget, within the window, and frame the widget."""
        whole = self._window.rect()
        spot = QRect(target.mapTo(self._window, QPoint(0, 0)), target.size()).intersected(whole)
        self.frame.setGeometry(spot.adjusted(1, 1, -1, -1))
        tall = self.heightForWidth(WIDE_PX) if self.hasHeightForWidth() else self.sizeHint().height()
        self.resize(WIDE_PX, max(tall, self.sizeHint().height()))
        self.move(beside(spot, QSize(WIDE_PX, self.height()), whole))

    def end(self) -> None:
        """Go away."""
        self.hide()
        self.frame.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """The arrows go on and back, Enter goes on, Escape ends."""
        key = event.key()
        if key in (Qt.Key.Key_Right, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Down):
            self.next.emit()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Up, Qt.Key.Key_Backspace):
            self.back.emit()
        elif key == Qt.Key.Key_Escape:
            self.ended.emit()
        else:
            super().keyPressEvent(event)


def beside(spot: QRect, size: QSize, whole: QRect) -> QPoint:
    """Where a bubble of a size stands: right, left, below or above of what it speaks of, else within it."""
    room = whole.adjusted(_MARGIN_PX, _MARGIN_PX, -_MARGIN_PX, -_MARGIN_PX)
    wide, tall = size.width(), size.height()
    choices = (
        QPoint(spot.right() + _GAP_PX, spot.top() + _GAP_PX),
        QPoint(spot.left() - _GAP_PX - wide, spot.top() + _GAP_PX),
        QPoint(spot.left() + _GAP_PX, spot.bottom() + _GAP_PX),
        QPoint(spot.left() + _GAP_PX, spot.top() - _GAP_PX - tall),
    )
    for at in choices:
        # it may slide along the widget to stay in the window, never over it
        slid = QPoint(
            min(max(at.x(), room.left()), room.right() - wide), min(max(at.y(), room.top()), room.bottom() - tall)
        )
        if not QRect(slid, size).intersects(spot) and room.contains(QRect(slid, size)):
            return slid
    return QPoint(spot.left() + 2 * _GAP_PX, spot.top() + 2 * _GAP_PX)
