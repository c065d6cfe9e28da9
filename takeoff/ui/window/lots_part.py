"""Lots in the window: rooms and copies of a storey put together with a date, and what each lot buys."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.language import number, tr
from takeoff.plan.edits.lot_edits import (
    lot_for_each_plot,
    lot_for_each_storey,
    name_lot,
    put_into_lot,
    set_in_van_typed,
    set_lot_date,
    set_lots,
)
from takeoff.plan.lot_records import LotRoom
from takeoff.plan.model import Job
from takeoff.ui.panels.lots_page import NEW_LOT, LotsPage
from takeoff.ui.window.kept_page import KeptPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.lots_seen import lots_seen, room_keys, room_of_key

PAGE = "lots"


def add(space: Workspace) -> None:
    """Give the window its page of lots."""
    Lots(space)


class Lots(KeptPage[LotsPage]):
    """Keeps the page and the job together."""

    def __init__(self, space: Workspace) -> None:
        tip = tr("Rooms, storeys or plots that are delivered together: what each buys, what is left over")
        super().__init__(space, "lots", PAGE, tr("Lots and plots…"), tip)

    def made(self) -> LotsPage:
        """The page, its signals connected."""
        page = LotsPage()
        page.shared.connect(self._shared)
        page.put.connect(self._put)
        page.typed.connect(self._typed)
        return page

    def fill(self, page: LotsPage) -> None:
        """Show the lots and what they buy."""
        job = self._document.job
        seen = lots_seen(self._document.state, self._document.considered)
        page.show_lots(job.lots, room_keys(job), seen.items)
        page.show_tables(seen.tables, seen.instead)

    def _apply(self, edit: Callable[[Job], Job]) -> None:
        if not self._document.apply(tr("Set lots"), edit):
            self.refresh()

    def _shared(self, how: str) -> None:
        ways: dict[str, Callable[[Job], Job]] = {"plot": lot_for_each_plot, "storey": lot_for_each_storey}
        self._apply(ways.get(how, lambda job: set_lots(job, ())))

    def _put(self, key: str, lot: str) -> None:
        room: LotRoom | None = room_of_key(self._document.job, key)
        if room is not None:
            name = tr("Lot {number}", number=number(len(self._document.job.lots) + 1))
            self._apply(lambda job: put_into_lot(job, room, None if lot == NEW_LOT else lot, name))

    def _typed(self, key: str, text: str) -> None:
        page = self.page
        if page is None:
            return
        lot, item = page.chosen_lot, page.chosen_item
        edits: dict[str, Callable[[Job], Job]] = {
            "name": lambda job: name_lot(job, lot, text),
            "date": lambda job: set_lot_date(job, lot, text),
            "van": lambda job: set_in_van_typed(job, item, text),
        }
        self._apply(edits[key])
