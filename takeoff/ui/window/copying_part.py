"""Rooms cut, copied, pasted and duplicated; every edit by name in a list."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from takeoff.errors import InputError, TakeoffError
from takeoff.language import tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId
from takeoff.ui.actions import Action
from takeoff.ui.panels.step_pages import HistoryPage
from takeoff.ui.tools.paste import Paste
from takeoff.ui.window.workspace import Workspace
from takeoff.views import clipboard


def add(space: Workspace) -> None:
    """Give the window its clipboard and its history."""
    Copying(space)


class Copying(QObject):
    """Keeps the tool that puts copies down."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("copying")
        self._space, self._document = space, space.document
        kit = space.kit()
        self.tool = Paste(kit, space.back_to_choosing)
        space.pages.register("history", self._history)
        space.acts.add((*self._rows(), self._history_row()))

    def _rows(self) -> tuple[Action, ...]:
        chosen = self._has_rooms_chosen
        return (
            Action(
                "cut",
                "Edit",
                tr("Cut rooms"),
                self.cut,
                ("Ctrl+X",),
                chosen,
                group=1,
                tip=tr("Take the selected rooms out, to place them elsewhere"),
            ),
            Action(
                "copy",
                "Edit",
                tr("Copy rooms"),
                self.copy,
                ("Ctrl+C",),
                chosen,
                group=1,
                tip=tr("Copy the selected rooms with their openings and settings"),
            ),
            Action(
                "paste",
                "Edit",
                tr("Paste rooms"),
                self.paste,
                ("Ctrl+V",),
                group=1,
                tip=tr("Place copied rooms with a click, on this or another storey"),
            ),
            Action(
                "paste-beside",
                "Edit",
                tr("Paste rooms at once"),
                self.paste_at_once,
                ("Ctrl+Shift+V",),
                group=1,
                tip=tr("In their own place where it is free here, else beside the others"),
            ),
            Action(
                "duplicate",
                "Edit",
                tr("Duplicate rooms"),
                self.duplicate,
                ("Ctrl+Shift+D",),
                chosen,
                group=1,
                tip=tr("Copy the selected rooms and place the copies beside the others"),
            ),
        )

    def _history_row(self) -> Action:
        return Action(
            "history",
            "Edit",
            tr("History of edits"),
            partial(self._space.pages.show_page, "history"),
            ("Ctrl+H",),
            group=3,
            tip=tr("Every edit by name; click one to go back to it"),
        )

    def _history(self) -> QWidget:
        return HistoryPage(self._document.stack)

    # -- what the user does

    def copy(self) -> bool:
        """Put the chosen rooms on the clipboard. Whether they are there."""
        try:
            text = clipboard.as_text(clipboard.copied(self._document.job, self._chosen()))
        except TakeoffError as error:
            self._document.refused.emit(str(error))
            return False
        # as text alone: data that Python makes for the clipboard outlives Python, and the program would
        # crash as it ends
        QGuiApplication.clipboard().setText(text)
        self._space.say(
            tr_count(
                "Copied {count} room: Ctrl+V places it.",
                "Copied {count} rooms: Ctrl+V places them.",
                len(self._chosen()),
            )
        )
        return True

    def cut(self) -> None:
        """Copy the chosen rooms, then take them out."""
        rooms = tuple(RoomId(name) for name in self._chosen())
        if self.copy():
            self._document.apply(
                tr_count("Cut {count} room", "Cut {count} rooms", len(rooms)), lambda job: edits.cut_rooms(job, rooms)
            )

    def paste(self) -> None:
        """Take what is on the clipboard into the hand."""
        copy = self._from_clipboard()
        if copy is not None:
            self._show_plan()
            self.tool.hold(copy)
            self._space.take(self.tool)

    def paste_at_once(self) -> None:
        """Put what is on the clipboard down without a click."""
        copy = self._from_clipboard()
        if copy is not None:
            self._show_plan()
            self._put(copy)

    def duplicate(self) -> None:
        """The chosen rooms once more; the clipboard stays as it is."""
        try:
            copy = clipboard.copied(self._document.job, self._chosen())
        except TakeoffError as error:
            self._document.refused.emit(str(error))
            return
        self._put(copy, duplicates=True)

    def _put(self, copy: Job, duplicates: bool = False) -> None:
        self.tool.hold(copy)
        self.tool.put(self.tool.free_place(copy), duplicates=duplicates)
        self._space.plan.fit()

    # -- small help

    def _chosen(self) -> tuple[str, ...]:
        return tuple(ref.id for ref in self._document.choice if ref.kind == "room")

    def _has_rooms_chosen(self) -> bool:
        return bool(self._chosen())

    def _show_plan(self) -> None:
        """Sheets stand in the place of the plan: rooms are put down on the plan."""
        if not self._space.plan.view.isVisibleTo(self._space.window):
            self._space.show_step("rooms")

    def _from_clipboard(self) -> Job | None:
        try:
            return clipboard.from_text(QGuiApplication.clipboard().text())
        except InputError as error:
            self._document.refused.emit(str(error))
            return None
