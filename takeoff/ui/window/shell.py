"""The frame that stands on screen at once. What fills it is loaded after its first paint."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow

from takeoff.ui import themes
from takeoff.ui.settings import Settings

if TYPE_CHECKING:
    from takeoff.ui.window.main_window import MainWindow

USUAL_SIZE = QSize(1366, 768)
SMALLEST = QSize(800, 600)


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
        self.resize(wish.boundedTo(screen.expandedTo(SMALLEST)))
        if kept.maximised:
            self.setWindowState(self.windowState() | Qt.WindowState.WindowMaximized)
