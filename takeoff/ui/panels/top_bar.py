"""Top: the job's name, revision and storey, whether it is saved, find, sheets."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QPushButton, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.words import label, set_text
from takeoff.views.cards import storey_name


class TopBar(QWidget):
    """``sheets`` says that the sheets are wanted; the field belongs to ``finder.Finder``."""

    sheets = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "top")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedHeight(54)
        self.job, self.revision, self.saved = label("", "job"), label("", "grey"), label("", "grey")
        self.storeys = QComboBox()
        self.storeys.setAccessibleName("Storey")
        self.storeys.setToolTip("The storey that the plan shows")
        self.storeys.activated.connect(self._storey_picked)
        self.field = QLineEdit()
        self.field.setPlaceholderText("Find")
        self.field.setAccessibleName("Find a room, a figure or an action")
        self.field.setClearButtonEnabled(True)
        self.field.setFixedWidth(190)
        self.button = QPushButton("Sheets")
        self.button.setProperty("part", "main")
        self.button.clicked.connect(self.sheets)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(18, 0, 18, 0)
        layout.setSpacing(14)
        left: tuple[QWidget, ...] = (self.job, self.revision, self.storeys)
        right: tuple[QWidget, ...] = (self.saved, self.field, self.button)
        for widget in left:
            layout.addWidget(widget)
        layout.addStretch(1)
        for widget in right:
            layout.addWidget(widget)
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        document.storey_changed.connect(self._storey_shown)
        document.saved_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the job's name, its storeys and whether it is saved."""
        job = self._document.job
        set_text(self.job, job.name or "Unnamed job")
        revision = job.drawing.revision if job.drawing else ""
        single = storey_name(job.storeys[0]) if len(job.storeys) == 1 else ""
        set_text(self.revision, " · ".join(p for p in (revision and f"Revision {revision}", single) if p))
        names = [(storey_name(s), str(s.id)) for s in job.storeys]
        shown = [(self.storeys.itemText(k), self.storeys.itemData(k)) for k in range(self.storeys.count())]
        if names != shown:
            self.storeys.clear()
            for name, storey_id in names:
                self.storeys.addItem(name, storey_id)
        self.storeys.setVisible(len(names) > 1)
        storey = self._document.storey
        self._storey_shown(str(storey.id) if storey else "")
        self.button.setEnabled(any(s.rooms for s in job.storeys))
        set_text(self.saved, self._saved_words())

    def _saved_words(self) -> str:
        if not self._document.stack.isClean():
            return "Not saved"
        return "Saved" if self._document.path else ""

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _storey_shown(self, storey_id: str) -> None:
        self.storeys.setCurrentIndex(self.storeys.findData(storey_id))

    def _storey_picked(self, index: int) -> None:
        self._document.show_storey(str(self.storeys.itemData(index)))
