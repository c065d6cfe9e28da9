"""Right: the first pass over a drawing, step by step: what is open, and where it is answered."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from takeoff.ui.panels.form_fields import ENTER, LengthField
from takeoff.ui.panels.page_parts import label, scrolled, set_text
from takeoff.units.lengths import STOREY_HEIGHT
from takeoff.views.first_pass import PassStep

_HINTS = {
    "size": "The drawing does not show for sure how large it is.",
    "heights": "From floor to ceiling. Enter takes the height and goes on; an empty Enter keeps what is assumed.",
    "kinds": "One key for each: the page says which.",
    "names": "The room is lit up on the plan. Enter takes the name and goes on; an empty Enter leaves it nameless.",
    "beyond": "What stands behind each stretch of outside wall: one key for each.",
    "product": "Type the yields, packs and prices of the product that you use, or take one that you have.",
    "": "What no drawing can say has been asked. Look at what is still to settle, then write the sheets.",
}


class _NameField(QLineEdit):
    """Enter tells what stands there, also when that is nothing."""

    entered = Signal(str)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter is told once."""
        if event.key() in ENTER:
            self.entered.emit(" ".join(self.text().split()))
            return
        super().keyPressEvent(event)


class FirstPassPage(QWidget):
    """``wanted``: a step is to be shown; ``later``: the pass is left; ``named`` and ``height_given``: what was typed
    for the room and the storey that are asked about ("" and None: left as they are)."""

    wanted = Signal(str)
    later = Signal()
    named = Signal(str)
    height_given = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._current, self._taken = "", False
        self.rows: dict[str, QPushButton] = {}
        self.says: dict[str, QLabel] = {}
        self.title, self.hint = label("First pass", "title"), label("", "grey", wrap=True)
        self.about = label("", "heading", wrap=True)
        self.name = _NameField()
        self.name.setAccessibleName("Name of the room")
        self.name.setPlaceholderText("Kitchen, Bedroom 1 …")
        self.name.entered.connect(self.named)
        self.high = LengthField("Floor to ceiling", optional=True, size=STOREY_HEIGHT)
        self.high.done.connect(self._height)
        self.high.typed.connect(self._typed)
        self.go, self.leave = QPushButton("Go on"), QPushButton("Later")
        self.go.setProperty("part", "main")
        self.go.clicked.connect(lambda: self.wanted.emit(self._current))
        self.leave.clicked.connect(self.later)
        self._build()

    def _build(self) -> None:
        self._down = scrolled(self)
        for one in (self.title, self.about, self.hint, self.name, self.high):
            self._down.addWidget(one)
        row = QHBoxLayout()
        row.addWidget(self.go)
        row.addWidget(self.leave)
        self._down.addLayout(row)
        self._down.addSpacing(10)
        self._end = self._down.count()
        self._down.addStretch(1)

    def show_steps(self, steps: Sequence[PassStep], current: str, about: str) -> None:
        """The steps with what is open in each; ``current`` is asked about now ("" at the end)."""
        for number, step in enumerate(steps):
            if step.key not in self.rows:
                row = self.rows[step.key] = QPushButton()
                row.setProperty("part", "small")
                row.clicked.connect(lambda checked=False, key=step.key: self.wanted.emit(key))
                self._down.insertWidget(self._end + number, row)
            mark = "✓" if not step.left else "▸" if step.key == current else "·"
            self.rows[step.key].setText(f"{mark}  {step.title}: {step.says}")
            self.rows[step.key].setEnabled(bool(step.left))
        changed = current != self._current
        self._current = current
        set_text(self.about, about)
        set_text(self.hint, _HINTS[current])
        self.name.setVisible(current == "names")
        self.high.setVisible(current == "heights")
        self.go.setVisible(current not in ("names", "heights"))
        self.go.setText("Go on" if current else "To settle")
        self.leave.setText("Later" if current else "Close")
        if changed:
            self.take_keys()

    def ask_height(self, mm: float) -> None:
        """Show what is assumed, chosen to be typed over."""
        self._taken = False
        self.high.show_mm(mm)
        self.high.selectAll()

    def ask_name(self) -> None:
        """An empty field."""
        self.name.clear()

    def take_keys(self) -> None:
        """The keys go to what is asked."""
        field = {"names": self.name, "heights": self.high}.get(self._current, self.go)
        field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _typed(self, mm: object) -> None:
        self._taken = True
        self.height_given.emit(mm)

    def _height(self) -> None:
        """Enter without anything typed keeps what is assumed."""
        if not self._taken:
            self.height_given.emit(None)
        self._taken = False
