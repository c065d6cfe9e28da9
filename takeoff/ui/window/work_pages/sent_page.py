"""The page of sent states: sending, the contract, one state against another, going back."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.services.after_order import sent_states
from takeoff.services.after_order.state_lists import NOW, compared, state_rows
from takeoff.services.after_order.work_sheets import currency_of
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import compared_table, states_table
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on


class SentStates:
    """What was sent, when and to whom, and which of it is the contract."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        sending = Group(
            "",
            (
                WorkField("to", tr("For whom"), tr("Whom the sheets are sent to.")),
                WorkField("by", tr("By"), tr("Who did it.")),
                WorkField("note", tr("Note"), tr("A word about it.")),
                day_field(),
            ),
            (
                WorkButton(
                    "send", tr("Send…"), tr("Export the sheets into a folder, and keep in the job what they show")
                ),
            ),
        )
        line = Group(
            tr("States"),
            (
                WorkField("state", tr("State"), tr("The state that is meant"), ()),
                WorkField("other", tr("Against"), tr("The state that it is compared with"), ()),
            ),
            (
                WorkButton("accept", tr("Accepted"), tr("The price of that state is the contract.")),
                WorkButton("back", tr("Go back"), tr("The job as it was in that state; what is there now is kept.")),
            ),
        )
        return WorkPage(tr("Sent"), (sending, line))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """The states, and two of them compared."""
        content = self._desk.content()
        rows = state_rows(content)
        numbers = [(str(row.number), tr("State {number}", number=row.number)) for row in rows]
        page.offer("state", numbers)
        page.offer("other", [(NOW, tr("as it is now")), *numbers])
        tables: list[Table] = [states_table(rows, currency_of(content.job))]
        if rows:
            old, new = page.text("state"), page.text("other")
            names = dict(((NOW, tr("as it is now")), *numbers))
            title = tr("{old} against {new}", old=names[old], new=names[new])
            tables.append(compared_table(compared(content, old, new), title))
        return tables

    def act(self, page: WorkPage, what: str) -> None:
        """Send, accept as the contract, or go back."""
        desk = self._desk
        if what == "send":
            self._send(page)
            return
        content = desk.content()
        number, on = int(page.text("state") or 0), day_on(page)
        if what == "accept":
            state = sent_states.state_numbered(content, number)
            contract = sent_states.contract_of(state, on, page.text("by"))
            desk.apply(page, lambda job: edits.accept_contract(job, contract))
        elif what == "back":
            back = sent_states.back_to(content, number, on)
            desk.keep_states(back.states)
            desk.apply(page, lambda job: back.job)

    def _send(self, page: WorkPage) -> None:
        """Ask for a folder, write the sheets, keep the state and save the job, which must have a file for it."""
        said = sent_states.Said(day_on(page), page.text("to"), page.text("by"), page.text("note"))
        if not said.to:
            raise InputError(tr("Name whom the sheets are sent to."))
        desk = self._desk
        if not desk.has_file():
            return
        folder = desk.folder(tr("Send: folder of the sheets"))
        if folder is None:
            return
        content, written = sent_states.send(desk.content(), desk.measured(), folder, said)
        desk.keep_states(content.states)
        if desk.save():
            page.clear("to", "note")
            count, number = len(written), content.states[-1].number
            desk.say(tr("State {number} is kept, with {count} sheets.", number=number, count=count))
