"""A page that shows something of the job: registered, brought up by an action, and refreshed while it is seen."""

from __future__ import annotations

from typing import Generic, TypeVar

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.ui.actions import Action
from takeoff.ui.window.workspace import Workspace

P = TypeVar("P", bound=QWidget)


class KeptPage(QObject, Generic[P]):
    """Keeps a page and the job together. Subclasses make the page (``made``) and fill it (``fill``); ``refresh`` fills
    it whenever the job, its order or the page in view is another, and never while it is not seen."""

    def __init__(self, space: Workspace, name: str, page_id: str, words: str, tip: str) -> None:
        super().__init__(space)
        self.setObjectName(name)
        self._space, self._document, self._id = space, space.document, page_id
        self.page: P | None = None
        space.pages.register(page_id, self._make)
        space.acts.add((Action(page_id, "Site", words, self.show, (), group=8, tip=tip),))
        for told in (space.pages.shown, self._document.opened, self._document.changed):
            told.connect(self._listen)
        self._document.considered_changed.connect(self.refresh)

    def made(self) -> P:
        """The page, its signals connected."""
        raise NotImplementedError

    def fill(self, page: P) -> None:
        """Show the job on it."""
        raise NotImplementedError

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(self._id)
        self.refresh()

    def refresh(self) -> None:
        """Show the job as it stands, while the page is seen."""
        if self.page is not None and self._space.pages.current == self._id:
            self.fill(self.page)

    def _make(self) -> QWidget:
        self.page = page = self.made()
        self.refresh()
        return page

    def _listen(self, *_: object) -> None:
        self.refresh()
