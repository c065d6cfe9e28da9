"""Right: every edit since the job was opened, by name; a click goes back to it, or forth."""

from __future__ import annotations

from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import QUndoView, QVBoxLayout, QWidget

from takeoff.ui.panels.page_parts import label


class HistoryPage(QWidget):
    """Qt's own view of the undo stack, which knows no limit."""

    def __init__(self, stack: QUndoStack) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.view = QUndoView(stack)
        self.view.setEmptyLabel("As it was opened")
        self.view.setAccessibleName("Edits, the last at the foot")
        self.view.setToolTip("Click an edit to see the job as it was after it")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 10, 12)
        layout.addWidget(label("History", "title"))
        layout.addWidget(
            label("Click an edit to go back to it; those after it stay until you make another.", "grey", wrap=True)
        )
        layout.addWidget(self.view, 1)
