"""The sheets in the window: looked at before they are written, written into a folder, printed."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from PySide6.QtCore import QObject, QTimer, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QWidget

from takeoff.errors import Finding, TakeoffError
from takeoff.files.atomic import write_bytes
from takeoff.services.preview import PagePicture, Sheets, page_picture, sheets_of
from takeoff.services.writing import Page
from takeoff.sheets.model import Audience
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.panels.preview_panel import PreviewPanel
from takeoff.ui.panels.sheets_page import READERS, SheetsPage
from takeoff.ui.window.printing import Printing, image_of, set_up
from takeoff.views.board import State, measured_of

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow

PAGE = "sheets"
QUIET_MS = 250
"""Quiet time after an edit before the sheets that are shown are made anew."""


def add(window: MainWindow) -> None:
    """Give the window its sheets."""
    SheetsPart(window)


class SheetsPart(QObject):
    """Keeps the preview, its page at the right, and what is done with the sheets together."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setObjectName("sheets")
        self._window, self._document = window, window.document
        self.panel = PreviewPanel(window.theme)
        self.panel.hide()
        window.column.addWidget(self.panel, 1)
        self.sheets: Sheets | None = None
        self._asked = 0
        self._printing: Printing | None = None
        self._page: SheetsPage | None = None
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(QUIET_MS)
        self._quiet.timeout.connect(self.refresh)
        window.sides.register(PAGE, self._make_page)
        window.sides.shown.connect(self._page_shown)
        window.acts.add(self._rows())
        self.panel.view.wanted.connect(self._draw)
        self._document.opened.connect(self._later)
        self._document.changed.connect(self._changed)
        self._document.considered_changed.connect(self._later)

    def _rows(self) -> tuple[Action, ...]:
        def has_rooms() -> bool:
            return any(storey.rooms for storey in self._document.job.storeys)

        return (
            Action(
                PAGE,
                "File",
                "Look at the sheets",
                self.show,
                ("Ctrl+P",),
                has_rooms,
                group=2,
                tip="Client's scope and team's sheets, page by page, before they are written",
            ),
            Action(
                "write-sheets",
                "File",
                "Write the sheets…",
                self.write,
                ("Ctrl+Shift+W",),
                has_rooms,
                group=2,
                tip="Scope, materials and dimensions as PDF, XLSX and CSV",
            ),
            Action(
                "print-sheets",
                "File",
                "Print the sheets…",
                self.print,
                ("Ctrl+Alt+P",),
                has_rooms,
                group=2,
                tip="The sheets that are shown, at the scale that stands on them",
            ),
        )

    def _make_page(self) -> QWidget:
        page = self._page = SheetsPage(self._document)
        page.shown.connect(self.refresh)
        page.to_write.connect(self.write)
        page.to_print.connect(self.print)
        return page

    @property
    def page(self) -> SheetsPage:
        """The page at the right."""
        return cast(SheetsPage, self._window.sides.page(PAGE))

    @property
    def reader(self) -> Audience:
        """Whose sheets are shown."""
        return "team" if self.page.reader.currentData() == "team" else "client"

    @property
    def paper(self) -> Page:
        """The size of the pages."""
        return "A3" if self.page.paper.currentData() == "A3" else "A4"

    # -- looking

    def show(self) -> None:
        """Bring the sheets up in the place of the plan; any other page brings the plan back."""
        self._window.show_step(PAGE)
        self.panel.view.setFocus()

    def refresh(self) -> None:
        """Make the sheets anew beside the window, and show them when they come."""
        self._quiet.stop()
        if not self.panel.isVisibleTo(self._window):
            return
        self._asked += 1
        state, read = self._document.state, self._document.read_findings
        self.panel.say(dict(READERS)[self.reader], self.panel.wrong.text())
        work = partial(_made, state, read, self._source(), self.reader, self.paper)
        self._window.beside(work, partial(self._take, self._asked))

    def _take(self, asked: int, made: Sheets | str) -> None:
        if asked != self._asked:
            return
        self.sheets = made if isinstance(made, Sheets) else None
        self.panel.say(dict(READERS)[self.reader], made if isinstance(made, str) else "")
        self.panel.view.show_pages(self.sheets.sizes_pt if self.sheets else ())

    def _draw(self, number: int, width_px: int) -> None:
        if self.sheets is not None:
            self._window.beside(
                partial(page_picture, self.sheets.pdf, number, width_px), partial(self._drawn, self._asked)
            )

    def _drawn(self, asked: int, picture: PagePicture) -> None:
        if asked == self._asked:
            self.panel.view.take(picture.number, image_of(picture))

    # -- writing

    def write(self) -> None:
        """Ask for a folder and write everything into it."""
        folder = messages.current().folder(self._window, "Write the sheets into")
        if folder is None:
            return
        self._window.totals.say("Writing the sheets")
        state, read = self._document.state, self._document.read_findings
        self._beside(partial(_written, state, read, self._source(), folder, self.paper), self._tell)

    # -- printing

    def print(self) -> None:
        """Ask for a printer and print the sheets that are shown, or the client's where none are."""
        state, read = self._document.state, self._document.read_findings
        self._window.totals.say("Making the sheets")
        self._beside(partial(_made, state, read, self._source(), self.reader, self.paper), self._print)

    def _print(self, made: Sheets | str) -> None:
        self._window.totals.say("")
        if isinstance(made, str):
            self._tell(made)
            return
        try:
            from PySide6.QtPrintSupport import QPrinter
        except ImportError:
            self._open_elsewhere(made)
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(self._document.job.name or "Takeoff")
        set_up(printer, made)
        if not messages.current().printer(self._window, printer):
            return
        self._printing = Printing(printer, made, self._beside, self)
        self._printing.progress.connect(self._window.totals.say)
        self._printing.done.connect(self._printed)
        self._printing.start()

    def _printed(self, words: str) -> None:
        self._window.totals.say(words)
        if self._printing is not None:
            self._printing.deleteLater()
            self._printing = None
        if "full size" not in words:
            self._tell(words)

    def _open_elsewhere(self, made: Sheets) -> None:
        """Where the system lacks what Qt prints with, its own viewer does it."""
        path = Path(tempfile.mkdtemp(prefix="takeoff-")) / f"{self.reader}.pdf"
        write_bytes(path, made.pdf)
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._tell(f"Nothing here can print: the sheets are in “{path}”, print them from there.")

    # -- listeners and small help

    def _page_shown(self, page_id: str) -> None:
        shows = page_id == PAGE
        if shows == self.panel.isVisibleTo(self._window):
            return
        self.panel.setVisible(shows)
        self._window.middle.setVisible(not shows)
        self._window.tool_row.setVisible(not shows)
        if shows:
            self.panel.view.set_theme(self._window.theme)
            self.refresh()
        elif self.panel.view.hasFocus():
            self._window.plan.view.setFocus()

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self._later()

    def _later(self) -> None:
        if self.panel.isVisibleTo(self._window):
            self._quiet.start()

    def _source(self) -> str:
        drawing = self._document.job.drawing
        return drawing.name if drawing else self._document.job.name

    def _beside(self, work: Callable[[], Any], then: Callable[[Any], None]) -> None:
        if self._window.files.in_order:
            then(work())
        else:
            self._window.beside(work, then)

    def _tell(self, sentence: str) -> None:
        self._window.totals.say("")
        messages.current().tell(self._window, sentence)


def _made(state: State, read: tuple[Finding, ...], source: str, reader: Audience, paper: Page) -> Sheets | str:
    """Beside the window: the sheets, or why there are none."""
    try:
        return sheets_of(measured_of(state, read, source), reader, paper)
    except TakeoffError as error:
        return str(error)


def _written(state: State, read: tuple[Finding, ...], source: str, folder: Path, paper: Page) -> str:
    """Beside the window: everything written, and what the user is told."""
    from takeoff.services.writing import document, write_everything

    try:
        measured = measured_of(state, read, source)
        written = write_everything(measured, document(measured), folder, paper)
    except TakeoffError as error:
        return str(error)
    return f"Written into “{folder}”: {', '.join(path.name for path in written[:2])} and {len(written) - 2} more."
