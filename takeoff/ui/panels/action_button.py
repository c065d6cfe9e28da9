"""A small button that does an action of the window, and can be pressed when the action can be done."""

from __future__ import annotations

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QPushButton


class ActionButton(QPushButton):
    """Shows a word of its own; its tip and its shortcut are the action's."""

    def __init__(self, action: QAction, word: str) -> None:
        super().__init__(word)
        self._action = action
        self.setProperty("part", "small")
        self.setAccessibleName(action.text().rstrip("…"))
        keys = action.shortcut().toString()
        self.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())
        self.clicked.connect(action.trigger)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        self.setEnabled(self._action.isEnabled())
