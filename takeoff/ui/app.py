"""Starts the window: ``run`` is what the command calls. The empty frame stands on screen at once; what fills it is
loaded after its first paint.
"""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QIcon
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow

from takeoff.files.paths import resource
from takeoff.ui import languages, themes
from takeoff.ui.crash import CrashHook
from takeoff.ui.settings import Settings, usual_path

if TYPE_CHECKING:
    from takeoff.ui.window.main_window import MainWindow


def run(path: Path | None = None) -> int:
    """Open the window, with a file, or with the sample job on a first start. Returns the exit code."""
    app = application()
    settings = Settings(usual_path())
    languages.speak(app, settings.value)
    collector = Collector(app)
    start = Start(Shell(settings), path)
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


USUAL_SIZE = QSize(1366, 768)
TITLE_BAR_PX = 40
"""What the title bar takes of the screen's height, at most."""


class Shell(QMainWindow):
    """Knows the theme and the size, and nothing of jobs; ``furnish`` puts the main window into it."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self._settings = settings
        self.main: MainWindow | None = None
        theme = themes.load(settings.value.theme)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.setPalette(themes.qt_palette(theme))
        self.setStyleSheet(f"QMainWindow {{ background: {theme.colours['paper']}; }}")
        waiting = QLabel("Takeoff")
        waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        waiting.setFont(themes.font(themes.TITLE_PX, "light"))
        self.setCentralWidget(waiting)
        self.setWindowTitle("Takeoff")
        self._usual_size()

    def furnish(self) -> MainWindow:
        """Load what a job needs and put the main window into the frame."""
        from takeoff.ui.window.main_window import MainWindow

        self.main = MainWindow(self._settings)
        self.setCentralWidget(self.main)
        self.main.retitle()
        self.main.plan.view.setFocus()
        return self.main

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Close only if what is in the frame does."""
        if self.main is not None and not self.main.close():
            event.ignore()
        else:
            event.accept()

    def _usual_size(self) -> None:
        kept = self._settings.value
        screen = self.screen().availableGeometry().size()
        wish = QSize(kept.width, kept.height) if kept.width and kept.height else USUAL_SIZE
        size, fills = first_size(screen, wish)
        self.resize(size)
        if kept.maximised or fills:
            self.setWindowState(self.windowState() | Qt.WindowState.WindowMaximized)


def first_size(screen: QSize, wish: QSize) -> tuple[QSize, bool]:
    """(the size of the window without its frame, whether it fills the screen): as wished where that fits with the
    title bar, else all of the screen, as on small ones."""
    room = QSize(screen.width(), screen.height() - TITLE_BAR_PX)
    fills = wish.width() >= room.width() or wish.height() > room.height()
    return wish.boundedTo(room), fills


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
    app.setWindowIcon(QIcon(str(resource("icons/takeoff.svg"))))
    return app
