"""A field for an angle in degrees."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit

from takeoff.errors import InputError
from takeoff.ui.panels.fields import LENGTH_PX
from takeoff.ui.tools.entry import degrees


class DegreesField(QLineEdit):
    """An angle that may be left empty; told when Enter is pressed or the field is left."""

    typed = Signal(object)
    """Degrees, or None for an emptied field."""
    refused = Signal(str)
    """Why what was typed is no angle."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.degrees: float | None = None
        self.setAccessibleName(name)
        self.setToolTip(f"{name}: degrees, such as 45")
        self.setProperty("part", "length")
        self.setPlaceholderText("none")
        self.setFixedWidth(LENGTH_PX)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.editingFinished.connect(self._finish)

    def show_degrees(self, value: float | None) -> None:
        """Show an angle; None for none."""
        self.degrees = value
        self.setText("" if value is None else f"{value:g}°")
        self.setModified(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape takes back what was typed."""
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.show_degrees(self.degrees)
            return
        super().keyPressEvent(event)

    def _finish(self) -> None:
        if not self.isModified():
            return
        text = self.text().strip()
        try:
            value = degrees(text) if text else None
        except InputError as error:
            self.show_degrees(self.degrees)
            self.refused.emit(str(error))
            return
        self.show_degrees(value)
        self.typed.emit(value)
