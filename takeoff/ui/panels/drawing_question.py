"""In which unit, or at which scale, a drawing is: what each choice would mean, and one known length."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLineEdit, QPushButton, QRadioButton, QVBoxLayout, QWidget

from takeoff.ui.panels.form_fields import LengthField
from takeoff.ui.panels.page_parts import empty, fill, label, set_text, stacked
from takeoff.views.drawing_asks import Choice, Question

_TAKEN = "taken for now"


class ChoiceRow(QWidget):
    """A choice with what it would mean under it."""

    def __init__(self, choice: Choice, doubtful: bool) -> None:
        super().__init__()
        self.choice = choice
        taken = f", {_TAKEN}" if choice.taken and doubtful else ""
        self.button = QRadioButton(choice.words + taken)
        self.button.setChecked(choice.taken)
        self.button.setAccessibleName(f"{choice.words}: {choice.means}")
        self.means = label(choice.means, "grey", wrap=True)
        self.means.setContentsMargins(22, 0, 0, 0)
        self.means.setBuddy(self.button)
        down = stacked(self, (0, 2, 0, 4), 0)
        down.addWidget(self.button)
        down.addWidget(self.means)


class QuestionSection(QWidget):
    """Asks openly where the drawing does not settle it; else one line says what was taken, to be changed."""

    answered = Signal(str)
    """The key of the chosen unit or scale, or a scale as it was typed."""
    pick = Signal()
    """Two ends of a known length are wanted."""
    length_typed = Signal(object)
    """The known length between the ends that were picked, mm."""
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._question: Question | None = None
        self._opened = False
        self.title, self.note = label("", "heading", wrap=True), label("", "grey", wrap=True)
        self.change = QPushButton("Change…")
        self.change.clicked.connect(self._open)
        self.rows: list[ChoiceRow] = []
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(self._clicked)
        self._choices = QVBoxLayout()
        self._choices.setSpacing(0)
        self.keep = QPushButton("")
        self.keep.clicked.connect(self._keep)
        self.own = QLineEdit()
        self.own.setPlaceholderText("another, such as 1:25")
        self.own.setAccessibleName("Another scale")
        self.own.returnPressed.connect(self._typed)
        self.pick_button = QPushButton("Pick its two ends")
        self.pick_button.setToolTip("Click both ends of a length that you know on the plan, then type it")
        self.pick_button.clicked.connect(self.pick)
        self.length = LengthField("Known length")
        self.length.typed.connect(self.length_typed)
        self.length.refused.connect(self.refused)
        self._build()

    def _build(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.change)
        self.known = QWidget()
        known = QHBoxLayout()
        known.addWidget(self.pick_button, 1)
        known.addWidget(self.length)
        below = QVBoxLayout(self.known)
        below.setContentsMargins(0, 6, 0, 0)
        self.known_words = label("", "name", wrap=True)
        below.addWidget(self.known_words)
        below.addLayout(known)
        down = stacked(self, spacing=4)
        fill(down, head, self.note, self._choices, self.own, self.keep, self.known)

    def show_question(self, question: Question | None) -> None:
        """Show a question; None hides all of it."""
        self.setVisible(question is not None)
        if question is None or question == self._question:
            self._question = question
            return
        self._question, self._opened = question, False
        for button in self._group.buttons():
            self._group.removeButton(button)
        empty(self._choices)
        self.rows = [ChoiceRow(choice, question.doubtful) for choice in question.choices]
        for number, row in enumerate(self.rows):
            self._group.addButton(row.button, number)
            self._choices.addWidget(row)
        self.setToolTip(question.why)
        self.show_picked(None)
        self._arrange()

    def show_picked(self, drawn_mm: float | None) -> None:
        """Two ends were picked, or none are: the length waits to be typed."""
        self.length.setEnabled(drawn_mm is not None)
        self.length.show_mm(None)
        if drawn_mm is None:
            set_text(self.known_words, "Or one length that you know, such as a figured dimension:")
            return
        read = f"{drawn_mm / 1000.0:.2f} m"
        set_text(self.known_words, f"As it is read now that is {read}. Type what it is, and press Enter:")
        self.length.setFocus()

    def _open(self) -> None:
        self._opened = True
        self._arrange()

    def _arrange(self) -> None:
        question = self._question
        if question is None:
            return
        scale, wide = question.kind == "scale", question.doubtful or self._opened
        settled = f"Drawn at {question.taken}" if scale else f"Drawn in {question.taken}"
        set_text(self.title, question.title if wide else settled)
        self.change.setVisible(not wide)
        set_text(
            self.note, "The drawing does not say it for sure. Which of these can be right?" if question.doubtful else ""
        )
        self.note.setVisible(question.doubtful)
        self.keep.setText(f"It is right at {question.taken}" if scale else f"It is in {question.taken}")
        self.keep.setVisible(question.doubtful)
        for row in self.rows:
            row.setVisible(wide)
        self.own.setVisible(wide and scale)
        self.known.setVisible(wide)

    def _clicked(self, number: int) -> None:
        if not self.rows[number].choice.taken:
            self.answered.emit(self.rows[number].choice.key)

    def _keep(self) -> None:
        taken = next((row.choice for row in self.rows if row.choice.taken), None)
        if taken is not None:
            self.answered.emit(taken.key)

    def _typed(self) -> None:
        if self.own.text().strip():
            self.answered.emit(self.own.text().strip())
