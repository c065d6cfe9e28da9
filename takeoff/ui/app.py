"""Starts the window: ``run`` is what the command calls."""

from __future__ import annotations

import gc
import sys
from pathlib import Path

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

from takeoff.ui import themes
from takeoff.ui.crash import CrashHook
from takeoff.ui.settings import Settings, usual_path
from takeoff.ui.window.shell import Shell


def run(path: Path | None = None) -> int:
    """Open the window, with a file, or with the sample job on a first start. Returns the exit code."""
    app = application()
    collector = Collector(app)
    start = Start(Shell(Settings(usual_path())), path)
    start.shell.show()
    # the second turn of the loop comes after the first paint
    QTimer.singleShot(0, start.soon)
    try:
        return app.exec()
    finally:
        start.end()
        collector.end()


_LOOK_MS = 500
"""How often the window looks whether there is garbage to collect."""


class Collector(QObject):
    """Garbage is collected in the main thread alone, from its event loop.

    Python collects in whichever thread happens to ask for memory. Where that is a worker and the garbage
    holds a widget, Qt takes the widget down in a thread that is not its own, which ends the process with a
    crash at some line that has nothing to do with it.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.look)
        self._timer.start(_LOOK_MS)

    def look(self) -> None:
        """Collect what is due, by Python's own thresholds; the oldest generation that is due."""
        due = [
            at for at, (have, most) in enumerate(zip(gc.get_count(), gc.get_threshold(), strict=True)) if have > most
        ]
        if due:
            gc.collect(due[-1])

    def end(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.enable()


_TOUR_AFTER_MS = 400
"""The sample job is seen first, then the tour begins."""


class Start:
    """A start in two steps: the frame on screen, then what fills it and the file."""

    def __init__(self, shell: Shell, path: Path | None) -> None:
        self.shell, self._path = shell, path
        self._hook: CrashHook | None = None

    def soon(self) -> None:
        """Let the frame be painted first."""
        QTimer.singleShot(0, self.furnish)

    def furnish(self) -> None:
        """Fill the frame, stand ready for a crash, open the file."""
        main = self.shell.furnish()
        self._hook = CrashHook(main.files)
        self._hook.install()
        main.files.start_with(self._path)
        first = self._path is None and not main.settings.value.recent
        if first and not main.settings.value.tour_seen:
            QTimer.singleShot(_TOUR_AFTER_MS, self._tour)

    def _tour(self) -> None:
        if self.shell.main is not None and self.shell.isVisible():
            self.shell.main.acts.do("tour")

    def end(self) -> None:
        """Put back what was there before."""
        if self._hook is not None:
            self._hook.remove()


def application() -> QApplication:
    """The one application, with the house's type."""
    found = QApplication.instance()
    app = found if isinstance(found, QApplication) else QApplication(sys.argv[:1])
    app.setApplicationName("takeoff")
    app.setApplicationDisplayName("Takeoff")
    app.setStyle("Fusion")
    app.setFont(themes.font())
    return app
