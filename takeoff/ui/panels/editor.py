"""A part of the card in which what is chosen is set: it shows itself for its kind, and follows edits."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from PySide6.QtWidgets import QWidget

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
