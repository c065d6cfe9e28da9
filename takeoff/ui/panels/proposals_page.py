"""Stepping through what was proposed, doubtful things first: each with what speaks for and against it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.edits.opening_edits import Answer
from takeoff.plan.model import Confidence, Job, OpeningId, RoomId
from takeoff.ui.document import Document
from takeoff.ui.panels.page_parts import empty, fill, label, restyle, scrolled, set_text
from takeoff.views.drawing_asks import Proposal, steps, summed_up

_NOTHING = mark("Nothing is left to check. What was drawn or set by hand is not asked about.")
_KEYS = mark("On this page: arrow keys for the next and the previous, Enter to accept.")
_OPENING_KEYS = mark("W window, D door, O doorway, N not an opening. Tab for the next, Enter to accept.")
_ALL_KEY = mark("Ctrl+Shift+Enter accepts all as proposed.")
_ANSWERS: tuple[tuple[Answer, str, Qt.Key], ...] = (
    ("window", mark("Window"), Qt.Key.Key_W),
    ("door", mark("Door"), Qt.Key.Key_D),
    ("open", mark("Doorway"), Qt.Key.Key_O),
    ("nothing", mark("Nothing"), Qt.Key.Key_N),
)
"""What an opening can be said to be: the answer, its word, its key."""
_STATES: dict[Confidence, str] = {"question": mark("Uncertain"), "check": mark("To check"), "sure": mark("Sure")}
_ANSWER_OF = {key: answer for answer, _, key in _ANSWERS}
_NAMES: dict[Answer, str] = {
    "window": mark("They are windows"),
    "door": mark("They are doors"),
    "open": mark("They are doorways"),
    "nothing": mark("They are not openings"),
}
_NAMES_OF_ONE: dict[Answer, str] = {
    "window": mark("It is a window"),
    "door": mark("It is a door"),
    "open": mark("It is a doorway"),
    "nothing": mark("It is not an opening"),
}


class ProposalsPage(QWidget):
    """One proposal at a time; ``shown`` carries the Proposal whose place is wanted, or None."""

    shown = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._skipped: set[tuple[str, str]] = set()
        self.current: Proposal | None = None
        self.setProperty("part", "page")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("What was proposed, one by one"))
        self.count, self.state = label("", "grey"), label("", "figure")
        self.title, self.place = label("", "heading", wrap=True), label("", "grey", wrap=True)
        self.effect = label("", "name", wrap=True)
        self.right, self.refuse = QPushButton(tr("Accept")), QPushButton(tr("Not a room"))
        self.skip = QPushButton(tr("Skip"))
        self.back, self.forward = QPushButton(tr("‹ Previous")), QPushButton(tr("Next ›"))
        self.all = QPushButton("")
        self.sure_too = QCheckBox(tr("Also the sure ones"))
        self.answers = {answer: QPushButton(tr(word)) for answer, word, _ in _ANSWERS[:3]}
        self._evidence = QVBoxLayout()
        self._build()
        document.opened.connect(self.start_anew)
        document.changed.connect(self.refresh)
        self.refresh()

    def _build(self) -> None:
        self.right.setProperty("part", "main")
        self.right.setToolTip(tr("Accept it as shown (Ctrl+Enter)"))
        self.refuse.setToolTip(tr("Reject it (Ctrl+Backspace, an opening by N); undo brings it back"))
        self.skip.setToolTip(tr("Leave it for later"))
        for button, do in (
            (self.right, self.accept),
            (self.refuse, self.reject),
            (self.skip, self.leave),
            (self.back, self.previous),
            (self.forward, self.next),
            (self.all, self.accept_all),
        ):
            button.clicked.connect(do)
        for answer, button in self.answers.items():
            button.setProperty("part", "chip")
            button.setToolTip(
                tr("{answer}: measured as such; sizes not given are assumed as usual", answer=tr(_NAMES[answer]))
            )
            button.clicked.connect(partial(self.answer, answer))
        self.sure_too.toggled.connect(self._start_over)
        self._evidence.setSpacing(4)
        kinds = QHBoxLayout()
        for button in self.answers.values():
            kinds.addWidget(button)
        buttons = QGridLayout()
        buttons.addWidget(self.right, 0, 0, 1, 2)
        buttons.addWidget(self.refuse, 1, 0)
        buttons.addWidget(self.skip, 1, 1)
        ways = QHBoxLayout()
        ways.addWidget(self.back)
        ways.addWidget(self.forward)
        down = scrolled(self, (14, 16, 10, 12), 8)
        down.addWidget(label(tr("Proposed"), "title"))
        down.addWidget(self.count)
        for widget in (self.title, self.place, self.state):
            down.addWidget(widget)
        self.all.setProperty("part", "small")
        self.all.setToolTip(tr("Accept everything listed here as proposed, in one step to undo (Ctrl+Shift+Enter)"))
        self.all_words = label("", "grey", wrap=True)
        fill(down, self._evidence, self.effect, kinds, buttons, ways, self.all, self.all_words, self.sure_too)
        self.keys = label(tr(_KEYS), "grey", wrap=True)
        down.addWidget(self.keys)
        down.addStretch(1)

    # -- what a user does

    def begin(self) -> None:
        """Show the first that is open, on the plan too."""
        self.refresh()
        self.setFocus()
        self.shown.emit(self.current)

    def accept(self) -> None:
        """It is right: from now on it is sure. Then the next one."""
        if self.current is not None:
            self._settle(self.current, tr("It is right"), _confirmed)

    def accept_all(self) -> None:
        """All that is not sure is as it is proposed: one step to undo."""
        rows = tuple(row for row in self.rows() if row.confidence != "sure")

        def confirmed(job: Job) -> Job:
            for proposal in rows:
                job = _confirmed(job, proposal)
            return job

        if rows:
            self.current = None
            name = tr("Accepted as proposed: {what}", what=summed_up(rows, self._document.job))
            self._document.apply(name, confirmed)
            self.refresh()
            self.shown.emit(self.current)

    def reject(self) -> None:
        """It is none: taken away. Then the next one."""
        if self.current is not None:
            self._settle(self.current, self.current.refusal, _removed)

    def answer(self, answer: Answer) -> None:
        """All openings that are shown are that, or nothing; one step to undo. Then the next."""
        current = self.current
        if current is not None and current.kind == "opening":
            name = tr(_NAMES[answer] if current.group else _NAMES_OF_ONE[answer])
            ids = [OpeningId(name) for name, _ in current.members]
            self._settle(current, name, lambda job, _: edits.answer_openings(job, ids, answer))

    def leave(self) -> None:
        """Look at it later, after all others."""
        if self.current is not None:
            after = self._neighbour(1)
            self._skipped.add(_key(self.current))
            self._show(after if after is not None else self.current)

    def next(self) -> None:
        """Look at the next one, and from the last at the first."""
        self._show(self._neighbour(1) or self.current)

    def previous(self) -> None:
        """Look at the one before."""
        self._show(self._neighbour(-1) or self.current)

    def event(self, event: QEvent) -> bool:
        """The answers' letters are this page's while it has the keys, and so is Tab as long as there is a next."""
        if isinstance(event, QKeyEvent):
            bare = event.modifiers() == Qt.KeyboardModifier.NoModifier
            asked = self.current is not None and self.current.kind == "opening"
            if event.type() == QEvent.Type.ShortcutOverride and asked and bare and event.key() in _ANSWER_OF:
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress and bare and event.key() == Qt.Key.Key_Tab and self.hasFocus():
                after = self._neighbour(1)
                if after is not None:
                    self._show(after)
                    return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows go on and back, Enter accepts, with Ctrl and Shift all; letters say what an opening is."""
        answer = _ANSWER_OF.get(Qt.Key(event.key()))
        if answer is not None and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            self.answer(answer)
            return
        keys = {
            Qt.Key.Key_Right: self.next,
            Qt.Key.Key_Down: self.next,
            Qt.Key.Key_Left: self.previous,
            Qt.Key.Key_Up: self.previous,
            Qt.Key.Key_Return: self.accept,
            Qt.Key.Key_Enter: self.accept,
        }
        both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and event.modifiers() & both == both:
            self.accept_all()
            return
        do = keys.get(Qt.Key(event.key()))
        if do is None or event.modifiers() not in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier):
            super().keyPressEvent(event)
            return
        do()

    # -- what is shown

    def start_anew(self) -> None:
        """Another job is here."""
        self._skipped.clear()
        self.current = None
        self.refresh()

    def rows(self) -> tuple[Proposal, ...]:
        """All that is stepped through, what was skipped last."""
        found = steps(self._document.job, self.sure_too.isChecked())
        return tuple(sorted(found, key=lambda p: _key(p) in self._skipped))

    def refresh(self) -> None:
        """Show the current one as it is now, or the first where it is gone."""
        rows = self.rows()
        here = next((p for p in rows if self.current is not None and _key(p) == _key(self.current)), None)
        self._fill(here or (rows[0] if rows else None), rows)

    def _settle(self, proposal: Proposal, name: str, change: Callable[[Job, Proposal], Job]) -> None:
        after = self._neighbour(1)
        self.current = after
        if self._document.apply(name, lambda job: change(job, proposal)):
            self._skipped.discard(_key(proposal))
        else:
            self.current = proposal if proposal.confidence != "sure" else after
        self.refresh()
        self.shown.emit(self.current)

    def _neighbour(self, step: int) -> Proposal | None:
        """The proposal so many steps on, round the ends; None where there is no other."""
        rows = self.rows()
        if self.current is None or len(rows) < 2:
            return None
        at = next((k for k, p in enumerate(rows) if _key(p) == _key(self.current or p)), 0)
        return rows[(at + step) % len(rows)]

    def _show(self, proposal: Proposal | None) -> None:
        self._fill(proposal, self.rows())
        self.shown.emit(proposal)

    def _fill(self, proposal: Proposal | None, rows: tuple[Proposal, ...]) -> None:
        before, self.current = self.current, proposal
        there = proposal is not None
        opening = proposal is not None and proposal.kind == "opening"
        for button in self.answers.values():
            button.setVisible(opening)
        for widget in (
            self.title,
            self.place,
            self.state,
            self.effect,
            self.right,
            self.refuse,
            self.skip,
            self.back,
            self.forward,
            self.keys,
        ):
            widget.setVisible(there)
        unsure = tuple(row for row in rows if row.confidence != "sure")
        for shown in (self.all, self.all_words):
            shown.setVisible(len(unsure) > 1)
        if len(unsure) > 1:
            self.all.setText(tr("Accept all {count}", count=len(unsure)))
            listed = tr("As proposed: {what}.", what=summed_up(unsure, self._document.job))
            set_text(self.all_words, f"{listed} {tr(_ALL_KEY)}")
        if proposal is None:
            set_text(self.count, tr(_NOTHING))
            self.count.setWordWrap(True)
            empty(self._evidence)
            return
        at = next((k for k, p in enumerate(rows) if _key(p) == _key(proposal)), 0)
        set_text(self.count, tr("{number} of {count}", number=at + 1, count=len(rows)))
        set_text(self.title, proposal.title)
        set_text(self.place, proposal.place)
        self.place.setVisible(bool(proposal.place))
        set_text(self.state, tr(_STATES[proposal.confidence]))
        restyle(self.state, "urgent" if proposal.confidence == "question" else "figure")
        set_text(self.effect, proposal.effect)
        self.effect.setVisible(bool(proposal.effect))
        self.refuse.setText(proposal.refusal)
        set_text(self.keys, tr(_OPENING_KEYS if opening else _KEYS))
        self.right.setEnabled(proposal.confidence != "sure")
        if before != proposal or not self._evidence.count():
            empty(self._evidence)
            for reason in proposal.evidence or (tr("no reason is noted"),):
                self._evidence.addWidget(label(f"• {reason}", "dims", wrap=True))

    def _start_over(self) -> None:
        self.current = None
        self.refresh()
        self.shown.emit(self.current)


def _key(proposal: Proposal) -> tuple[str, str]:
    return proposal.kind, proposal.id


def _confirmed(job: Job, proposal: Proposal) -> Job:
    if proposal.kind == "room":
        return edits.set_room_confidence(job, RoomId(proposal.id), "sure")
    for name, _ in proposal.members:
        job = edits.set_opening_confidence(job, OpeningId(name), "sure")
    return job


def _removed(job: Job, proposal: Proposal) -> Job:
    if proposal.kind == "room":
        return edits.remove_room(job, RoomId(proposal.id))
    for name, _ in proposal.members:
        job = edits.remove_opening(job, OpeningId(name))
    return job
