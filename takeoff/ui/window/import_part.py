"""Opening any drawing: what it leaves open is asked, its layers are sorted, pictures are traced, and what
was proposed is stepped through."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QBoxLayout, QPushButton, QWidget

from takeoff.language import tr, tr_count
from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.proposals_page import ProposalsPage
from takeoff.ui.window.drawings.drawing_reading import Reading
from takeoff.ui.window.drawings.picture_tracing import Tracing
from takeoff.ui.window.workspace import Workspace
from takeoff.views.drawing_asks import Proposal, counts
from takeoff.views.figure_places import Traced

PAGE = "proposals"
_AROUND = 0.4
"""An opening is shown with the walls and rooms around it."""


def add(space: Workspace) -> None:
    """Give the window its Drawing page, its picture and its page of proposals."""
    Importing(space)


class Importing(QObject):
    """Makes the pages and leads from one to the other."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("importing")
        self._space = space
        self.reading, self.tracing = Reading(space), Tracing(space)
        self._links: dict[str, QPushButton] = {}
        self._group_lit = False
        space.pages.register("drawing", self._drawing_page)
        space.pages.register(PAGE, self._proposals_page)
        space.pages.shown.connect(self._link)
        space.document.opened.connect(self._count)
        space.document.changed.connect(self._changed)
        space.acts.add(self._rows())

    def _rows(self) -> tuple[Action, ...]:
        stepping = self._stepping
        return (
            Action(
                "add-drawing",
                "File",
                tr("Add a drawing as a storey…"),
                self.reading.adding.ask,
                ("Ctrl+Shift+O",),
                self._space.has_rooms,
                group=0,
                tip=tr("Another drawing of the same building: its storeys come into this job, laid over the others"),
            ),
            Action(
                "check-proposals",
                "View",
                tr("Step through rooms and openings to check"),
                self.begin,
                ("Shift+F8",),
                self._any,
                group=2,
                tip=tr("Every uncertain room and opening, one by one on the plan"),
            ),
            Action("proposal-next", "View", tr("Next to check"), self._next, ("F9",), stepping, group=2),
            Action(
                "proposal-before", "View", tr("Previous to check"), self._previous, ("Shift+F9",), stepping, group=2
            ),
            Action("proposal-right", "Edit", tr("Accept"), self._accept, ("Ctrl+Return",), stepping, group=3),
            Action("proposal-none", "Edit", tr("Reject"), self._reject, ("Ctrl+Backspace",), stepping, group=3),
        )

    def _drawing_page(self) -> QWidget:
        page = self.reading.make_page()
        self.tracing.take_section(page.picture)
        return page

    # -- proposals

    def _proposals_page(self) -> QWidget:
        page = ProposalsPage(self._space.document)
        page.shown.connect(self._show)
        return page

    def begin(self) -> None:
        """Bring the page up with the first that is open."""
        self._space.pages.show_page(PAGE)
        self._page().begin()

    def _page(self) -> ProposalsPage:
        page = self._space.pages.page(PAGE)
        assert isinstance(page, ProposalsPage)
        return page

    def _show(self, proposal: Proposal | None) -> None:
        """Choose what is proposed, on its storey, and zoom to it; the page stays."""
        space = self._space
        if proposal is None:
            space.document.choose(())
            space.plan.light(Traced())
            space.plan.fit()
            return
        space.document.show_storey(proposal.storey)
        whole = proposal.kind == "room"
        space.document.choose(tuple(Ref(proposal.kind, name, "" if whole else room) for name, room in proposal.members))
        space.pages.show_page(PAGE)
        # the card came up for a moment and took the keys
        self._page().setFocus()
        if proposal.group:
            # a group is looked for over the whole plan
            space.plan.fit()
            space.plan.light(Traced(sought=tuple(name for name, _ in proposal.group)))
            self._group_lit = True
            return
        space.plan.light(Traced())
        space.plan.zoom_to_chosen()
        if proposal.kind != "room":
            space.plan.view.zoom(_AROUND)

    def _next(self) -> None:
        self._page().next()

    def _previous(self) -> None:
        self._page().previous()

    def _accept(self) -> None:
        self._page().accept()

    def _reject(self) -> None:
        self._page().reject()

    def _any(self) -> bool:
        return any(counts(self._space.document.job))

    def _stepping(self) -> bool:
        return self._space.pages.current == PAGE

    # -- the ways there

    def _link(self, page_id: str) -> None:
        """The pages of rooms and openings lead to their proposals; what they lit goes out with them."""
        if page_id != PAGE and self._group_lit:
            self._group_lit = False
            self._space.plan.light(Traced())
        self._space.acts.refresh()
        if page_id not in ("rooms", "openings") or page_id in self._links:
            return
        layout = self._space.pages.page(page_id).layout()
        if isinstance(layout, QBoxLayout):
            button = QPushButton("")
            button.setToolTip(
                tr(
                    "One by one, on the plan, with what speaks for and against it ({key})",
                    key=self._space.acts.q("check-proposals").shortcut().toString(),
                )
            )
            button.clicked.connect(self.begin)
            layout.insertWidget(1, button)
            self._links[page_id] = button
            self._count()

    def _count(self) -> None:
        rooms, ways = counts(self._space.document.job)
        for page_id, button in self._links.items():
            number = rooms if page_id == "rooms" else ways
            if page_id == "rooms":
                words = tr_count("Check {count} room one by one", "Check {count} rooms one by one", number)
            else:
                words = tr_count("Check {count} opening one by one", "Check {count} openings one by one", number)
            button.setText(words)
            button.setVisible(number > 0)

    def _changed(self, before: object, after: object) -> None:
        del before, after
        self._count()
