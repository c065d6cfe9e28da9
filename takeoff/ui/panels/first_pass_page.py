"""Right: the first pass over a drawing, step by step: what is open, and where it is answered."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from takeoff.language import mark, tr
from takeoff.ui.panels.form_fields import ENTER, LengthField, Roomy, small_button
from takeoff.ui.panels.page_parts import empty, hair, label, scrolled, set_text, stacked
from takeoff.units.lengths import STOREY_HEIGHT
from takeoff.views.first_pass import PassStep

_HINTS = {
    "size": mark("The drawing leaves its size open."),
    "heights": mark("Floor to ceiling. Enter sets the height and goes on; Enter alone keeps the assumed one."),
    "kinds": mark("One key for each kind, or one for all as proposed: the page says which."),
    "names": mark("It is lit on the plan. Enter sets the name and accepts the room; an empty Enter leaves it open."),
    "beyond": mark("What stands behind each run of outside wall? One key for each."),
    "stairs": mark("Does the ceiling go on above the stair? One key."),
    "looks": mark("Check it on the plan. Enter: it is right as it is."),
    "customs": mark("One key for the whole job; what is set for a room or a wall comes first."),
    "substrates": mark("What the coat goes on decides the base coat; a room or a wall can have its own."),
    "product": mark("Which product is ordered? Its yields, packs and prices make the order."),
}
_DONE = mark("Every question has been asked.")

TYPED_HERE = ("names", "heights")
"""Steps that are answered by typing into a field of this page; all others by a list of answers."""

Answers = Sequence[tuple[str, str, str]]
"""(key, words, what it does) of each answer."""


class _NameField(QLineEdit):
    """Enter tells what stands there, also when that is nothing."""

    entered = Signal(str)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter is told once."""
        if event.key() in ENTER:
            self.entered.emit(" ".join(self.text().split()))
            return
        super().keyPressEvent(event)


class _HeightField(LengthField):
    """Enter where nothing was typed keeps what stands there."""

    kept = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter is told once: with a height, or as keeping what is there."""
        if event.key() in ENTER and not self.isModified():
            self.kept.emit()
            return
        super().keyPressEvent(event)


class AnswerList(QWidget):
    """Answers one below the other, each with its digit; Enter gives the first. ``answered`` carries the key."""

    answered = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Answers"))
        self.answers: tuple[tuple[str, str, str], ...] = ()
        self.buttons: dict[str, QPushButton] = {}
        self._down = stacked(self)

    def show_answers(self, answers: Answers) -> None:
        """These from now on."""
        if tuple(answers) == self.answers:
            return
        self.answers, self.buttons = tuple(answers), {}
        empty(self._down)
        for number, (key, words, tip) in enumerate(self.answers, 1):
            button = self.buttons[key] = small_button(f"{number}  {words}", tip)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.clicked.connect(lambda checked=False, key=key: self.answered.emit(key))
            self._down.addWidget(button)

    def event(self, event: QEvent) -> bool:
        """Its digits are its own while it has the keys."""
        is_asked = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride
        if is_asked and self._meant(event) is not None:  # type: ignore[arg-type]
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A digit gives its answer, Enter the first."""
        key = self._meant(event)
        if key is None:
            super().keyPressEvent(event)
        else:
            self.answered.emit(key)

    def _meant(self, event: QKeyEvent) -> str | None:
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        number = 0 if event.key() in ENTER else event.key() - Qt.Key.Key_1
        fits = not held and 0 <= number < len(self.answers)
        return self.answers[number][0] if fits else None


