"""Quick parts in the window: their page, the tool that places them, an action for each."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.ui.actions import Action
from takeoff.ui.panels.parts_page import PartsPage
from takeoff.ui.tools.place_part import PlacePart
from takeoff.ui.window.workspace import Workspace
from takeoff.views.quick_parts import KINDS, PartKind, Values


def add(space: Workspace) -> None:
    """Give the window quick parts."""
    QuickParts(space)


class QuickParts(QObject):
    """Keeps page and tool together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("quick-parts")
        self._space, self._document = space, space.document
        kit = space.kit()
        self.tool = PlacePart(kit)
        self._page: PartsPage | None = None
        space.pages.register("parts", self._make_page)
        # a part that was placed chooses its room: the next one is placed from the same page
        space.stays.add(("parts", "room"))
        space.acts.add(self._rows())
        space.frame.tool_row.add(space.acts.q("parts"), words=(tr("Parts"),), seldom=True)
        self._document.opened.connect(space.back_to_choosing)
        space.plan.view.tool_changed.connect(self._show_in_hand)

    def _rows(self) -> tuple[Action, ...]:
        view = self._space.plan.view

        def row(kind: PartKind) -> Action:
            return Action(
                f"part-{kind.id}",
                "Draw",
                tr("Place {part}", part=tr(kind.said)),
                partial(self.take, kind),
                (),
                self._space.has_rooms,
                lambda: view.tool is self.tool and self.tool.kind.id == kind.id,
                tr(kind.hint),
                group=6,
            )

        return (
            Action(
                "parts",
                "Draw",
                tr("Boxing, breasts, units…"),
                self.show_page,
                ("E",),
                self._space.has_rooms,
                lambda: view.tool is self.tool,
                tr("Boxing, chimney breasts, units, tiles, bulkheads, dwarf walls, dormers, stair soffits, rooflights"),
                group=6,
            ),
            *(row(kind) for kind in KINDS),
        )

    def _make_page(self) -> QWidget:
        page = self._page = PartsPage(self._document)
        page.show_kind(self.tool.kind)
        page.chosen.connect(self._chosen)
        return page

    # -- what the user does

    def show_page(self) -> None:
        """Bring up the page, with the part in hand that was placed last."""
        self.take(self.tool.kind)

    def take(self, kind: PartKind) -> None:
        """Place parts of a kind by click from now on."""
        self._space.show_step("parts")
        page = self._page
        if page is None:
            return
        page.show_kind(kind)
        self._chosen(kind, page.values)

    def _show_in_hand(self) -> None:
        """The page says what a click would place: nothing once the tool is laid down."""
        if self._page is not None:
            self._page.show_in_hand(self.tool.kind if self._space.plan.view.tool is self.tool else None)

    def _chosen(self, kind: PartKind, values: Values) -> None:
        self.tool.set_kind(kind, values)
        if self._space.plan.view.tool is not self.tool:
            self._space.take(self.tool)
        self._space.acts.refresh()
