"""Opening any drawing: what it leaves open is asked, its layers are sorted, pictures are traced, and what
was proposed is stepped through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QBoxLayout, QPushButton, QWidget

from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.proposals_page import ProposalsPage
from takeoff.ui.window.reading import Reading
from takeoff.ui.window.tracing import Tracing
from takeoff.views.drawing_asks import Proposal, counts

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow

PAGE = "proposals"
_AROUND = 0.4
"""An opening is shown with the walls and rooms around it."""


def add(window: MainWindow) -> None:
    """Give the window its Drawing page, its picture and its page of proposals."""
    Importing(window)


class Importing(QObject):
    """Makes the pages and leads from one to the other."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setObjectName("importing")
        self._window = window
        self.reading, self.tracing = Reading(window), Tracing(window)
        self._links: dict[str, QPushButton] = {}
        window.sides.register("drawing", self._drawing_page)
        window.sides.register(PAGE, self._proposals_page)
        window.sides.shown.connect(self._link)
        window.document.opened.connect(self._count)
        window.document.changed.connect(self._changed)
        window.acts.add(self._rows())

    def _rows(self) -> tuple[Action, ...]:
        stepping = self._stepping
        return (
            Action(
                "check-proposals",
                "View",
                "Step through what is to check",
                self.begin,
                ("F7",),
                self._any,
                group=2,
                tip="Every room and opening that is not sure, one by one on the plan",
            ),
            Action("proposal-next", "View", "Next proposal", self._next, ("F9",), stepping, group=2),
            Action("proposal-before", "View", "Proposal before", self._previous, ("Shift+F9",), stepping, group=2),
            Action("proposal-right", "Edit", "Proposal is right", self._accept, ("Ctrl+Return",), stepping, group=3),
            Action(
                "proposal-none",
                "Edit",
                "Proposal is no room, no opening",
                self._reject,
                ("Ctrl+Backspace",),
                stepping,
                group=3,
            ),
        )

    def _drawing_page(self) -> QWidget:
        page = self.reading.make_page()
        self.tracing.take_section(page.picture)
        return page

    # -- proposals

    def _proposals_page(self) -> QWidget:
        page = ProposalsPage(self._window.document)
        page.shown.connect(self._show)
        return page

    def begin(self) -> None:
        """Bring the page up with the first that is open."""
        self._window.sides.show_page(PAGE)
        self._page().begin()

    def _page(self) -> ProposalsPage:
        page = self._window.sides.page(PAGE)
        assert isinstance(page, ProposalsPage)
        return page

    def _show(self, proposal: Proposal | None) -> None:
        """Choose what is proposed, on its storey, and zoom to it; the page stays."""
        window = self._window
        if proposal is None:
            window.document.choose(())
            window.plan.fit()
            return
        window.document.show_storey(proposal.storey)
        room = "" if proposal.kind == "room" else proposal.room
        window.document.choose((Ref(proposal.kind, proposal.id, room),))
        window.sides.show_page(PAGE)
        window.plan.zoom_to_chosen()
        if proposal.kind != "room":
            window.plan.view.zoom(_AROUND)

    def _next(self) -> None:
        self._page().next()

    def _previous(self) -> None:
        self._page().previous()

    def _accept(self) -> None:
        self._page().accept()

    def _reject(self) -> None:
        self._page().reject()

    def _any(self) -> bool:
        return any(counts(self._window.document.job))

    def _stepping(self) -> bool:
        return self._window.sides.current == PAGE

    # -- the ways there

    def _link(self, page_id: str) -> None:
        """The pages of rooms and openings lead to their proposals."""
        self._window.acts.refresh()
        if page_id not in ("rooms", "openings") or page_id in self._links:
            return
        layout = self._window.sides.page(page_id).layout()
        if isinstance(layout, QBoxLayout):
            button = QPushButton("")
            button.setToolTip("One by one, on the plan, with what speaks for and against it (F7)")
            button.clicked.connect(self.begin)
            layout.insertWidget(1, button)
            self._links[page_id] = button
            self._count()

    def _count(self) -> None:
        rooms, ways = counts(self._window.document.job)
        for page_id, button in self._links.items():
            number = rooms if page_id == "rooms" else ways
            what = "room" if page_id == "rooms" else "opening"
            button.setText(f"Step through {number} {what}{'' if number == 1 else 's'} to check")
            button.setVisible(number > 0)

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self._count()
