"""The page of what is to settle: a click goes to the place, and most of it is settled from the list."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.findings import told_before
from takeoff.language import tr
from takeoff.plan.model import Settled
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.settle_page import OPEN, SettlePage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.settling import Row


class Going(QObject):
    """Goes to the place of a row, and from one row to the next."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space = space

    def make_page(self) -> QWidget:
        """The page, made when it is first shown."""
        page = SettlePage(self._space.document)
        page.picked.connect(self.go)
        return page

    def go(self, row: Row) -> None:
        """Choose what a row speaks of and show it; the page stays."""
        space = self._space
        refs = [
            Ref("opening", value.thing, value.room) if value.thing != value.room else Ref("room", value.room)
            for value in row.values
            if value.thing
        ]
        refs += [Ref("opening", name, room) for name, room in row.members]
        here = space.document.storey
        if row.where.storey and (here is None or here.id != row.where.storey):
            space.document.show_storey(row.where.storey)
        if refs:
            page = space.pages.current
            space.document.choose(tuple(refs))
            space.pages.show_page(page)
            space.plan.zoom_to_chosen()
        else:
            first = (
                row.findings[0]
                if row.findings
                else told_before(Settled(code="settled", text=row.text, where=row.where), "note")
            )
            space.go_to(first)
            if first.code == "outside-as-drawn":
                space.acts.do("ask-outline")

    def next(self) -> None:
        """Bring up the page and go to the first row that is still open."""
        self._space.show_step("settle")
        page = self._space.pages.page("settle")
        if isinstance(page, SettlePage):
            # whatever group was shown last
            page.show_filter(OPEN)
            first = next(iter(page.widgets()), None)
            if first is not None:
                self.go(first.row)
                first.setFocus()


def add(space: Workspace) -> None:
    """The page in place of the plain list, and an action that goes to what comes next."""
    going = Going(space)
    space.pages.register("settle", going.make_page)
    space.acts.add(
        (
            Action(
                "settle-next",
                "View",
                tr("Go to the first thing to fix or check"),
                going.next,
                ("F8",),
                lambda: bool(space.document.findings),
                group=2,
            ),
        )
    )
