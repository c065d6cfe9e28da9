"""Rooms without a drawing: keyed from site readings, set for a budget, set together; the blank form."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.model import SetTogether
from takeoff.plan.readings import set_together
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.panels.site_pages import SitePage
from takeoff.ui.panels.together_page import TogetherPage
from takeoff.ui.window.budget_rooms import BudgetRooms
from takeoff.ui.window.site_survey import SITE, SiteSurvey
from takeoff.ui.window.workspace import Workspace
from takeoff.views.site_joins import rooms_to_join

TOGETHER = "together"


def add(space: Workspace) -> None:
    """Give the window all that is done without a drawing."""
    SitePart(space)


class SitePart(QObject):
    """Leads to the survey and the form of a budget room; keeps the pages of all rooms from site and of those that are
    set together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("site")
        self._space, self._document = space, space.document
        self.survey, self.budget = SiteSurvey(space), BudgetRooms(space)
        space.pages.register(SITE, self._make_site)
        space.pages.register(TOGETHER, self._make_together)
        space.stays.update({(SITE, "room"), (TOGETHER, "room")})
        space.pages.shown.connect(self._page_shown)
        space.acts.add(self._rows())

    def _rows(self) -> tuple[Action, ...]:
        def several() -> bool:
            return len(rooms_to_join(self._document.storey)) > 1

        return (
            Action(
                "site-room",
                "Site",
                tr("New room from site measurements"),
                self.survey.new_room,
                ("Ctrl+R",),
                tip=tr("Key sides, openings, heights and diagonals as measured on site"),
            ),
            Action(
                "site-anew",
                "Site",
                tr("Change the measurements of this room"),
                self.survey.change_room,
                ("Ctrl+Shift+R",),
                lambda: bool(self.survey.chosen()),
                tip=tr("Its outline is worked out again; name, coats and openings stay"),
            ),
            Action(
                "budget-room",
                "Site",
                tr("Estimate room (L × W × H)"),
                self.budget.begin,
                ("Ctrl+B",),
                tip=tr("Length × width × height and a list of openings"),
                group=1,
            ),
            Action(
                "set-together",
                "Site",
                tr("Assemble surveyed rooms"),
                partial(self._space.show_step, TOGETHER),
                ("Ctrl+J",),
                several,
                tip=tr("Through the doors and walls that they share"),
                group=1,
            ),
            Action(
                "site-rooms", "Site", tr("Rooms from site"), partial(self._space.show_step, SITE), ("Ctrl+7",), group=2
            ),
            Action(
                "site-form",
                "Site",
                tr("Blank form to print…"),
                self.write_form,
                group=2,
                tip=tr("To fill in on site, in the order in which it is keyed"),
            ),
        )

    def _make_site(self) -> QWidget:
        page = SitePage(self._document)
        page.wanted.connect(self._space.acts.do)
        page.picked.connect(self._space.choose_ref)
        return page

    def _make_together(self) -> QWidget:
        page = TogetherPage(self._document, self._space.theme)
        page.put.connect(self._set_together)
        return page

    def write_form(self) -> None:
        """Ask where the blank form goes, and write it."""
        path = messages.current().file_to_save(
            self._space.window, tr("Blank form for a room survey"), "PDF (*.pdf)", "site-form.pdf"
        )
        if path is None:
            return
        from takeoff.services.written.writing import write_form

        try:
            write_form(path)
        except TakeoffError as error:
            self._space.tell(str(error))
        else:
            self._space.say(tr("Written: {file}", file=path))

    def _set_together(self, joined: SetTogether) -> None:
        storey = self._document.storey
        if storey is not None:
            name = tr("Assemble surveyed rooms") if joined.joins else tr("Take rooms apart")
            if self._document.apply(name, lambda job: set_together(job, storey.id, joined)):
                self._space.plan.fit()

    def _page_shown(self, page_id: str) -> None:
        if page_id == TOGETHER:
            for sketch in cast(TogetherPage, self._space.pages.page(TOGETHER)).sketches:
                sketch.set_theme(self._space.theme)
