"""The sheets in the window: looked at before they are written, written into a folder, printed."""

from __future__ import annotations

import shutil
import weakref
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, cast, get_args

from PySide6.QtCore import QObject, QTimer, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QWidget

from takeoff.errors import Finding, TakeoffError
from takeoff.files.atomic import make_folder, write_bytes
from takeoff.files.paths import state_folder
from takeoff.language import listed, tr
from takeoff.services.preview import PagePicture, Sheets, page_picture, sheets_of
from takeoff.services.sheet_folder import refuse_another_jobs, write_parts
from takeoff.services.writing import Page
from takeoff.sheets.sheet_values import PAPERS, Paper
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.panels.preview_panel import PreviewPanel
from takeoff.ui.panels.sheets_page import READERS, SheetsPage
from takeoff.ui.window.letterhead_part import LetterheadPart
from takeoff.ui.window.sheet_printing import Printing, image_of, set_up
from takeoff.ui.window.workspace import Workspace
from takeoff.views.board import State, measured_of

if TYPE_CHECKING:
    pass

PAGE = "sheets"
QUIET_MS = 250
"""Quiet time after an edit before the sheets that are shown are made anew."""


PRINTED_FROM = "printing"
"""The folder, among what the program keeps, from which another program prints; it goes with the window."""


def add(space: Workspace) -> None:
    """Give the window its sheets."""
    SheetsPart(space)


class SheetsPart(QObject):
    """Keeps the preview, its page at the right, and what is done with the sheets together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("sheets")
        self._space, self._document = space, space.document
        self.panel = PreviewPanel(space.theme)
        self.panel.hide()
        space.frame.column.addWidget(self.panel, 1)
        self.sheets: Sheets | None = None
        self._asked = 0
        self._printing: Printing | None = None
        self._exported: Path | None = None
        """What was exported last, the first file of it."""
        self._printed_from = state_folder() / PRINTED_FROM
        shutil.rmtree(self._printed_from, ignore_errors=True)  # what a killed window has left
        self.let_go = weakref.finalize(self, shutil.rmtree, self._printed_from, ignore_errors=True)
        self._page: SheetsPage | None = None
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(QUIET_MS)
        self._quiet.timeout.connect(self.refresh)
        space.pages.register(PAGE, self._make_page)
        space.pages.shown.connect(self._page_shown)
        space.acts.add(self._rows())
        self.panel.view.wanted.connect(self._draw)
        self._document.opened.connect(self._later)
        self._document.changed.connect(self._changed)
        self._document.considered_changed.connect(self._later)

    def _rows(self) -> tuple[Action, ...]:
        return (
            Action(
                PAGE,
                "File",
                tr("Preview sheets"),
                self.show,
                ("Ctrl+E",),
                self._space.has_rooms,
                group=2,
                tip=tr("Client scope and site sheets, page by page, before they are exported"),
            ),
            Action(
                "write-sheets",
                "File",
                tr("Export sheets…"),
                self.write,
                ("Ctrl+Shift+E",),
                self._space.has_rooms,
                group=2,
                tip=tr("Scope, materials and dimensions as PDF, XLSX and CSV"),
            ),
            Action(
                "print-sheets",
                "File",
                tr("Print…"),
                self.print,
                ("Ctrl+P",),
                self._space.has_rooms,
                group=2,
                tip=tr("The sheets that are shown, at the scale printed on them"),
            ),
        )

    def _make_page(self) -> QWidget:
        page = self._page = SheetsPage(self._document)
        page.shown.connect(self.refresh)
        page.to_write.connect(self.write)
        page.to_write_one.connect(self.write_one)
        page.to_open.connect(self._open_exported)
        page.to_show_folder.connect(self._show_folder)
        page.to_print.connect(self.print)
        letterhead = LetterheadPart(self._space, page)
        page.logo.to_choose.connect(letterhead.choose_logo)
        page.logo.to_keep.connect(letterhead.keep)
        return page

    @property
    def page(self) -> SheetsPage:
        """The page at the right."""
        return cast(SheetsPage, self._space.pages.page(PAGE))

    @property
    def reader(self) -> Paper:
        """Which paper is shown."""
        chosen = self.page.reader.currentData()
        return next((paper for paper in PAPERS if paper == chosen), "scope")

    @property
    def paper(self) -> Page:
        """The size of the pages."""
        chosen = self.page.paper.currentData()
        return next((page for page in get_args(Page) if page == chosen), "A4")

    # -- looking

    def show(self) -> None:
        """Bring the sheets up in the place of the plan; any other page brings the plan back."""
        self._space.show_step(PAGE)
        self.panel.view.setFocus()

    def refresh(self) -> None:
        """Make the sheets anew beside the window, and show them when they come."""
        self._quiet.stop()
        if not self.panel.isVisibleTo(self._space.window):
            return
        self._asked += 1
        state, read = self._document.state, self._document.read_findings
        self.panel.say(dict(READERS)[self.reader], self.panel.wrong.text())
        work = partial(_made, state, read, self._source(), self.reader, self.paper)
        self._space.beside(work, partial(self._take, self._asked))

    def _take(self, asked: int, made: Sheets | str) -> None:
        if asked != self._asked:
            return
        self.sheets = made if isinstance(made, Sheets) else None
        self.panel.say(dict(READERS)[self.reader], made if isinstance(made, str) else "")
        self.panel.view.show_pages(self.sheets.sizes_pt if self.sheets else ())

    def _draw(self, number: int, width_px: int) -> None:
        if self.sheets is not None:
            self._space.beside(
                partial(page_picture, self.sheets.pdf, number, width_px), partial(self._drawn, self._asked)
            )

    def _drawn(self, asked: int, picture: PagePicture) -> None:
        if asked == self._asked:
            self.panel.view.take(picture.number, image_of(picture))

    # -- writing

    def write(self) -> None:
        """Ask for a folder and write everything into it."""
        folder = messages.current().folder(self._space.window, tr("Export sheets to"))
        if folder is None:
            return
        self._space.say(tr("Exporting the sheets"))
        state, read = self._document.state, self._document.read_findings
        self._space.run(partial(_written, state, read, self._source(), folder, self.paper), self._exported_told)

    def write_one(self) -> None:
        """Ask for a folder and write the paper that is shown into it, by itself."""
        folder = messages.current().folder(self._space.window, tr("Export this sheet to"))
        if folder is None:
            return
        self._space.say(tr("Exporting the sheets"))
        state, read = self._document.state, self._document.read_findings
        work = partial(_written, state, read, self._source(), folder, self.paper, self.reader)
        self._space.run(work, self._exported_told)

    def _exported_told(self, done: Exported) -> None:
        self._tell(done.sentence)
        if done.first is not None:
            self._exported = done.first
            self.page.show_exported()

    def _open_exported(self) -> None:
        if self._exported is not None:
            self._shown_elsewhere(self._exported)

    def _show_folder(self) -> None:
        if self._exported is not None:
            self._shown_elsewhere(self._exported.parent)

    def _shown_elsewhere(self, path: Path) -> None:
        """Let the system show a file or a folder; say where it is where it cannot."""
        if not path.exists():
            self._tell(tr("“{file}” is no longer there: export the sheets again.", file=path))
        elif not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._tell(tr("Nothing here can open it. It is in “{file}”.", file=path))

    # -- printing

    def print(self) -> None:
        """Ask for a printer and print the sheets that are shown, or the client's where none are."""
        state, read = self._document.state, self._document.read_findings
        self._space.say(tr("Making the sheets"))
        self._space.run(partial(_made, state, read, self._source(), self.reader, self.paper), self._print)

    def _print(self, made: Sheets | str) -> None:
        self._space.say("")
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
        if not messages.current().printer(self._space.window, printer):
            return
        self._printing = Printing(printer, made, self._space.run, self)
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

    def _open_elsewhere(self, made: Sheets) -> None:
        """Where the system lacks what Qt prints with, its own viewer does it."""
        make_folder(self._printed_from)
        path = self._printed_from / f"{self.reader}.pdf"
        write_bytes(path, made.pdf)
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._tell(
                tr("Printing is not possible here. The sheets are in “{file}”: print them from there.", file=path)
            )

    # -- listeners and small help

    def _page_shown(self, page_id: str) -> None:
        shows = page_id == PAGE
        if shows == self.panel.isVisibleTo(self._space.window):
            return
        self._space.frame.show_instead(self.panel, shows)
        if shows:
            self.panel.view.set_theme(self._space.theme)
            self.refresh()
        elif self.panel.view.hasFocus():
            self._space.plan.view.setFocus()

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self._later()

    def _later(self) -> None:
        if self.panel.isVisibleTo(self._space.window):
            self._quiet.start()

    def _source(self) -> str:
        names = dict.fromkeys(ref.name for ref in self._document.job.drawings)
        return ", ".join(names) or self._document.job.name

    def _tell(self, sentence: str) -> None:
        self._space.say("")
        self._space.tell(sentence)


