"""The coat in the window: the page of its step, faces and corners set on the card, coat by click."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.panels.coat_editors import CornerEditor, FaceEditor
from takeoff.ui.panels.coat_page import CoatPage, chosen_rooms
from takeoff.ui.tools.pick_corners import CoatByClick, PickCorners, toggle_coat
from takeoff.ui.tools.quick_rooms import LeaveCeilingOut
from takeoff.ui.window.workspace import Workspace
from takeoff.views.chosen_coats import Group, corner_group
from takeoff.views.coat_questions import Question, claim_words
from takeoff.views.figure_places import Traced


def add(space: Workspace) -> None:
    """Give the window all that is done with the coat and its corners."""
    Coats(space)


class Coats(QObject):
    """Keeps the page, the editors and the tools together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("coats")
        self._space, self._document = space, space.document
        kit = space.kit()
        self.picking, self.coating = PickCorners(kit), CoatByClick(kit)
        self.leaving = LeaveCeilingOut(kit)
        self.corners, self.faces = CornerEditor(space.document), FaceEditor(space.document)
        space.frame.card.add_editor(self.corners)
        space.frame.card.add_editor(self.faces)
        space.pages.register("coat", self._make_page)
        # choosing rooms, and walls that are asked about, leaves the page where it is
        space.stays.add(("coat", "room"))
        space.acts.add((*self._rows(), *self._asking_rows(), *self._group_rows()))
        space.frame.tool_row.add(space.acts.q("coat-by-click"), space.acts.q("pick-corners"), words=("Coat", "Corners"))
        space.frame.strip.coat_clicked.connect(self._toggle)

    def _rows(self) -> tuple[Action, ...]:
        space, view = self._space, self._space.plan.view

        def walls() -> bool:
            return any(ref.kind == "side" for ref in self._document.choice)

        return (
            Action(
                "show-coat",
                "Coat",
                "What is coated",
                partial(space.show_step, "coat"),
                ("Ctrl+6",),
                tip="Outside walls by one rule, walls not known, chosen rooms",
            ),
            Action(
                "coat-by-click",
                "Coat",
                "Coat walls by click",
                partial(space.take, self.coating),
                ("C",),
                space.has_rooms,
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
                partial(space.take, self.leaving),
                (),
                space.has_rooms,
                lambda: view.tool is self.leaving,
                "A rectangle of a ceiling that is not coated: a hatch, tiles, a unit",
                group=1,
            ),
            Action(
                "pick-corners",
                "Coat",
                "Pick corners",
                partial(space.take, self.picking),
                ("X",),
                space.has_rooms,
                lambda: view.tool is self.picking,
                "Corners by click, with Shift more, or by a box: then bead, finish",
                group=2,
            ),
        )

    def _asking_rows(self) -> tuple[Action, ...]:
        return (
            Action(
                "ask-outline",
                "Coat",
                "Say what stands beyond the outline",
                lambda: self._page().ask_runs(),
                (),
                lambda: bool(claim_words(self._document.state)),
                tip="Run by run: outside, unheated, heated, neighbour; one key each",
            ),
            Action(
                "ceilings-under-roof",
                "Coat",
                "Coat ceilings under the roof",
                lambda: self._page().coat_under_roof(),
                (),
                self._space.has_rooms,
                tip="Those and no others; what lies above is asked first",
            ),
        )

    def _group_rows(self) -> tuple[Action, ...]:
        def in_room() -> bool:
            return bool(chosen_rooms(self._document))

        def group(name: str, words: str, key: Group, keys: tuple[str, ...]) -> Action:
            text = f"Choose {words} of the room"
            return Action(f"choose-{name}", "Coat", text, partial(self._choose, key), keys, in_room, group=2)

        return (
            group("externals", "all external corners", "external", ("Shift+X",)),
            group("arrises", "all corners round openings", "opening", ()),
            group("open-ends", "all open ends of coat", "open", ()),
            group("coat-edges", "all coat edges", "coat_edge", ()),
        )

    def _page(self) -> CoatPage:
        """The page of the step, brought up."""
        self._space.show_step("coat")
        return cast(CoatPage, self._space.pages.page("coat"))

    def _make_page(self) -> QWidget:
        page = CoatPage(self._document)
        page.unknown_clicked.connect(self._go_to)
        page.asking.shown.connect(self._light)
        return page

    def _go_to(self, ref: object) -> None:
        """Show a wall that is asked about; the page with the answers stays."""
        if isinstance(ref, Ref):
            self._space.choose_ref(ref)
            self._space.plan.zoom_to_chosen()

    def _light(self, question: object) -> None:
        """Light up what is asked about, on its storey."""
        if isinstance(question, Question):
            self._document.show_storey(question.storey)
            self._space.plan.light(question.lit)
        else:
            self._space.plan.light(Traced())

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
