"""Starts the window: ``run`` is what the command calls."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from takeoff.ui import themes
from takeoff.ui.crash import CrashHook
from takeoff.ui.settings import Settings, usual_path
from takeoff.ui.window.main import MainWindow


def run(path: Path | None = None) -> int:
    """Open the window, with a file, or with the sample job on a first start. Returns the exit code."""
    app = application()
    window = MainWindow(Settings(usual_path()))
    hook = CrashHook(window.files)
    hook.install()
    window.show()
    # after the first paint, so that the window stands before anything is read
    QTimer.singleShot(0, lambda: window.files.start_with(path))
    try:
        return app.exec()
    finally:
        hook.remove()


def application() -> QApplication:
    """The one application, with the house's type."""
    found = QApplication.instance()
    app = found if isinstance(found, QApplication) else QApplication(sys.argv[:1])
    app.setApplicationName("takeoff")
    app.setApplicationDisplayName("Takeoff")
    app.setStyle("Fusion")
    app.setFont(themes.font())
    return app
