"""Questions of the coat, one at a time: 1 to 4 answers, 5 asks storey by storey, Escape leaves one, and after the last
the coat is put on."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QGridLayout, QWidget

from takeoff.language import tr, tr_count
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import small_button
from takeoff.ui.panels.page_parts import label, set_text, stacked
from takeoff.views.coat_questions import Question, question_answered

_KEYS = (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4)

_APART = Qt.Key.Key_5

Ask = Callable[[], tuple[Question, ...]]


class AskingPanel(QWidget):
    """Hidden while nothing is asked. ``shown`` carries the Question that is asked, or None."""

    shown = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._ask: Ask | None = None
        self._then: Callable[[], None] | None = None
        self._left: set[str] = set()
        self._split: set[str] = set()
        self.current: Question | None = None
        self.setProperty("part", "page")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Questions before the coat is applied"))
        self.count, self.title = label("", "grey", wrap=True), label("", "heading", wrap=True)
        self.says = label("", "grey", wrap=True)
        self.answers = tuple(small_button("", "") for _ in _KEYS)
        self.leave = small_button(tr("Esc  Leave open"), tr("Go on without an answer; it stays to check"))
        self.apart = small_button(tr("5  Storey by storey"), tr("Ask about each of these storeys separately"))
        self.stop = small_button(tr("Stop"), tr("Stop asking and leave the coat as it is; answers given are kept"))
        self._group = QButtonGroup(self)
        grid = QGridLayout()
        grid.setSpacing(6)
        for number, button in enumerate(self.answers):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self._group.addButton(button, number)
            grid.addWidget(button, number // 2, number % 2)
        grid.addWidget(self.apart, 2, 0, 1, 2)
        grid.addWidget(self.leave, 3, 0)
        grid.addWidget(self.stop, 3, 1)
        for button in (self.leave, self.stop, self.apart):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._group.buttonClicked.connect(self._clicked)
        self.leave.clicked.connect(self.leave_open)
        self.apart.clicked.connect(self.ask_apart)
        self.stop.clicked.connect(self.end)
        self.apart.hide()
        down = stacked(self, (0, 4, 0, 6), 5)
        for widget in (self.count, self.title, self.says):
            down.addWidget(widget)
        down.addLayout(grid)
        document.opened.connect(self.end)
        self.hide()

    def begin(self, ask: Ask, then: Callable[[], None]) -> None:
        """Ask what there is to ask, and do ``then`` after the last; at once where there is nothing."""
        self._ask, self._then = ask, then
        self._left.clear()
        self._split.clear()
        self._next()

    def end(self) -> None:
        """Ask no more."""
        self._ask = self._then = None
        self._show(None, 0)

    def answer(self, number: int) -> None:
        """Give the answer of that place, counted from 0, and go on."""
        question, state = self.current, self._document.state
        if question is None or not 0 <= number < len(question.answers):
            return
        key, words = question.answers[number]
        name = f"{question.words}: {words}"
        if not self._document.apply(name, lambda job: question_answered(state, job, question, key)):
            self._left.add(question.key)
        self._next()

    def answer_rest(self, number: int) -> None:
        """Give that answer to this question and to all that are left, as one edit."""
        question = self.current
        if question is None or not 0 <= number < len(question.answers):
            return
        key, words = question.answers[number]
        self._document.stack.beginMacro(tr("All questions left: {answer}", answer=words))
        try:
            while self.current is not None and key in dict(self.current.answers):
                self.answer([name for name, _ in self.current.answers].index(key))
        finally:
            self._document.stack.endMacro()

    def ask_apart(self) -> None:
        """Ask about each storey alone where several are asked about together."""
        if self.current is not None and self.current.parts:
            self._split.update(part.key for part in self.current.parts)
            self._next()

    def leave_open(self) -> None:
        """Go on to the next question."""
        if self.current is not None:
            self._left.add(self.current.key)
            self._next()

    def event(self, event: QEvent) -> bool:
        """Its keys are its own while it is asked, whatever else they do in the window."""
        shortcut = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride
        if shortcut and Qt.Key(event.key()) in (*_KEYS, _APART, Qt.Key.Key_Escape):  # type: ignore[attr-defined]
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """1 to 4 answer, with Ctrl all that is left, 5 asks apart, Escape leaves the question open."""
        key = Qt.Key(event.key())
        if key in _KEYS and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.answer_rest(_KEYS.index(key))
        elif key in _KEYS:
            self.answer(_KEYS.index(key))
        elif key == _APART:
            self.ask_apart()
        elif key == Qt.Key.Key_Escape:
            self.leave_open()
        else:
            super().keyPressEvent(event)

    def _clicked(self, button: QAbstractButton) -> None:
        self.answer(self._group.id(button))

    def _next(self) -> None:
        if self._ask is None:
            return
        asked = [one for question in self._ask() for one in self._one_by_one(question)]
        # what is asked storey by storey is gone through before the next
        asked.sort(key=lambda question: question.key not in self._split)
        open_ = [question for question in asked if question.key not in self._left]
        if open_:
            self._show(open_[0], len(open_))
            return
        then = self._then
        self.end()
        if then is not None:
            then()

    def _one_by_one(self, question: Question) -> tuple[Question, ...]:
        """Its storeys each by itself where one of them was to be."""
        return question.parts if any(part.key in self._split for part in question.parts) else (question,)

    def _show(self, question: Question | None, count: int) -> None:
        self.current = question
        self.setVisible(question is not None)
        if question is not None:
            left = tr_count(
                "The last question", "{count} questions left; Ctrl and the key answers all of them", max(count, 1)
            )
            set_text(self.count, left)
            set_text(self.title, question.words)
            set_text(self.says, question.says)
            self.apart.setVisible(bool(question.parts))
            for number, (button, (_, words)) in enumerate(zip(self.answers, question.answers, strict=True), 1):
                button.setText(f"{number}  {words}")
                button.setAccessibleName(f"{words}: {question.words}")
                button.setToolTip(tr("{answer} (key {number})", answer=words, number=number))
            self.setFocus()
        self.shown.emit(question)
