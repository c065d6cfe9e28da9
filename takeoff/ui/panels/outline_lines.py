"""Parts of walls and ceilings that are left out, a line each; a click coats them again."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton

from takeoff.plan import edits
from takeoff.plan.model import RoomId
from takeoff.ui.document import Document
from takeoff.views.faces import Outline


class OutlineLine(QPushButton):
    """A part that is left out; a click coats it again."""

    def __init__(self, outline: Outline, document: Document) -> None:
        super().__init__(f"×  {outline.words}")
        self._outline, self._document = outline, document
        self.setProperty("part", "finding")
        self.setToolTip(f"Coat this part again: {outline.words}")
        self.setAccessibleName(f"Coat again: {outline.words}")
        self.clicked.connect(self._remove)

    def _remove(self) -> None:
        room, name = RoomId(self._outline.room), self._outline.id
        self._document.apply("Coat a part again", lambda job: edits.remove_exclusion(job, room, name))
