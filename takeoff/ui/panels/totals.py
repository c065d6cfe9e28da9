"""Foot: the running totals, always in view."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.words import label, set_text
from takeoff.views.cards import running_totals
from takeoff.views.figures_table import order_sentence


class TotalsPanel(QWidget):
    """What there is to coat, bead, inner corners and packs; at the right what the last edit changed."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "foot")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedHeight(42)
        self.figures: list[QLabel] = [label("", "total") for _ in range(4)]
        self.note = label("", "grey", wrap=True, right=True)
        # a long sentence takes what room there is and never widens the window
        self.note.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(18, 0, 18, 0)
        layout.setSpacing(26)
        for figure in self.figures:
            layout.addWidget(figure)
        layout.addWidget(self.note, 1)
        document.opened.connect(self.refresh)
        document.changed.connect(self._changed)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the totals as they are."""
        said = running_totals(self._document.state, self._document.considered)
        for number, figure in enumerate(self.figures):
            set_text(figure, said[number] if number < len(said) else "")
        self.figures[-1].setToolTip(order_sentence(self._document.considered).replace(", ", "\n"))

    def say(self, text: str) -> None:
        """A short word at the right: coordinates, what a tool wants next, why an edit was refused."""
        set_text(self.note, text)

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self.refresh()
