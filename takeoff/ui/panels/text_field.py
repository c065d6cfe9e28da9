"""A line of text that is told when Enter is pressed or the field is left; Escape takes back."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit


class TextField(QLineEdit):
    """Shows a text of the job and never changes what is just being typed."""

    typed = Signal(str, str)
    """(the field's key, its text)"""

    def __init__(self, key: str, name: str, tip: str = "", placeholder: str = "") -> None:
        super().__init__()
        self.key = key
        self._text = ""
        self.setAccessibleName(name)
        self.setToolTip(tip or name)
        self.setPlaceholderText(placeholder)
        self.editingFinished.connect(self._finish)

    def show_text(self, text: str) -> None:
        """Show what the job has."""
        self._text = text
        if not (self.hasFocus() and self.isModified()) and self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)

    def show_again(self) -> None:
        """What was typed was refused: the job's own text again."""
        self.setText(self._text)
        self.setModified(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape takes back what was typed."""
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.show_again()
            return
        super().keyPressEvent(event)

    def _finish(self) -> None:
        if self.isModified():
            self.setModified(False)
            self.typed.emit(self.key, self.text())
