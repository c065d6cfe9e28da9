"""Storeys in the window: added, copied, put in order, renamed, removed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job, StoreyId
from takeoff.ui.actions import Action
from takeoff.ui.panels.storeys_page import StoreysPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.naming import storey_name

BUTTONS = (
    ("add-storey", mark("Add")),
    ("copy-storey", mark("Copy")),
    ("remove-storey", mark("Remove")),
    ("raise-storey", mark("Up")),
    ("lower-storey", mark("Down")),
    ("copy-storey-bare", mark("Copy without openings")),
    ("add-drawing", mark("Add a drawing as a storey…")),
    ("lay-over", mark("Lay its drawing over the storey below…")),
)


def add(space: Workspace) -> None:
    """Give the window what is done with storeys."""
    Storeys(space)


class Storeys(QObject):
    """Edits of whole storeys; the one that is made is shown."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("storeys")
        self._space, self._document = space, space.document
        space.acts.add(self._rows())
        space.pages.register("storeys", self._page)

    def _rows(self) -> tuple[Action, ...]:
        def row(name: str, text: str, do: Callable[[], object], enabled: Callable[[], bool], tip: str) -> Action:
            return Action(name, "Heights", text, do, (), enabled, group=5, tip=tip)

        return (
            Action(
                "storeys",
                "Heights",
                tr("Storeys"),
                partial(self._space.pages.show_page, "storeys"),
                ("Ctrl+L",),
                group=5,
                tip=tr("Storeys: their names, levels, heights and order"),
            ),
            row(
                "add-storey",
                tr("Add a storey"),
                self.add,
                lambda: True,
                tr("An empty storey above this one, as high as this one"),
            ),
            row(
                "copy-storey",
                tr("Copy the storey"),
                partial(self.copy, True),
                self._has_one,
                tr("Copies this storey, with everything in it, to the one above"),
            ),
            row(
                "copy-storey-bare",
                tr("Copy the storey without openings"),
                partial(self.copy, False),
                self._has_one,
                tr("Copies this storey to the one above, without windows and doors"),
            ),
            row(
                "raise-storey",
                tr("Move the storey up"),
                partial(self.move, 1),
                partial(self._can_move, 1),
                tr("One place up in the order of storeys"),
            ),
            row(
                "lower-storey",
                tr("Move the storey down"),
                partial(self.move, -1),
                partial(self._can_move, -1),
                tr("One place down in the order of storeys"),
            ),
            row(
                "remove-storey",
                tr("Remove the storey"),
                self.remove,
                self._has_several,
                tr("This storey, with everything in it; undo brings it back"),
            ),
        )

    def _page(self) -> QWidget:
        acts = self._space.acts
        page = StoreysPage(self._document, tuple((acts.q(name), tr(word)) for name, word in BUTTONS))
        page.picked.connect(self._document.show_storey)
        return page

    # -- what the user does

    def add(self) -> None:
        """An empty storey above the one that is shown."""
        storey = self._document.storey
        after = storey.id if storey is not None else None
        self._made(tr("Add a storey"), lambda job: edits.new_storey(job, after))

    def copy(self, openings: bool) -> None:
        """The storey that is shown once more."""
        storey = self._document.storey
        if storey is not None:
            self._made(
                tr("Copy {storey}", storey=storey_name(storey))
                if openings
                else tr("Copy {storey} without openings", storey=storey_name(storey)),
                lambda job: edits.copy_storey(job, storey.id, openings),
            )

    def move(self, by: int) -> None:
        """Change the order of storeys."""
        storey = self._document.storey
        if storey is not None:
            self._document.apply(
                tr("Move {storey} up", storey=storey_name(storey))
                if by > 0
                else tr("Move {storey} down", storey=storey_name(storey)),
                lambda job: edits.move_storey(job, storey.id, by),
            )

    def remove(self) -> None:
        """Take the storey that is shown away; its neighbour is shown."""
        storey = self._document.storey
        if storey is None:
            return
        ids = [known.id for known in self._document.job.storeys]
        at = ids.index(storey.id)
        next_to = ids[at - 1] if at else ids[1] if len(ids) > 1 else storey.id
        if self._document.apply(
            tr("Remove {storey}", storey=storey_name(storey)), lambda job: edits.drop_storey(job, storey.id)
        ):
            self._document.show_storey(str(next_to))
            self._space.plan.view.viewport().update()

    def _made(self, name: str, edit: Callable[[Job], tuple[Job, StoreyId]]) -> None:
        made: list[StoreyId] = []

        def kept(job: Job) -> Job:
            after, storey_id = edit(job)
            made.append(storey_id)
            return after

        if self._document.apply(name, kept):
            self._document.show_storey(str(made[-1]))

    # -- when it can be done

    def _has_one(self) -> bool:
        return self._document.storey is not None

    def _has_several(self) -> bool:
        return len(self._document.job.storeys) > 1

    def _can_move(self, by: int) -> bool:
        storey = self._document.storey
        ids = [known.id for known in self._document.job.storeys]
        return storey is not None and 0 <= ids.index(storey.id) + by < len(ids)
