"""The cells of a table that is keyed: Enter goes on in the order of the paper form."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from takeoff.ui.panels.words import restyle

_ROW_KEYS = {Qt.Key.Key_Insert: 1, Qt.Key.Key_Delete: -1}
_OWN_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape)


class Cell(QLineEdit):
    """One cell by its key ("length:0"). Keys that move on are told, so that the table decides where to."""

    entered = Signal(str)
    """Enter was pressed here."""
    entered_all = Signal()
    """Ctrl and Enter: take all of it."""
    entered_next = Signal()
    """Ctrl, Shift and Enter: take all of it and go on with another."""
    stepped = Signal(str, int)
    """An arrow up (−1) or down (1)."""
    row_wanted = Signal(str, int)
    """Ctrl with Insert (1) or Delete (−1): a row more before this one, or this one away."""
    left = Signal()
    """Escape was pressed where nothing is to be taken back."""
    focused = Signal(str)

    def __init__(self, key: str, figure: bool = True) -> None:
        super().__init__()
        self.key = key
        self._before = ""
        self.setProperty("part", "cell")
        if figure:
            self.setAlignment(Qt.AlignmentFlag.AlignRight)

    def show_text(self, text: str) -> None:
        """Show this; never over what is being typed."""
        if self.text() != text and not self.hasFocus():
            self.setText(text)

    def show_fault(self, why: str) -> None:
        """Mark a cell that cannot be read; "" for one that can."""
        restyle(self, "cell-wrong" if why else "cell")
        self.setToolTip(why)

    def event(self, event: QEvent) -> bool:
        """Enter with Ctrl is this table's, whatever the window does with it elsewhere."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            rows = event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.key() in _ROW_KEYS
            if event.key() in _OWN_KEYS or rows:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter goes on, Escape takes back."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                shift = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
                (self.entered_next if shift else self.entered_all).emit()
            else:
                self.entered.emit(self.key)
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.stepped.emit(self.key, 1 if event.key() == Qt.Key.Key_Down else -1)
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.key() in _ROW_KEYS:
            self.row_wanted.emit(self.key, _ROW_KEYS[Qt.Key(event.key())])
        elif event.key() == Qt.Key.Key_Escape:
            if self.text() != self._before:
                self.setText(self._before)
                self.textEdited.emit(self._before)
            else:
                self.left.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """What stands here can be typed over."""
        super().focusInEvent(event)
        self._before = self.text()
        self.selectAll()
        self.focused.emit(self.key)
