"""One thing to settle, as a row: where, what, and what can be done about it right here."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from takeoff.errors import InputError
from takeoff.ui.panels.words import hair, label, set_text
from takeoff.ui.tools.entry import MM_FROM, length_mm
from takeoff.units.printing import dim3
from takeoff.views.settling import Row

_FIELD_PX = 72


class Done(msgspec.Struct, frozen=True):
    """What the user did about a row: confirm, confirm-alike, accept, remove, each (show them one by one)
    or again. Confirming carries a length where another was typed."""

    what: str
    row: Row
    value_mm: float | None = None


class SettleRow(QWidget):
    """``done`` carries a Done, ``picked`` the Row whose place is wanted."""

    done = Signal(object)
    picked = Signal(object)

    def __init__(self, row: Row, inner: bool = False) -> None:
        super().__init__()
        self.row = row
        self.field: QLineEdit | None = None
        self.buttons: dict[str, QPushButton] = {}
        self._wrong = label("", "urgent", wrap=True)
        self._wrong.hide()
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName(f"{row.head}: {row.text}")
        self.setToolTip("Click to see it on the plan")
        down = QVBoxLayout(self)
        down.setContentsMargins(16 if inner else 6, 5, 0, 0)
        down.setSpacing(3)
        self._head = label(row.head, "heading", wrap=True)
        self._head.setVisible(bool(row.head) and not inner)
        down.addWidget(self._head)
        grave = row.group == "error"
        text = f"{row.text}, {row.head}" if inner and row.head else row.text
        down.addWidget(label(text, "urgent" if grave else "dims", wrap=True))
        for controls in self._controls(inner):
            down.addLayout(controls)
        down.addWidget(self._wrong)
        down.addSpacing(3)
        down.addWidget(hair())

    def show_head(self, shown: bool) -> None:
        """The place is said once above rows of the same place."""
        self._head.setVisible(shown and bool(self.row.head))

    def _controls(self, inner: bool) -> list[QHBoxLayout]:
        """What can be done, in one line or two; none where the place is all there is to see."""
        row, first, second = self.row, _line(), _line()
        if row.value_mm is not None:
            self._value_controls(first, row.value_mm)
            if row.alike:
                count = len(row.alike)
                words = f"The same for all {count + 1} like this" if inner else "The same on every storey"
                tip = f"{count} more are assumed as {_said(row.value_mm)} m"
                self._button(second, "confirm-alike", words, tip, self.confirm_alike)
        elif row.accept:
            tips = {
                "finding": "It may stay as it is",
                "room": "The room is right as it stands",
                "opening": "It is an opening: measure it",
            }
            self._button(first, "accept", "Accept", tips[row.accept], self._tell_accept)
            if row.accept in ("room", "opening"):
                self._button(first, "remove", "Remove", f"There is no such {row.accept}", self._tell_remove)
        elif row.settled is not None:
            self._button(first, "again", "Open again", "Put it back among what is to settle", self._tell_again)
        lines = [line for line in (first, second) if line.count()]
        for line in lines:
            line.addStretch(1)
        return lines

    def _value_controls(self, across: QHBoxLayout, value_mm: float) -> None:
        self.field = QLineEdit(_said(value_mm))
        self.field.setFixedWidth(_FIELD_PX)
        self.field.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.field.setAccessibleName(f"{self.row.text}, metres")
        self.field.setToolTip("Metres, or with a unit, such as 2.4, 2400 mm or 7'10\"")
        self.field.returnPressed.connect(self.confirm)
        self.field.textEdited.connect(self._edited)
        across.addWidget(self.field)
        across.addWidget(label("m", "dims"))
        self._button(across, "confirm", "Confirm", "This is right: it counts as typed from now on", self.confirm)
        if len(self.row.values) > 1:
            self._button(across, "each", "Each…", "Show them one by one, or together again", self._tell_each)

    def _button(self, across: QHBoxLayout, key: str, words: str, tip: str, do: Callable[[], None]) -> None:
        made = QPushButton(words)
        made.setProperty("part", "small")
        made.setToolTip(tip)
        made.setAccessibleName(f"{words}: {self.row.text}")
        made.clicked.connect(do)
        self.buttons[key] = made
        across.addWidget(made)

    def confirm(self) -> None:
        """Confirm the value, or correct it where it was typed over."""
        self._confirm("confirm")

    def confirm_alike(self) -> None:
        """The same for all that are like this one."""
        self._confirm("confirm-alike")

    def _confirm(self, what: str) -> None:
        if self.field is None or self.row.value_mm is None:
            return
        try:
            value = None if not self.field.isModified() else length_mm(self.field.text(), MM_FROM)
        except InputError as error:
            set_text(self._wrong, str(error))
            self._wrong.show()
            return
        self._wrong.hide()
        self.done.emit(Done(what, self.row, value))

    def _edited(self) -> None:
        self.buttons["confirm"].setText("Correct" if self.field and self.field.isModified() else "Confirm")

    def _tell_each(self) -> None:
        self.done.emit(Done("each", self.row))

    def _tell_accept(self) -> None:
        self.done.emit(Done("accept", self.row))

    def _tell_remove(self) -> None:
        self.done.emit(Done("remove", self.row))

    def _tell_again(self) -> None:
        self.done.emit(Done("again", self.row))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click beside the buttons goes to the place."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.picked.emit(self.row)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter goes to the place."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.picked.emit(self.row)
        else:
            super().keyPressEvent(event)


def _said(mm: float) -> str:
    text = dim3(mm / 1000.0)
    return text[:-1] if text.endswith("0") else text


def _line() -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(6)
    return line
