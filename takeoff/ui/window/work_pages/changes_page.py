"""The page of changes on site: what is done otherwise than agreed, and what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import msgspec

from takeoff.account.change_price import over_limit
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.price_terms import PRICED_ITEMS
from takeoff.plan.work_records import CHANGE_STATES, ChangeState
from takeoff.price.offer import ITEM_NAMES
from takeoff.services.after_order import sent_states
from takeoff.services.after_order.work_sheets import change_paper, currency_of
from takeoff.services.changed.site_changes import TypedChange, all_priced, change_typed, from_drawing
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import STATE_WORDS, changes_table
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on


class SiteChanges:
    """What is done otherwise than agreed."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        items = (("", tr("none")), *((key, tr(ITEM_NAMES[key][0])) for key in PRICED_ITEMS))
        states = tuple((key, tr(STATE_WORDS[key])) for key in CHANGE_STATES)
        new = Group(
            "",
            (
                WorkField("place", tr("Place"), tr("Where: a room or a wall.")),
                WorkField("what", tr("Work"), tr("What is to be done there.")),
                WorkField("item", tr("Item"), tr("Item of the contract whose rate it has"), items),
                WorkField("size", tr("Size"), tr("Count and dimensions in m."), hint="2 × 3.60 × 1.20"),
                WorkField("hours", tr("Hours"), tr("Hours of work, at the rate of an hour.")),
                WorkField("materials", tr("Materials"), tr("Materials, as a sum.")),
                WorkField("price", tr("Price"), tr("Price of one unit, where the contract has none.")),
                WorkField("by", tr("Instructed by"), tr("Who instructed it")),
                WorkField("days", tr("Days"), tr("By how many days the work ends later.")),
                WorkField("photo", tr("Photo"), tr("Photo of the job that shows it."), ()),
                day_field(),
            ),
            (
                WorkButton("add", tr("Enter"), tr("Enter the change under the next number")),
                WorkButton("omit", tr("Enter as omitted"), tr("It comes off instead.")),
            ),
        )
        known = Group(
            tr("Its state"),
            (
                WorkField("number", tr("Change"), tr("The change that is meant"), ()),
                WorkField("state", tr("State"), tr("What became of it"), states),
                WorkField("person", tr("By"), tr("Who agreed or instructed")),
            ),
            (
                WorkButton("set", tr("Set state"), tr("Set the state of the change on that day")),
                WorkButton("bill", tr("Bill all the same"), tr("Bill it although nobody agreed; it is marked so.")),
                WorkButton("page", tr("Page to sign…"), tr("Write the page of the change, to be signed")),
            ),
        )
        since = Group(
            tr("The drawing has changed"),
            (WorkField("since", tr("Since state"), tr("The state that the job is compared with"), ()),),
            (WorkButton("propose", tr("Propose"), tr("Propose what differs from that state, room by room.")),),
        )
        return WorkPage(tr("Changes on site"), (new, known, since))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """The changes with their price and state."""
        job = self._desk.job
        page.offer("photo", [("", tr("none")), *((photo.id, photo.note or photo.name) for photo in job.photos)])
        page.offer("number", [(str(one.number), f"{one.number} {one.place}") for one in job.work.changes])
        page.offer("since", [(str(one.number), str(one.number)) for one in self._desk.content().states])
        return (changes_table(all_priced(job), currency_of(job), over_limit(job)),)

    def act(self, page: WorkPage, what: str) -> None:
        """Enter a change, propose what differs from a state, or say what became of one."""
        desk, on = self._desk, day_on(page)
        if what in ("add", "omit"):
            keys = ("place", "what", "item", "size", "hours", "materials", "price", "by", "days", "photo")
            typed = TypedChange(**{key: page.text(key) for key in keys}, omitted=what == "omit")
            desk.apply(page, lambda job: change_typed(job, typed, on), "what", "size", "hours", "materials", "price")
            return
        if what == "propose":
            number = int(page.text("since") or 0)
            content = desk.content()
            was = sent_states.job_of(sent_states.state_numbered(content, number))
            old = sent_states.measured_of(msgspec.structs.replace(content, job=was))
            new = desk.measured()
            desk.apply(page, lambda job: from_drawing(job, old, new, on, number))
            return
        number = int(page.text("number") or 0)
        if what == "set":
            state = cast(ChangeState, page.text("state"))
            desk.apply(page, lambda job: edits.set_change_state(job, number, state, on, page.text("person")))
        elif what == "bill":
            desk.apply(page, lambda job: edits.bill_unagreed(job, number))
        else:
            desk.write(change_paper(desk.job, number, on, desk.picture), tr("change {number}", number=number))
