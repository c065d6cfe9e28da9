"""Openings in the window: placed by click, dragged along their wall, set on the card, settled, deleted."""

from __future__ import annotations

from functools import partial
from typing import cast

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, OpeningId
from takeoff.ui.actions import Action
from takeoff.ui.document import Choice
from takeoff.ui.panels.opening_editor import OpeningEditor, RooflightEditor
from takeoff.ui.panels.openings_page import PlacingPage
from takeoff.ui.tools.opening_tools import DragRooflight, PlaceOpening, SlideOpening
from takeoff.ui.window.workspace import Workspace
from takeoff.views.opening_types import Kind, OpeningType, opening_types, type_of, unsure_openings


def add(space: Workspace) -> None:
    """Give the window all that is done with openings."""
    Openings(space)


class Openings(QObject):
    """Keeps the tool, the page and the editor together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("openings")
        self._space, self._document = space, space.document
        kit = space.kit()
        self.tool = PlaceOpening(kit)
        self.slide = SlideOpening(kit)
        space.choose.drags += [self.slide, DragRooflight(kit)]
        self._page: PlacingPage | None = None
        space.pages.register("openings", self._make_page)
        space.frame.card.editors.add(self._make_editor, OpeningEditor.kind)
        space.frame.card.editors.add(partial(RooflightEditor, space.document), RooflightEditor.kind)
        space.deletes["opening"] = self._delete
        space.deletes["rooflight"] = self._delete
        space.acts.add(self._rows())
        row = space.frame.tool_row
        row.add(*(space.acts.q(f"place-{what}") for what in ("window", "door")), words=(tr("Window"), tr("Door")))
        self._document.opened.connect(self._anew)

    def _make_editor(self) -> OpeningEditor:
        editor = OpeningEditor(self._document)
        editor.another.connect(self._place_like)
        return editor

    @property
    def editor(self) -> OpeningEditor:
        """In what openings are set, on the card."""
        return cast(OpeningEditor, self._space.frame.card.editors.of(OpeningEditor.kind))

    def _rows(self) -> tuple[Action, ...]:
        def unsure() -> bool:
            return bool(unsure_openings(self._document.state))

        def placing(kind: Kind) -> bool:
            return self._space.plan.view.tool is self.tool and self.tool.kind.kind == kind

        def row(what: str, kind: Kind, words: str, keys: str, tip: str) -> Action:
            return Action(
                f"place-{what}",
                "Openings",
                words,
                partial(self._take_kind, kind),
                (keys,),
                self._space.has_rooms,
                partial(placing, kind),
                tip,
            )

        return (
            row(
                "window",
                "window",
                tr("Place a window"),
                "W",
                tr("A window of the usual type in this job: click on walls"),
            ),
            row("door", "door", tr("Place a door"), "D", tr("A door of the usual type in this job: click on walls")),
            row("open", "open", tr("Place a doorway, no door"), "Shift+D", tr("A way through a wall without a door")),
            Action(
                "place-opening",
                "Openings",
                tr("Place an opening of a type…"),
                self.show_page,
                ("O",),
                self._space.has_rooms,
                tip=tr("Select its type or type its size, then click on walls"),
            ),
            Action(
                "check-openings",
                "Openings",
                tr("Go to the next opening to check"),
                self._show_next_asked,
                ("Q",),
                unsure,
                tip=tr("Openings to check are not measured yet"),
                group=1,
            ),
            Action(
                "accept-openings",
                "Openings",
                tr("Accept all openings to check"),
                self._accept_all,
                (),
                unsure,
                tip=tr("Measure all openings that are to be checked"),
                group=1,
            ),
        )

    def _make_page(self) -> QWidget:
        page = self._page = PlacingPage(self._document)
        page.show_type(self.tool.kind)
        page.rows_chosen.connect(self._choose_rows)
        page.change.connect(self._show_card)
        page.place.connect(self.take)
        page.kind_changed.connect(self.tool.set_kind)
        return page

    # -- what the user does

    def show_page(self) -> None:
        """Bring up the page on which the type is chosen."""
        self._space.show_step("openings")

    def take(self, kind: OpeningType) -> None:
        """Place openings of a type by click from now on."""
        self.tool.set_kind(kind)
        if self._page is not None:
            self._page.show_type(kind)
        self._space.take(self.tool)

    def _take_kind(self, kind: Kind) -> None:
        if self.tool.kind.kind == kind:
            self.take(self.tool.kind)
        else:
            self.take(next(one for one in opening_types(self._document.job) if one.kind == kind))

    def _place_like(self, opening: Opening) -> None:
        self.take(type_of(self._document.job, opening))

    def _choose_rows(self, refs: object) -> None:
        """Rows of the table were marked: these are chosen, and the table stays."""
        if isinstance(refs, tuple):
            self._document.choose(refs)
            self._space.pages.show_page("openings")

    def _show_card(self) -> None:
        """What is chosen is to be set."""
        self._space.pages.show_page("card")

    def _show_next_asked(self) -> None:
        self.editor.show_next_asked()

    def _delete(self, choice: Choice) -> None:
        """Delete openings, or rooflights. Those on the card give way to the next that is asked about."""
        if self.editor.refs and choice[0].kind == "opening":
            self.editor.delete()
            return

        def without(job: Job) -> Job:
            for ref in choice:
                job = edits.remove_opening(job, OpeningId(ref.id))
            return job

        if choice[0].kind == "rooflight":
            name = tr_count("Delete a rooflight", "Delete {count} rooflights", len(choice))
        else:
            name = tr_count("Delete an opening", "Delete {count} openings", len(choice))
        self._document.apply(name, without)

    def _accept_all(self) -> None:
        unsure = unsure_openings(self._document.state)

        def accepted(job: Job) -> Job:
            for name in unsure:
                job = edits.set_opening_confidence(job, OpeningId(name), "sure")
            return job

        self._document.apply(tr_count("Accept {count} opening", "Accept {count} openings", len(unsure)), accepted)

    # -- listeners

    def _anew(self) -> None:
        self.tool.forget_kind()
        self._space.back_to_choosing()
        if self._page is not None:
            self._page.show_type(self.tool.kind)
