"""The coat in the window: the page of its step, faces and corners set on the card, coat by click."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.coat_editors import CornerEditor, FaceEditor
from takeoff.ui.panels.coat_page import CoatPage, chosen_rooms
from takeoff.ui.tools.aiming import Aim
from takeoff.ui.tools.drawing_tool import Kit
from takeoff.ui.tools.pick_corners import CoatByClick, PickCorners, toggle_coat
from takeoff.ui.tools.quick_rooms import LeaveCeilingOut
from takeoff.ui.tools.tool_preview import Readout
from takeoff.views.chosen_coats import Group, corner_group

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow


def add(window: MainWindow) -> None:
    """Give the window all that is done with the coat and its corners."""
    Coats(window)


class Coats(QObject):
    """Keeps the page, the editors and the tools together."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setObjectName("coats")
        self._window, self._document = window, window.document
        kit = Kit(window.plan, Aim(window.plan), Readout(window.plan.view), window.totals.say)
        self.picking, self.coating = PickCorners(kit), CoatByClick(kit)
        self.leaving = LeaveCeilingOut(kit)
        self.corners, self.faces = CornerEditor(window.document), FaceEditor(window.document)
        window.card.add_editor(self.corners)
        window.card.add_editor(self.faces)
        window.sides.register("coat", self._make_page)
        # choosing rooms, and walls that are asked about, leaves the page where it is
        window.stays.add(("coat", "room"))
        window.acts.add(self._rows())
        window.tool_row.add(window.acts.q("coat-by-click"), window.acts.q("pick-corners"), words=("Coat", "Corners"))
        window.strip.coat_clicked.connect(self._toggle)
        self._document.changed.connect(self._changed)
        self._document.refused.connect(self._refused)

    def _rows(self) -> tuple[Action, ...]:
        window, view = self._window, self._window.plan.view

        def has_rooms() -> bool:
            return any(storey.rooms for storey in self._document.job.storeys)

        def in_room() -> bool:
            return bool(chosen_rooms(self._document))

        def walls() -> bool:
            return any(ref.kind == "side" for ref in self._document.choice)

        def group(name: str, words: str, key: Group, keys: tuple[str, ...]) -> Action:
            return Action(
                f"choose-{name}",
                "Coat",
                f"Choose {words} of the room",
                partial(self._choose, key),
                keys,
                in_room,
                group=2,
            )

        return (
            Action(
                "show-coat",
                "Coat",
                "What is coated",
                partial(window.show_step, "coat"),
                ("Ctrl+6",),
                tip="Outside walls by one rule, walls not known, chosen rooms",
            ),
            Action(
                "coat-by-click",
                "Coat",
                "Coat walls by click",
                partial(window.take, self.coating),
                ("C",),
                has_rooms,
                lambda: view.tool is self.coating,
                "A click on a wall coats it or leaves it out",
                group=1,
            ),
            Action(
                "toggle-coat",
                "Coat",
                "Coat the chosen walls, or leave them out",
                self._toggle_chosen,
                ("K",),
                walls,
                group=1,
            ),
            Action(
                "leave-ceiling-out",
                "Coat",
                self.leaving.name,
                partial(window.take, self.leaving),
                (),
                has_rooms,
                lambda: view.tool is self.leaving,
                "A rectangle of a ceiling that is not coated: a hatch, tiles, a unit",
                group=1,
            ),
            Action(
                "pick-corners",
                "Coat",
                "Pick corners",
                partial(window.take, self.picking),
                ("X",),
                has_rooms,
                lambda: view.tool is self.picking,
                "Corners by click, with Shift more, or by a box: then bead, finish",
                group=2,
            ),
            group("externals", "all external corners", "external", ("Shift+X",)),
            group("arrises", "all corners round openings", "opening", ()),
            group("coat-edges", "all coat edges", "coat_edge", ()),
        )

    def _make_page(self) -> QWidget:
        page = CoatPage(self._document)
        page.unknown_clicked.connect(self._go_to)
        return page

    def _go_to(self, ref: object) -> None:
        """Show a wall that is asked about; the page with the answers stays."""
        if isinstance(ref, Ref):
            self._window.choose_ref(ref)
            self._window.plan.zoom_to_chosen()

    def _choose(self, group: Group) -> None:
        found = corner_group(self._document.state, chosen_rooms(self._document), group)
        self._document.choose(tuple(Ref("corner", name, room) for room, name in found))
        if not found:
            self._document.refused.emit("This room has none of these: coat both faces that meet there.")

    def _toggle_chosen(self) -> None:
        toggle_coat(self._document, tuple(ref for ref in self._document.choice if ref.kind == "side"))

    def _toggle(self, ref: object) -> None:
        """A tick under a face of the wall strip."""
        if isinstance(ref, Ref):
            toggle_coat(self._document, (ref,))

    # -- listeners

    def _changed(self, before: object, after: object) -> None:
        del before, after
        if self._window.plan.view.tool is self.leaving:
            self.leaving.job_changed()

    def _refused(self, reason: str) -> None:
        if self._window.plan.view.tool is self.leaving:
            self.leaving.refuse(reason)
