"""Rooms estimated by length, width and height: their form, and what it puts into the job."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.plan.edits.lookup import new_room_id
from takeoff.ui.panels.budget_page import BudgetPage
from takeoff.ui.window.site_survey import back_to_plan, show_first_storey
from takeoff.ui.window.workspace import Workspace
from takeoff.views.site_said import BudgetSheet, put_budget

BUDGET = "budget"


class BudgetRooms(QObject):
    """Keeps the form and the job together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space, self._document = space, space.document
        space.pages.register(BUDGET, self._make_page)
        self._document.refused.connect(self._refused)

    def _make_page(self) -> QWidget:
        page = BudgetPage()
        page.put.connect(self._put)
        page.left.connect(self._close)
        return page

    @property
    def page(self) -> BudgetPage:
        """The page of budget rooms."""
        return cast(BudgetPage, self._space.pages.page(BUDGET))

    def begin(self) -> None:
        """Show the form of a budget room."""
        self._space.show_step(BUDGET)
        self.page.start()

    def _close(self) -> None:
        back_to_plan(self._space)

    def _put(self, sheet: BudgetSheet) -> None:
        room = new_room_id(self._document.job)
        storey = self._document.storey
        name = (
            tr("Add {room} as an estimate", room=sheet.name.strip())
            if sheet.name.strip()
            else tr("Add an estimate room")
        )
        edit = partial(put_budget, storey=str(storey.id) if storey else "", sheet=sheet, room_id=room)
        if self._document.apply(name, edit):
            show_first_storey(self._space)
            self.page.clear()
            self.page.start()
            self._space.plan.fit()
            self._space.say(
                tr("{room} is in the job, as an estimate", room=sheet.name.strip())
                if sheet.name.strip()
                else tr("The room is in the job, as an estimate")
            )

    def _refused(self, reason: str) -> None:
        if self._space.pages.current == BUDGET:
            self.page.say(reason)
