"""Choosing what is alike, and the menu of what is under the mouse: everything that can be done with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from PySide6.QtCore import QObject, QPoint, QPointF
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from takeoff.language import tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, OpeningId
from takeoff.ui.actions import Action
from takeoff.ui.canvas.view import REACH_PX, PlanView
from takeoff.ui.document import Choice, Ref
from takeoff.ui.panels.table import Table
from takeoff.ui.panels.wall_strip import Faces
from takeoff.ui.window.workspace import Workspace
from takeoff.views.naming import KIND_NAMES
from takeoff.views.opening_types import openings_like

_LINE = ""
_KINDS = "kinds"

HERE: dict[str, tuple[str, ...]] = {
    "room": (
        *(
            "rename-room",
            "room-look",
            "zoom-chosen",
            _LINE,
            "show-coat",
            "heights",
            "place-window",
            "place-door",
            _LINE,
        ),
        *("choose-walls", "choose-externals", _LINE, "copy", "cut", "duplicate", "delete", _LINE, "add-photos"),
    ),
    "side": (
        *("toggle-coat", "place-window", "place-door", _LINE, "choose-walls", "next-wall", _LINE),
        *("rename-room", "zoom-chosen", _LINE, "add-photos"),
    ),
    "opening": (
        *(_KINDS, _LINE, "choose-alike", "choose-windows", "choose-doors", "choose-ways", _LINE),
        *("zoom-chosen", "add-photos", _LINE, "delete"),
    ),
    "rooflight": ("zoom-chosen", _LINE, "delete"),
    "corner": ("choose-externals", "choose-arrises", "choose-coat-edges", "choose-open-ends", _LINE, "zoom-chosen"),
    "region": ("zoom-chosen",),
    "": (
        *("choose-tool", "draw-room", "draw-rectangle", "fill-room", _LINE, "paste", _LINE, "choose-all"),
        *("choose-windows", "choose-doors", "choose-none", _LINE, "fit", "undo", "redo"),
    ),
}
"""By the kind of what is under the mouse: actions in their order; what cannot be done is left out."""


def add(space: Workspace) -> None:
    """Give the window its menus of what is under the mouse, and choosing by likeness."""
    Likeness(space)


class Likeness(QObject):
    """Chooses what is alike; shows the menus."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("likeness")
        self._space, self._document = space, space.document
        self._menu: QMenu | None = None
        space.menu_wanted.connect(self.show_menu)
        space.acts.add(self._rows())

    def _rows(self) -> tuple[Action, ...]:
        def of_kind(kind: str) -> Callable[[], bool]:
            return lambda: any(o.kind == kind for o in self._openings())

        def row(name: str, words: str, do: Callable[[], object], enabled: Callable[[], bool], tip: str) -> Action:
            return Action(name, "Edit", words, do, (), enabled, group=2, tip=tip)

        return (
            *(
                row(f"choose-{name}", words, partial(self.choose_kind, kind), of_kind(kind), tip)
                for name, kind, words, tip in (
                    ("windows", "window", tr("Select all windows"), tr("All windows of the job, to set them at once")),
                    ("doors", "door", tr("Select all doors"), tr("All doors of the job, to set them at once")),
                    (
                        *("ways", "open"),
                        *(tr("Select all doorways, no door"), tr("All doorways of the job, to set them at once")),
                    ),
                )
            ),
            row(
                "choose-alike",
                tr("Select all openings of this type"),
                self.choose_alike,
                lambda: self._chosen_opening() is not None,
                tr("All openings of the same kind and size as the selected one"),
            ),
            row(
                "choose-walls",
                tr("Select all walls of the room"),
                self.choose_walls,
                lambda: any(ref.kind in ("room", "side") for ref in self._document.choice),
                tr("Every wall of the room that is selected"),
            ),
        )

    # -- choosing

    def _openings(self) -> tuple[Opening, ...]:
        return tuple(o for storey in self._document.job.storeys for o in storey.openings)

    def _chosen_opening(self) -> Opening | None:
        last = next((ref for ref in reversed(self._document.choice) if ref.kind == "opening"), None)
        return next((o for o in self._openings() if last is not None and o.id == last.id), None)

    def choose_kind(self, kind: str) -> None:
        """Choose every opening of a kind."""
        self._choose(o for o in self._openings() if o.kind == kind)

    def choose_alike(self) -> None:
        """Choose every opening of the type of the chosen one."""
        opening = self._chosen_opening()
        if opening is not None:
            self._choose(openings_like(self._document.job, opening))

    def _choose(self, openings: Iterable[Opening]) -> None:
        """Choose these; the storey that is shown stays where it has one of them."""
        shown = {o.id for o in self._document.storey.openings} if self._document.storey else set()
        refs = [(o.id in shown, Ref("opening", str(o.id), str(o.room))) for o in openings]
        self._document.choose(tuple(ref for _, ref in sorted(refs, key=lambda one: one[0])))

    def choose_walls(self) -> None:
        """Choose every wall of the room of what was chosen last."""
        room_id = self._document.choice[-1].room_id if self._document.choice else ""
        rooms = (room for storey in self._document.job.storeys for room in storey.rooms)
        room = next((room for room in rooms if room.id == room_id), None)
        if room is not None:
            self._document.choose(tuple(Ref("side", str(s.id), room_id) for s in room.sides if s.kind == "wall"))

    # -- the menu

    def show_menu(self, widget: object, at: object) -> None:
        """The menu of what is under the mouse, which is chosen with it; ``at``: the place on screen, None where
        a key asked for the menu of what is chosen."""
        if not isinstance(widget, QWidget):
            return
        ref = self._under(widget, at) if isinstance(at, QPoint) else None
        if ref is not None and ref not in self._document.choice:
            self._take(widget, (ref,))
        choice = self._document.choice
        if self._menu is not None:
            self._menu.deleteLater()
        menu = self._menu = QMenu(self._space.window)
        menu.setObjectName("here")
        chosen = ref or (choice[-1] if choice and at is None else None)
        self._fill(menu, chosen.kind if chosen is not None else "")
        menu.popup(at if isinstance(at, QPoint) else widget.mapToGlobal(widget.rect().center()))

    def _under(self, widget: QWidget, at: QPoint) -> Ref | None:
        """What lies at a place on screen: on the plan, on the strip of walls, in a table."""
        here: QWidget | None = widget
        while here is not None:
            if isinstance(here, PlanView):
                spot = QPointF(here.viewport().mapFromGlobal(at))
                return self._space.plan.hit(here.plan_point(spot), REACH_PX / here.px_per_mm)
            if isinstance(here, Faces):
                return here.hit(QPointF(here.mapFromGlobal(at)))
            if isinstance(here, Table):
                index = here.indexAt(here.viewport().mapFromGlobal(at))
                return here.rows.rows[index.row()].ref if index.isValid() else None
            here = here.parentWidget()
        return None

    def _take(self, widget: QWidget, choice: Choice) -> None:
        """Choose, and stay on the page where a table was clicked."""
        page, in_pages = self._space.pages.current, self._space.pages.isAncestorOf(widget)
        self._document.choose(choice)
        if in_pages:
            self._space.pages.show_page(page)

    def _fill(self, menu: QMenu, kind: str) -> None:
        for name in HERE[kind]:
            if name == _LINE:
                menu.addSeparator()
            elif name == _KINDS:
                self._fill_kinds(menu)
            else:
                made = self._space.acts.q(name)
                if made.isEnabled():
                    menu.addAction(made)
        if kind:
            menu.addSeparator()
            for name in ("undo", "redo"):
                if self._space.acts.q(name).isEnabled():
                    menu.addAction(self._space.acts.q(name))

    def _fill_kinds(self, menu: QMenu) -> None:
        """What the chosen openings are: a click makes all of them that."""
        ids = [OpeningId(ref.id) for ref in self._document.choice if ref.kind == "opening"]
        kinds = {o.kind for o in self._openings() if o.id in ids}
        for kind, words in KIND_NAMES.items():
            made = menu.addAction(tr(words))
            made.setCheckable(True)
            made.setChecked(kinds == {kind})
            made.triggered.connect(partial(self._set_kind, kind))

    def _set_kind(self, kind: str, on: bool = True) -> None:
        del on
        ids = [OpeningId(ref.id) for ref in self._document.choice if ref.kind == "opening"]

        def edited(job: Job) -> Job:
            for name in ids:
                job = edits.set_opening_kind(job, name, kind)  # type: ignore[arg-type]  # a key of KIND_NAMES
            return job

        name = tr_count("Change the kind of {count} opening", "Change the kind of {count} openings", len(ids))
        self._document.apply(name, edited)


def widget_at(window: QWidget, at: QPoint) -> QWidget:
    """The widget of a window under a place on screen."""
    return window.childAt(window.mapFromGlobal(at)) or QApplication.focusWidget() or window
