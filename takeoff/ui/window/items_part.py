"""Counted items in the window: radiators, sockets, vents, poles and hatches of each room, and who sees to them."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

import msgspec
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.counted_items import CountedItem, Handling, ItemKind, Who
from takeoff.plan.edits import count_items
from takeoff.plan.model import Job, Room
from takeoff.plan.wall_letters import wall_letters
from takeoff.sheets.site_work_tables import bare_lines
from takeoff.ui.actions import Action
from takeoff.ui.panels.items_page import ItemsPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.site_seen import items_of

PAGE = "items"


def add(space: Workspace) -> None:
    """Give the window its counted items."""
    CountedItems(space)


class CountedItems(QObject):
    """Keeps the page and the job together. The room is the one that is selected, else the one picked on the page."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("counted-items")
        self._space, self._document = space, space.document
        self.page: ItemsPage | None = None
        self._picked = ""
        space.pages.register(PAGE, self._make)
        space.pages.shown.connect(self._listen)
        space.stays |= {(PAGE, "room"), (PAGE, "side")}
        space.acts.add(
            (
                Action(
                    PAGE,
                    "Site",
                    tr("Counted items…"),
                    self.show,
                    (),
                    group=8,
                    tip=tr("Radiators, sockets, vents, curtain poles and hatches, and who sees to them"),
                ),
            )
        )
        for signal in (self._document.opened, self._document.changed, self._document.storey_changed):
            signal.connect(self._listen)
        self._document.chosen_changed.connect(self._chose)

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def _make(self) -> QWidget:
        self.page = page = ItemsPage()
        page.room_picked.connect(self._pick)
        page.add_wanted.connect(self._add)
        page.taken_out.connect(self._take_out)
        self.refresh()
        return page

    def _rooms(self) -> list[Room]:
        return [room for storey in self._document.job.storeys for room in storey.rooms]

    def _room(self) -> Room | None:
        rooms = self._rooms()
        return next((room for room in rooms if str(room.id) == self._picked), rooms[0] if rooms else None)

    def _pick(self, room: str) -> None:
        self._picked = room
        self.refresh()

    def _chose(self, before: object, after: object) -> None:
        del before, after
        choice = self._document.choice
        if choice and choice[-1].room_id:
            self._picked = str(choice[-1].room_id)
            self.refresh()

    def _listen(self, *_: object) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Show the room's items, while the page is seen."""
        page, room = self.page, self._room()
        if page is None or self._space.pages.current != PAGE:
            return
        job = self._document.job
        walls = [(side, letter) for side, letter in wall_letters(room).items()] if room is not None else []
        page.show_room(str(room.id) if room else "", [(str(one.id), one.title) for one in self._rooms()], walls)
        page.show_items(
            items_of(job, str(room.id)) if room else (), "\n".join(bare_lines(job, self._document.state.takeoff))
        )

    def _apply(self, edit: Callable[[Job, Room], Job]) -> None:
        room = self._room()
        if room is not None:
            self._document.apply(tr("Counted items"), lambda job: edit(job, room))
            self.refresh()

    def _add(self, kind: str, count: str, done: str, who: str, wall: str) -> None:
        def edit(job: Job, room: Room) -> Job:
            if not count.strip().isdecimal():
                raise InputError(tr("“{text}” is not a number of pieces: type one such as 2.", text=count))
            item = CountedItem(
                kind=cast(ItemKind, kind),
                count=int(count),
                done=cast(Handling, done),
                who=cast(Who, who),
                side=wall or None,
            )
            return count_items(job, room.id, item)

        self._apply(edit)

    def _take_out(self, number: int) -> None:
        def edit(job: Job, room: Room) -> Job:
            return count_items(job, room.id, msgspec.structs.replace(room.counted[number], count=0))

        self._apply(edit)