def _made(state: State, read: tuple[Finding, ...], source: str, reader: Paper, paper: Page) -> Sheets | str:
    """Beside the window: the sheets, or why there are none."""
    try:
        return sheets_of(measured_of(state, read, source), reader, paper)
    except TakeoffError as error:
        return str(error)


class Exported(NamedTuple):
    """What the user is told, and the first of the files; None where nothing was written."""

    sentence: str
    first: Path | None = None


def _written(
    state: State, read: tuple[Finding, ...], source: str, folder: Path, paper: Page, only: Paper | None = None
) -> Exported:
    """Beside the window: everything written, or only one of the papers, and what the user is told."""
    from takeoff.services.writing import document, letters_lacking, write_everything

    try:
        measured = measured_of(state, read, source)
        sheets = document(measured)
        refuse_another_jobs(folder, measured.job)
        if only is None:
            written = write_everything(measured, sheets, folder, paper, draft=measured.has_errors)
        else:
            written = write_parts(measured, sheets, folder, (only,), paper, draft=measured.has_errors)
    except TakeoffError as error:
        return Exported(str(error))
    more = [tr("{count} more", count=len(written) - 2)] if len(written) > 2 else []
    files = listed([*(path.name for path in written[:2]), *more])
    if measured.has_errors:
        said = tr("Exported as a draft to “{folder}”: {files}.", folder=folder, files=files)
    else:
        said = tr("Exported to “{folder}”: {files}.", folder=folder, files=files)
    return Exported(f"{said} {letters_lacking(sheets)}".rstrip(), written[0])