class FirstPassPage(QWidget):
    """``wanted``: a step is to be shown; ``later``: the pass is left; ``named`` and ``height_given``: what was typed
    for the room and the storey that are asked about ("" and None: left as they are); ``answered``: the key of the
    answer to what is asked here; ``no_room``: what is lit is none; ``adding``: a drawing more is wanted."""

    wanted = Signal(str)
    later = Signal()
    named = Signal(str)
    height_given = Signal(object)
    answered = Signal(str)
    no_room = Signal()
    adding = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.current = ""
        self.steps: tuple[PassStep, ...] = ()
        self.rows: dict[str, QPushButton] = {}
        self.title, self.hint = label(tr("First pass"), "title"), label("", "grey", wrap=True)
        self.about = label("", "heading", wrap=True)
        self.doubts = label("", "dims", wrap=True)
        self.name = _NameField()
        self.name.setAccessibleName(tr("Name of the room"))
        self.name.setPlaceholderText(tr("Kitchen, Bedroom 1 …"))
        self.name.entered.connect(self.named)
        self.none = small_button(tr("Not a room"), tr("The lit shape is not a room: remove it; undo brings it back"))
        self.none.clicked.connect(self.no_room)
        self.high = _HeightField(tr("Floor to ceiling"), optional=True, size=STOREY_HEIGHT)
        self.high.kept.connect(lambda: self.height_given.emit(None))
        self.high.typed.connect(self.height_given)
        self.list = AnswerList()
        self.list.answered.connect(self.answered)
        self.leave = QPushButton(tr("Later"))
        self.leave.clicked.connect(self.later)
        self.leave.setToolTip(tr("Stop here; F6 goes on where you stopped"))
        self.add = small_button(
            tr("Add a drawing as a storey…"), tr("Another storey of the same building (Ctrl+Shift+O)")
        )
        self.add.clicked.connect(self.adding)
        self._build()

    def _build(self) -> None:
        self._down = scrolled(self)
        for one in (self.title, self.about, self.hint, self.doubts, self.name, self.high, self.list):
            self._down.addWidget(one)
        row = QHBoxLayout()
        for button in (self.none, self.leave):
            row.addWidget(button)
        self._down.addLayout(row)
        self._down.addSpacing(8)
        self._down.addWidget(hair())
        self._end = self._down.count()
        self._down.addSpacing(8)
        self._down.addWidget(self.add)
        self._down.addStretch(1)

    def show_steps(self, steps: Sequence[PassStep], current: str, about: str, left: str = "") -> None:
        """The steps with what is open in each; ``current`` is asked about now ("" at the end, ``left`` says what is
        assumed or open still)."""
        self.steps = tuple(steps)
        for number, step in enumerate(steps):
            if step.key not in self.rows:
                row = self.rows[step.key] = Roomy("")
                row.setProperty("part", "pass")
                row.clicked.connect(lambda checked=False, key=step.key: self.wanted.emit(key))
                self._down.insertWidget(self._end + number, row)
            sign = "✓" if not step.left else "▸" if step.key == current else "·"
            self.rows[step.key].setText(f"{sign}  {step.title}: {step.says}")
            self.rows[step.key].setEnabled(bool(step.left))
        changed = current != self.current
        self.current = current
        set_text(self.about, about)
        set_text(self.hint, tr(_HINTS[current]) if current else f"{tr(_DONE)} {left}".strip())
        self.name.setVisible(current == "names")
        self.none.setVisible(current == "names")
        self.high.setVisible(current == "heights")
        self.list.setVisible(current not in TYPED_HERE)
        self.doubts.setVisible(bool(self.doubts.text()) and current == "names")
        self.leave.setText(tr("Later") if current else tr("Close"))
        if changed:
            self.take_keys()

    def ask_height(self, mm: float) -> None:
        """Show what is assumed, chosen to be typed over."""
        self.high.show_mm(mm)
        self.high.selectAll()

    def ask_name(self, name: str, doubts: Sequence[str]) -> None:
        """What it is called on the drawing, chosen to be typed over; why it is in doubt."""
        self.name.setText(name)
        self.name.selectAll()
        set_text(self.doubts, "\n".join(f"• {reason}" for reason in doubts))

    def take_keys(self) -> None:
        """The keys go to what is asked."""
        asked: dict[str, QWidget] = {"names": self.name, "heights": self.high}
        asked.get(self.current, self.list).setFocus(Qt.FocusReason.OtherFocusReason)
