"""Who writes the papers, as asked on the sheets' page: the logo, and what is kept of the firm for new jobs."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.plan.model import Logo
from takeoff.services.written.firm import Firm, firm_of, keep_firm, logo_in
from takeoff.ui import messages
from takeoff.ui.panels.sheets_page import SheetsPage
from takeoff.ui.window.workspace import Workspace

LOGO_KINDS = mark("Pictures (*.png *.jpg *.jpeg *.tif *.tiff)")


class LetterheadPart(QObject):
    """The firm on the page of the sheets; it lives as long as the page."""

    def __init__(self, space: Workspace, page: SheetsPage) -> None:
        super().__init__(page)
        self._space, self._page = space, page

    def choose_logo(self) -> None:
        """Ask for a picture, and put a small copy of it on the papers."""
        path = messages.current().file_to_open(self._space.window, tr("Choose your logo"), tr(LOGO_KINDS))
        if path is not None:
            self._space.run(partial(_logo_of, path), self._logo_read)

    def _logo_read(self, logo: Logo | str) -> None:
        if isinstance(logo, str):
            self._tell(logo)
        else:
            self._page.set_logo(logo)

    def keep(self) -> None:
        """Keep what the job says of the firm, and of nobody else, for new jobs."""
        own = firm_of(self._space.document.job)
        try:
            keep_firm(own)
        except TakeoffError as error:
            self._tell(str(error))
            return
        said = tr("Nothing is kept: new jobs begin without a firm.") if own == Firm() else tr("Kept for new jobs.")
        self._space.say(said)

    def _tell(self, sentence: str) -> None:
        self._space.say("")
        self._space.tell(sentence)


def _logo_of(path: Path) -> Logo | str:
    """Beside the window: the logo in a file, or why there is none."""
    try:
        return logo_in(path)
    except TakeoffError as error:
        return str(error)
