"""The coat in the window: the page of its step, faces and corners set on the card, coat by click."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
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
        for editor in (CornerEditor, FaceEditor):
            space.frame.card.editors.add(partial(editor, space.document), editor.kind)
        space.pages.register("coat", self._make_page)
        # choosing rooms, and walls that are asked about, leaves the page where it is
        space.stays.add(("coat", "room"))
        space.acts.add((*self._rows(), *self._asking_rows(), *self._group_rows()))
        space.frame.tool_row.add(
            space.acts.q("coat-by-click"), space.acts.q("pick-corners"), words=(tr("Coat"), tr("Corners"))
        )
        space.frame.strip.coat_clicked.connect(self._toggle)

    def _rows(self) -> tuple[Action, ...]:
        space, view = self._space, self._space.plan.view

        def walls() -> bool:
            return any(ref.kind == "side" for ref in self._document.choice)

        return (
            Action(
                "show-coat",
                "Coat",
                tr("Coat: what and where"),
                partial(space.show_step, "coat"),
                ("Ctrl+6",),
                tip=tr("Outside walls by one rule, unknown walls, selected rooms"),
            ),
            Action(
                "coat-by-click",
                "Coat",
                tr("Coat walls by click"),
                partial(space.take, self.coating),
                ("C",),
                space.has_rooms,
                lambda: view.tool is self.coating,
                tr("Click a wall to coat it, or to stop coating it"),
                group=1,
            ),
            Action(
                "toggle-coat",
                "Coat",
                tr("Coat the selected walls, or stop coating them"),
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
                tr("A rectangle of a ceiling that is not coated: a hatch, tiles, a unit"),
                group=1,
            ),
            Action(
                "pick-corners",
                "Coat",
                tr("Pick corners"),
                partial(space.take, self.picking),
                ("X",),
                space.has_rooms,
                lambda: view.tool is self.picking,
                tr("Corners by click, Shift+click for more, or by a box: then bead and finish"),
                group=2,
            ),
        )

    def _asking_rows(self) -> tuple[Action, ...]:
        return (
            Action(
                "ask-outline",
                "Coat",
                tr("Say what lies beyond the outside walls"),
                lambda: self._page().ask_runs(),
                (),
                lambda: bool(claim_words(self._document.state)),
                tip=tr("Run by run: outside, unheated, heated, neighbour; one key each"),
            ),
            Action(
                "ceilings-under-roof",
                "Coat",
                tr("Coat ceilings under the roof"),
                lambda: self._page().coat_under_roof(),
                (),
                self._space.has_rooms,
                tip=tr("Only those; what lies above is asked first"),
            ),
        )

    def _group_rows(self) -> tuple[Action, ...]:
        def in_room() -> bool:
            return bool(chosen_rooms(self._document))

        def group(name: str, words: str, key: Group, keys: tuple[str, ...]) -> Action:
            return Action(f"choose-{name}", "Coat", words, partial(self._choose, key), keys, in_room, group=2)

        return (
            group("externals", tr("Select all external corners of the room"), "external", ("Shift+X",)),
            group("arrises", tr("Select all corners round openings of the room"), "opening", ()),
            group("open-ends", tr("Select all open ends of coat of the room"), "open", ()),
            group("coat-edges", tr("Select all stop edges of the room"), "coat_edge", ()),
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
            self._document.refused.emit(tr("This room has none of these: coat both faces that meet there."))

    def _toggle_chosen(self) -> None:
        toggle_coat(self._document, tuple(ref for ref in self._document.choice if ref.kind == "side"))

    def _toggle(self, ref: object) -> None:
        """A tick under a face of the wall strip."""
        if isinstance(ref, Ref):
            toggle_coat(self._document, (ref,))
