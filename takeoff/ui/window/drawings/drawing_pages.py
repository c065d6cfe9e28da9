"""The pages of the PDF that a drawing is of: shown small, and another one read."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.services.opened.opening import Answers, Thumbnail, thumbnails
from takeoff.ui import messages
from takeoff.ui.panels.drawing_page import PagesSection
from takeoff.ui.window.drawings.known_drawings import KnownDrawings
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks

PAGE_ANSWERS = (("add", mark("Add it as a storey")), ("instead", mark("Open it instead")), ("stay", mark("Neither")))


class DrawingPages(QObject):
    """Keeps its section of the Drawing page. ``add`` adds a page of a file to the job, as a storey more."""

    def __init__(self, space: Workspace, known: KnownDrawings, add: Callable[[Path, int], None]) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        self._known, self._add = known, add
        self._section: PagesSection | None = None
        self._thumbnails: tuple[Path, tuple[Thumbnail, ...]] | None = None

    def take_section(self, section: PagesSection) -> None:
        """Its part of the page was made."""
        self._section = section
        section.chosen.connect(self.read)

    def read(self, page: int) -> None:
        """Read another page of the PDF, in place of this one or as a storey more."""
        opened = self._known.here.opened
        answer = "instead"
        if opened is not None and self._document.job.has_rooms:
            answer = messages.current().ask(
                self._space.window, tr("What is page {page} for?", page=page), messages.in_words(PAGE_ANSWERS)
            )
        if opened is not None and answer == "add":
            self._add(opened.path, page)
        elif opened is not None and answer == "instead" and self._space.files.may_leave():
            self._space.files.open_with(opened.path, Answers(page=page))
        self.show()

    def show(self) -> None:
        """Show which page is read, and all of them where there are several."""
        section, drawing, opened = self._section, self._document.drawing, self._known.here.opened
        if section is None:
            return
        count = drawing_asks.pages_of(drawing) if drawing is not None else 0
        ref = self._document.ref
        at = (ref.page or 1) if ref is not None else 1
        if count < 2 or opened is None or opened.kind != "drawing":
            section.show_pages(at, 0)
            return
        section.show_pages(at, count)
        path = opened.path
        if self._thumbnails is not None and self._thumbnails[0] == path:
            section.show_thumbnails(self._thumbnails[1], at)
        else:
            self._space.run(partial(_pages, path), partial(self._come, path, at))

    def _come(self, path: Path, at: int, shown: tuple[Thumbnail, ...]) -> None:
        self._thumbnails = path, shown
        now = self._known.here.opened
        if self._section is not None and now is not None and now.path == path:
            self._section.show_thumbnails(shown, at)


def _pages(path: Path) -> tuple[Thumbnail, ...]:
    try:
        return thumbnails(path, 1, _silent)
    except TakeoffError:
        return ()  # reading the page that is shown has said what is wrong with the file


def _silent(part: float, text: str) -> None:
    del part, text
