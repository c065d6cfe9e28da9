"""The sheets in the window, looked at before they are exported and printed."""

from __future__ import annotations

from functools import partial
from typing import cast, get_args

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.services.written.preview import PagePicture, Sheets, page_picture
from takeoff.services.written.writing import Page
from takeoff.sheets.sheet_values import PAPERS, Paper
from takeoff.ui.actions import Action
from takeoff.ui.panels.preview_panel import PreviewPanel
from takeoff.ui.panels.sheets_page import READERS, SheetsPage
from takeoff.ui.window.letterhead_part import LetterheadPart
from takeoff.ui.window.sheet_export import SheetExport
from takeoff.ui.window.sheet_printing import image_of
from takeoff.ui.window.sheets_to_print import SheetsToPrint
from takeoff.ui.window.sheets_wanted import SheetsWanted, made
from takeoff.ui.window.workspace import Workspace

PAGE = "sheets"
QUIET_MS = 250
"""Quiet time after an edit before the sheets that are shown are made anew."""


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
        self.export, self.printing = SheetExport(space, self.wanted), SheetsToPrint(space, self.wanted)
        self.export.exported.connect(self._exported)
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
                self.export.write,
                ("Ctrl+Shift+E",),
                self._space.has_rooms,
                group=2,
                tip=tr("Scope, materials and dimensions as PDF, XLSX and CSV"),
            ),
            Action(
                "print-sheets",
                "File",
                tr("Print…"),
                self.printing.print,
                ("Ctrl+P",),
                self._space.has_rooms,
                group=2,
                tip=tr("The sheets that are shown, at the scale printed on them"),
            ),
        )

    def _make_page(self) -> QWidget:
        page = self._page = SheetsPage(self._document)
        page.shown.connect(self.refresh)
        page.to_write.connect(self.export.write)
        page.to_write_one.connect(self.export.write_one)
        page.to_open.connect(self.export.open_exported)
        page.to_show_folder.connect(self.export.show_folder)
        page.to_print.connect(self.printing.print)
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

    def wanted(self) -> SheetsWanted:
        """Which sheets are asked for now."""
        document = self._document
        names = dict.fromkeys(ref.name for ref in document.job.drawings)
        source = ", ".join(names) or document.job.name
        return SheetsWanted(document.state, document.read_findings, source, self.reader, self.paper)

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
        self.panel.say(dict(READERS)[self.reader], self.panel.wrong.text())
        self._space.beside(partial(made, self.wanted()), partial(self._take, self._asked))

    def _take(self, asked: int, come: Sheets | str) -> None:
        if asked != self._asked:
            return
        self.sheets = come if isinstance(come, Sheets) else None
        self.panel.say(dict(READERS)[self.reader], come if isinstance(come, str) else "")
        self.panel.view.show_pages(self.sheets.sizes_pt if self.sheets else ())

    def _draw(self, number: int, width_px: int) -> None:
        if self.sheets is not None:
            self._space.beside(
                partial(page_picture, self.sheets.pdf, number, width_px), partial(self._drawn, self._asked)
            )

    def _drawn(self, asked: int, picture: PagePicture) -> None:
        if asked == self._asked:
            self.panel.view.take(picture.number, image_of(picture))

    # -- listeners

    def _exported(self) -> None:
        self.page.show_exported()

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
