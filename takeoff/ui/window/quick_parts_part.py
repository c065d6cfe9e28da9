"""Quick parts in the window: their page, the tool that places them, an action for each."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.ui.actions import Action
from takeoff.ui.panels.parts_page import PartsPage
from takeoff.ui.tools.aiming import Aim
from takeoff.ui.tools.drawing_tool import Kit
from takeoff.ui.tools.place_part import PlacePart
from takeoff.ui.tools.tool_preview import Readout
from takeoff.views.quick_parts import KINDS, PartKind, Values

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow


def add(window: MainWindow) -> None:
    """Give the window quick parts."""
    QuickParts(window)


class QuickParts(QObject):
    """Keeps page and tool together."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setObjectName("quick-parts")
        self._window, self._document = window, window.document
        kit = Kit(window.plan, Aim(window.plan), Readout(window.plan.view), window.totals.say)
        self.tool = PlacePart(kit)
        self._page: PartsPage | None = None
        window.sides.register("parts", self._make_page)
        # a part that was placed chooses its room: the next one is placed from the same page
        window.stays.add(("parts", "room"))
        window.acts.add(self._rows())
        window.tool_row.add(window.acts.q("parts"), words=("Parts",), seldom=True)
        self._document.opened.connect(window.back_to_choosing)
        self._document.changed.connect(self._changed)
        self._document.refused.connect(self._refused)

    def _rows(self) -> tuple[Action, ...]:
        view = self._window.plan.view

        def has_rooms() -> bool:
            return any(storey.rooms for storey in self._document.job.storeys)

        def row(kind: PartKind) -> Action:
            return Action(
                f"part-{kind.id}",
                "Draw",
                f"Place {kind.said}",
                partial(self.take, kind),
                (),
                has_rooms,
                lambda: view.tool is self.tool and self.tool.kind.id == kind.id,
                kind.hint,
                group=6,
            )

        return (
            Action(
                "parts",
                "Draw",
                "Quick parts…",
                self.show_page,
                ("E",),
                has_rooms,
                lambda: view.tool is self.tool,
                "Boxing, chimney breasts, units, tiles, bulkheads, dwarf walls, dormers, stair soffits",
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
        self._window.show_step("parts")
        page = self._page
        if page is None:
            return
        page.show_kind(kind)
        self._chosen(kind, page.values)

    def _chosen(self, kind: PartKind, values: Values) -> None:
        self.tool.set_kind(kind, values)
        if self._window.plan.view.tool is not self.tool:
            self._window.take(self.tool)
        self._window.acts.refresh()

    # -- listeners

    def _changed(self, before: object, after: object) -> None:
        del before, after
        if self._window.plan.view.tool is self.tool:
            self.tool.job_changed()

    def _refused(self, reason: str) -> None:
        if self._window.plan.view.tool is self.tool:
            self.tool.refuse(reason)
