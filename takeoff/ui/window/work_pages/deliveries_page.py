"""The page of deliveries: what was ordered, came and was cut, and what is still to buy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.work_records import MOVED, Moved
from takeoff.services.after_order import sent_states
from takeoff.services.after_order.state_lists import NOW, bought_tables
from takeoff.services.after_order.supply_books import bars_cut, bars_of, moved, order_taken, rest_ordered
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import MOVED_WORDS
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on, offer_packs


class Deliveries:
    """What was bought, and what is still to buy."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        moved = tuple((key, tr(MOVED_WORDS[key])) for key in MOVED)
        group = Group(
            "",
            (
                WorkField("moved", tr("What"), tr("What happened to the packs"), moved),
                WorkField("pack", tr("Pack"), tr("Which pack or bar"), ()),
                WorkField("count", tr("Number"), tr("How many")),
                WorkField("batch", tr("Batch"), tr("The batch.")),
                WorkField("lot", tr("Lot"), tr("The lot that they are of."), ()),
                day_field(),
            ),
            (
                WorkButton("enter", tr("Enter"), tr("Enter these packs or bars")),
                WorkButton("undo", tr("Remove last"), tr("Remove the last entry")),
            ),
        )
        whole = Group(
            tr("A whole order"),
            (WorkField("of", tr("Order of"), tr("The state whose order it is"), ()),),
            (
                WorkButton("all", tr("Whole order came"), tr("The whole order was ordered and delivered.")),
                WorkButton("cut", tr("Bars are cut"), tr("Every bar was cut by the cutting list.")),
                WorkButton("rest", tr("Order the rest"), tr("What is still to buy is ordered on that day.")),
            ),
        )
        return WorkPage(tr("Deliveries"), (group, whole))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """What was bought, and what is still to buy."""
        desk = self._desk
        offer_packs(page, desk.job)
        lots = [(lot.id, lot.name or lot.id) for lot in desk.job.lots]
        page.offer("lot", [("", tr("In no lot")), *lots])
        states = [(str(one.number), tr("State {number}", number=one.number)) for one in desk.content().states]
        page.offer("of", [(NOW, tr("as it is now")), *states])
        return bought_tables(desk.measured())

    def act(self, page: WorkPage, what: str) -> None:
        """Enter packs or take the last entry out; order the rest; a whole order, or its bars."""
        desk, on, lot = self._desk, day_on(page), page.text("lot")
        if what == "enter":
            typed = f"{page.text('pack')}={page.text('count')}"
            how = cast(Moved, page.text("moved"))
            desk.apply(page, lambda job: moved(job, how, typed, on, lot, page.text("batch")), "count")
        elif what == "undo":
            desk.apply(page, lambda job: edits.take_movement_out(job, len(job.work.movements) - 1))
        elif what == "rest":
            ordered = rest_ordered(desk.measured(), on, lot)
            desk.apply(page, lambda _: ordered)
        elif what == "all":
            which = page.text("of")
            order = desk.measured().order
            if which != NOW:
                order = sent_states.order_of(sent_states.state_numbered(desk.content(), int(which or 0)))
            desk.apply(page, lambda job: order_taken(job, order, on, lot))
        else:
            which = page.text("of")
            of = desk.measured() if which == NOW else sent_states.measured_state(desk.content(), int(which or 0))
            desk.apply(page, lambda job: bars_cut(job, bars_of(of, lot), on, lot))
