"""The menu of recent files, filled when it opens."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QMenu, QWidget

from takeoff.ui.settings import Settings
from takeoff.ui.window.files import Files


class RecentMenu(QMenu):
    """Files that were opened or saved last, the newest first; those that are gone are left out."""

    def __init__(self, files: Files, settings: Settings, parent: QWidget) -> None:
        # insertMenu does not take a menu over: without a parent it would outlive the window, and hold it
        super().__init__("Open recent", parent)
        self._files, self._settings = files, settings
        self.aboutToShow.connect(self.fill)

    def fill(self) -> None:
        """List the files that are still there."""
        self.clear()
        paths = [Path(name) for name in self._settings.value.recent if Path(name).is_file()]
        for path in paths:
            action = self.addAction(f"{path.name}    {path.parent}")
            action.triggered.connect(partial(self._files.open, path))
        if not paths:
            self.addAction("No recent file").setEnabled(False)
