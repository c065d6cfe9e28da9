"""Storeys in the window: added, copied, put in order, renamed, removed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.plan import edits
from takeoff.plan.model import Job, StoreyId
from takeoff.ui.actions import Action
from takeoff.ui.panels.storeys_page import StoreysPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.naming import storey_name

BUTTONS = (
    ("add-storey", "Add"),
    ("copy-storey", "Copy"),
    ("remove-storey", "Remove"),
    ("raise-storey", "Up"),
    ("lower-storey", "Down"),
    ("copy-storey-bare", "Copy without openings"),
    ("add-drawing", "Add a drawing as a storey…"),
    ("lay-over", "Lay its drawing over the storey below…"),
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
                "Storeys",
                partial(self._space.pages.show_page, "storeys"),
                ("Ctrl+L",),
                group=5,
                tip="Storeys: their names, levels, heights and order",
            ),
            row(
                "add-storey",
                "Add a storey",
                self.add,
                lambda: True,
                "An empty storey above the one that is shown, as high as that one",
            ),
            row(
                "copy-storey",
                "Copy the storey",
                partial(self.copy, True),
                self._has_one,
                "The storey that is shown once more, above it, with all that is in it",
            ),
            row(
                "copy-storey-bare",
                "Copy the storey without openings",
                partial(self.copy, False),
                self._has_one,
                "The storey that is shown once more, above it, without windows and doors",
            ),
            row(
                "raise-storey",
                "Move the storey up",
                partial(self.move, 1),
                partial(self._can_move, 1),
                "Further up in the order of storeys",
            ),
            row(
                "lower-storey",
                "Move the storey down",
                partial(self.move, -1),
                partial(self._can_move, -1),
                "Further down in the order of storeys",
            ),
            row(
                "remove-storey",
                "Remove the storey",
                self.remove,
                self._has_several,
                "The storey that is shown, with all that is in it; undo brings it back",
            ),
        )

    def _page(self) -> QWidget:
        acts = self._space.acts
        page = StoreysPage(self._document, tuple((acts.q(name), word) for name, word in BUTTONS))
        page.picked.connect(self._document.show_storey)
        return page

    # -- what the user does

    def add(self) -> None:
        """An empty storey above the one that is shown."""
        storey = self._document.storey
        after = storey.id if storey is not None else None
        self._made("Add a storey", lambda job: edits.new_storey(job, after))

    def copy(self, openings: bool) -> None:
        """The storey that is shown once more."""
        storey = self._document.storey
        if storey is not None:
            self._made(
                f"Copy {storey_name(storey)}{'' if openings else ' without openings'}",
                lambda job: edits.copy_storey(job, storey.id, openings),
            )

    def move(self, by: int) -> None:
        """Change the order of storeys."""
        storey = self._document.storey
        if storey is not None:
            self._document.apply(
                f"Move {storey_name(storey)} {'up' if by > 0 else 'down'}",
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
        if self._document.apply(f"Remove {storey_name(storey)}", lambda job: edits.drop_storey(job, storey.id)):
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
