"""What comes after the order, in the window: sent states, deliveries, progress, changes, the account, the hand-over."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import mark, tr
from takeoff.ui.actions import Action
from takeoff.ui.panels.work_page import WorkPage
from takeoff.ui.window.work_pages.account_page import Account
from takeoff.ui.window.work_pages.changes_page import SiteChanges
from takeoff.ui.window.work_pages.deliveries_page import Deliveries
from takeoff.ui.window.work_pages.handover_page import HandOver
from takeoff.ui.window.work_pages.progress_page import Progress
from takeoff.ui.window.work_pages.sent_page import SentStates
from takeoff.ui.window.work_pages.work_desk import Desk, Subject, today
from takeoff.ui.window.workspace import Workspace
from takeoff.views.work_seen import for_page

PAGES: dict[str, tuple[str, str, Callable[[Desk], Subject]]] = {
    "work-states": (mark("Sent states…"), mark("What was sent, when and to whom"), SentStates),
    "work-supply": (mark("Deliveries…"), mark("What was bought, and what is still to buy"), Deliveries),
    "work-progress": (mark("Progress…"), mark("How far the rooms are; days on site"), Progress),
    "work-changes": (mark("Changes on site…"), mark("What is done otherwise than agreed"), SiteChanges),
    "work-account": (mark("Account…"), mark("Done, billed, due"), Account),
    "work-defects": (mark("Defects and hand-over…"), mark("What is not as it should be"), HandOver),
}


def add(space: Workspace) -> None:
    """Give the window the menu Work."""
    Work(space)


class Work(QObject):
    """Keeps the pages and the job together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("work")
        self._space, self._document = space, space.document
        self._desk = Desk(space)
        self._subjects = {key: subject(self._desk) for key, (_, _, subject) in PAGES.items()}
        self.pages: dict[str, WorkPage] = {}
        rows = []
        for key, (text, tip, _) in PAGES.items():
            space.pages.register(key, partial(self._make, key))
            rows.append(Action(key, "Work", tr(text), partial(self.show, key), (), tip=tr(tip)))
        tip = tr("What was coated and measured, and what to heed from now on")
        rows.append(Action("work-handover", "Work", tr("Hand-over sheet…"), self._handover, (), group=1, tip=tip))
        space.acts.add(tuple(rows))
        space.pages.shown.connect(self._listen)
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)
        self._document.considered_changed.connect(self.refresh)

    def show(self, key: str) -> None:
        """Bring a page up."""
        self._space.pages.show_page(key)
        self.refresh()

    def _make(self, key: str) -> QWidget:
        page = self.pages[key] = self._subjects[key].make_page()
        page.wanted.connect(partial(self._act, key))
        for field in page.chosen.values():
            field.picked.connect(self._listen)
        self.refresh()
        return page

    def _listen(self, *_: object) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Show what the job says on the page that is seen."""
        key = self._space.pages.current
        page = self.pages.get(key)
        if page is None:
            return
        try:
            page.show_tables([for_page(table) for table in self._subjects[key].shows(page)])
        except TakeoffError as error:
            page.show_tables((), str(error))

    def _act(self, key: str, what: str) -> None:
        """A button was pressed; what cannot be is said in the foot."""
        try:
            self._subjects[key].act(self.pages[key], what)
        except TakeoffError as error:
            self._document.refused.emit(str(error))
        self.refresh()

    def _handover(self) -> None:
        """The hand-over sheet of today, from the menu."""
        try:
            HandOver(self._desk).write(today())
        except TakeoffError as error:
            self._document.refused.emit(str(error))
