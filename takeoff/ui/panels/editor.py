"""A part of the card in which what is chosen is set: it shows itself for its kind, and follows edits."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from takeoff.plan.model import Job
from takeoff.ui.document import Choice, Document
from takeoff.ui.panels.page_parts import stacked


class Editor(QWidget):
    """Subclasses name their ``kind`` and show what is chosen of it."""

    kind: ClassVar[str] = ""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.refs: Choice = ()
        self.down = stacked(self, (0, 6, 0, 8))
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.chosen_changed.connect(self.refresh)

    def show_refs(self) -> None:
        """Show what is chosen (``refs``) as it is now."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Show what is chosen of this kind; nothing where something else was chosen last."""
        choice = self.document.choice
        own = tuple(ref for ref in choice if ref.kind == self.kind)
        self.refs = own if own and choice[-1].kind == self.kind else ()
        self.setVisible(bool(self.refs))
        if self.refs:
            self.show_refs()

    def apply(self, name: str, edit: Callable[[Job], Job]) -> bool:
        """Make one edit; where it is refused the fields show the job again."""
        done = self.document.apply(name, edit)
        if not done:
            self.refresh()
        return done

    def refuse(self, sentence: str) -> None:
        """Say why something typed cannot be taken."""
        self.document.refused.emit(sentence)


class Editors:
    """The editors of a card, one below the other: each is made when something of its kind is chosen for the first
    time, so that a window opens sooner. By Tab their fields come after those of ``above``, as they stand."""

    def __init__(self, down: QVBoxLayout, above: QWidget) -> None:
        self._down, self._above = down, above
        self._makers: dict[str, Callable[[], Editor]] = {}
        self._made: dict[str, Editor] = {}

    def add(self, make: Callable[[], Editor], kind: str) -> None:
        """In what things of that kind are set; it shows and hides itself."""
        self._makers[kind] = make

    def has(self, kind: str) -> bool:
        """Whether things of that kind are set here."""
        return kind in self._makers

    def of(self, kind: str) -> Editor:
        """The editor of a kind. Raises KeyError for one that is not set here."""
        if kind not in self._made:
            made = self._made[kind] = self._makers[kind]()
            order = [one for one in self._makers if one in self._made]
            at = order.index(kind)
            self._down.insertWidget(at, made)
            _follow(self._made[order[at - 1]] if at else self._above, made)
            # not before: what has no parent yet would come up as a window of its own
            made.refresh()
        return self._made[kind]


def _follow(above: QWidget, below: QWidget) -> None:
    """What was made later stands last by Tab, wherever it stands: bring it after what is above it."""
    before = tab_stops(above)[-1:]
    for stop in tab_stops(below) if before else ():
        QWidget.setTabOrder(before[0], stop)
        before = [stop]


def tab_stops(root: QWidget) -> list[QWidget]:
    """Where Tab stops within a widget, shown or not, in its order."""
    found = []
    at = root.nextInFocusChain()
    while at is not None and at is not root:
        if root.isAncestorOf(at) and at.focusPolicy() & Qt.FocusPolicy.TabFocus:
            found.append(at)
        at = at.nextInFocusChain()
    return found
