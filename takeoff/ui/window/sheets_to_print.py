"""The sheets that are shown, given to a printer of the system, or to another program where Qt cannot print."""

from __future__ import annotations

import shutil
import weakref
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, QUrl
from PySide6.QtGui import QDesktopServices

from takeoff.files.atomic import make_folder, write_bytes
from takeoff.files.paths import state_folder
from takeoff.language import tr
from takeoff.services.written.preview import Sheets
from takeoff.ui import messages
from takeoff.ui.window.sheet_printing import Printing, set_up
from takeoff.ui.window.sheets_wanted import SheetsWanted, made
from takeoff.ui.window.workspace import Workspace

PRINTED_FROM = "printing"
"""The folder, among what the program keeps, from which another program prints; it goes with the window."""


class SheetsToPrint(QObject):
    """``wanted``: what is on the page now."""

    def __init__(self, space: Workspace, wanted: Callable[[], SheetsWanted]) -> None:
        super().__init__(space)
        self._space, self._wanted = space, wanted
        self._printing: Printing | None = None
        self._printed_from = state_folder() / PRINTED_FROM
        shutil.rmtree(self._printed_from, ignore_errors=True)  # what a killed window has left
        self.let_go = weakref.finalize(self, shutil.rmtree, self._printed_from, ignore_errors=True)

    def print(self) -> None:
        """Ask for a printer and print the sheets that are shown, or the client's where none are."""
        wanted = self._wanted()
        self._space.say(tr("Making the sheets"))
        self._space.run(partial(made, wanted), partial(self._print, wanted))

    def _print(self, wanted: SheetsWanted, sheets: Sheets | str) -> None:
        self._space.say("")
        if isinstance(sheets, str):
            self._space.tell(sheets)
            return
        try:
            from PySide6.QtPrintSupport import QPrinter
        except ImportError:
            self._open_elsewhere(wanted, sheets)
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(wanted.state.job.name or "Takeoff")
        set_up(printer, sheets)
        if not messages.current().printer(self._space.window, printer):
            return
        self._printing = Printing(printer, sheets, self._space.run, self)
        self._printing.progress.connect(self._space.say)
        self._printing.done.connect(self._printed)
        self._printing.start()

    def _printed(self, words: str) -> None:
        self._space.say(words)
        short = self._printing is not None and not self._printing.is_whole
        if self._printing is not None:
            self._printing.deleteLater()
            self._printing = None
        if short:
            self._tell(words)

    def _open_elsewhere(self, wanted: SheetsWanted, sheets: Sheets) -> None:
        """Where the system lacks what Qt prints with, its own viewer does it."""
        make_folder(self._printed_from)
        path = self._printed_from / f"{wanted.reader}.pdf"
        write_bytes(path, sheets.pdf)
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._tell(
                tr("Printing is not possible here. The sheets are in “{file}”: print them from there.", file=path)
            )

    def _tell(self, sentence: str) -> None:
        self._space.say("")
        self._space.tell(sentence)
