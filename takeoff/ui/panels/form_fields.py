"""Fields of the pages: lengths, angles and texts typed as people write them, choices, buttons, rows of a form."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from takeoff.errors import InputError
from takeoff.ui.panels.page_parts import label
from takeoff.ui.tools.entry import MM_FROM, degrees, length_mm
from takeoff.units.printing import dim3

LENGTH_PX = 64
_MIXED = "mixed"


def length_text(mm: float | None) -> str:
    """ "0.55", "1.205": a length in m as a field shows it, two places at least; "" for none."""
    if mm is None:
        return ""
    text = dim3(mm / 1000.0)
    return text[:-1] if text.endswith("0") else text


class LengthField(QLineEdit):
    """A length: typed in m, mm or feet and inches; told when Enter is pressed or the field is left.

    ``optional``: it may be emptied, which tells None.
    """

    typed = Signal(object)
    """mm, or None for an emptied optional field."""
    refused = Signal(str)
    """Why what was typed is no length."""

    def __init__(self, name: str, optional: bool = False, mm_from: float = MM_FROM) -> None:
        super().__init__()
        self._optional, self._mm_from = optional, mm_from
        self._mm: float | None = None
        self._mixed = False
        self.setAccessibleName(name)
        self.setToolTip(f"{name}: metres, or with a unit, such as 0.9, 900 mm or 2'11\"")
        self.setProperty("part", "length")
        self.setFixedWidth(LENGTH_PX)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        if optional:
            self.setPlaceholderText("none")
        self.editingFinished.connect(self._finish)

    @property
    def mm(self) -> float | None:
        """The length that stands in the field, mm; None for none."""
        return self._mm

    def show_mm(self, mm: float | None, mixed: bool = False) -> None:
        """Show a length; ``mixed``: what is chosen has several. Never over what is being typed."""
        if mixed != self._mixed:
            self._mixed = mixed
            self.setPlaceholderText(_MIXED if mixed else "none" if self._optional else "")
        self._mm = None if mixed else mm
        if not (self.hasFocus() and self.isModified()):
            self._write()

    def show_all(self, lengths: Sequence[float | None]) -> None:
        """Show what several things have in common."""
        several = len({None if mm is None else round(mm, 3) for mm in lengths}) > 1
        self.show_mm(lengths[0] if lengths and not several else None, several)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape takes back what was typed."""
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self._write()
            return
        super().keyPressEvent(event)

    def _write(self) -> None:
        text = length_text(self._mm)
        if self.text() != text:
            self.setText(text)
        self.setModified(False)

    def _finish(self) -> None:
        if not self.isModified():
            return
        text = self.text().strip()
        try:
            mm = length_mm(text, self._mm_from) if text else None
        except InputError as error:
            self._write()
            self.refused.emit(str(error))
            return
        if mm is None and not self._optional:
            self._write()
            return
        self._mm, self._mixed = mm, False
        self._write()
        self.typed.emit(mm)


class ChoiceField(QComboBox):
    """One of a few words. ``picked`` tells the key, by the user's hand only."""

    picked = Signal(str)

    def __init__(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.setMinimumContentsLength(4)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for key, words in choices:
            self.addItem(words, key)
        self.activated.connect(self._tell)

    def show_key(self, key: str | None) -> None:
        """Show a choice; None where what is chosen has several."""
        index = self.findData(key) if key is not None else -1
        self.setPlaceholderText("" if key is not None else _MIXED)
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def wheelEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """The wheel scrolls the page and never changes a choice that it happens to pass over."""
        ignore = getattr(event, "ignore", None)
        if ignore is not None:
            ignore()

    def _tell(self, index: int) -> None:
        key = self.itemData(index)
        if isinstance(key, str):
            self.picked.emit(key)


class Form(QGridLayout):
    """Rows of words and fields, two pairs to a row where they are short."""

    def __init__(self) -> None:
        super().__init__()
        self.setContentsMargins(0, 0, 0, 0)
        self.setHorizontalSpacing(6)
        self.setVerticalSpacing(5)
        self.setColumnStretch(1, 1)

    def pair(self, *parts: tuple[str, QWidget]) -> tuple[QLabel, ...]:
        """A row of one or two words with their fields; one field has the whole width."""
        row, made = self.rowCount(), []
        for number, (words, field) in enumerate(parts):
            name = label(words, "name")
            name.setBuddy(field)
            made.append(name)
            self.addWidget(name, row, 2 * number)
            span = 3 if len(parts) == 1 else 1
            self.addWidget(field, row, 2 * number + 1, 1, span)
        return tuple(made)

    def wide(self, widget: QWidget) -> None:
        """A row of one widget."""
        self.addWidget(widget, self.rowCount(), 0, 1, 4)


def buttons(*made: QPushButton) -> QWidget:
    """Buttons side by side."""
    row = QWidget()
    layout = QHBoxLayout(row)
    layout.setContentsMargins(0, 2, 0, 2)
    layout.setSpacing(6)
    for button in made:
        layout.addWidget(button)
    layout.addStretch(1)
    return row


def small_button(words: str, tip: str) -> QPushButton:
    """A button that takes no more room than its word."""
    made = QPushButton(words)
    made.setProperty("part", "small")
    made.setToolTip(tip)
    made.setAccessibleName(tip)
    return made


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


class ActionButton(QPushButton):
    """Shows a word of its own; its tip and its shortcut are the action's."""

    def __init__(self, action: QAction, word: str) -> None:
        super().__init__(word)
        self._action = action
        self.setProperty("part", "small")
        self.setAccessibleName(action.text().rstrip("…"))
        keys = action.shortcut().toString()
        self.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())
        self.clicked.connect(action.trigger)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        self.setEnabled(self._action.isEnabled())
