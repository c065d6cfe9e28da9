"""The page of the account: what is done, billed and due, money that came in."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.account.account_sum import account_of, bill_of
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.services.after_order.work_sheets import account_paper, currency_of
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import account_tables
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on


class Account:
    """Done, billed, due."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        final = (("", tr("not the last")), ("final", tr("the last")))
        group = Group(
            "",
            (
                WorkField("keep", tr("Kept back %"), tr("What is kept back of each bill but the last.")),
                WorkField("final", tr("This bill"), tr("Whether it is the last, of which nothing is kept back"), final),
                WorkField("paid", tr("Came in"), tr("Money that came in.")),
                day_field(),
            ),
            (
                WorkButton("keep", tr("Set"), tr("Set what is kept back")),
                WorkButton("pay", tr("Enter payment"), tr("Enter the money that came in on that day")),
                WorkButton(
                    "bill", tr("Write bill…"), tr("Write the next bill: what is due counts as billed from now on.")
                ),
                WorkButton("print", tr("Write account…"), tr("Write the account there, and a workbook beside it.")),
            ),
        )
        return WorkPage(tr("Account"), (group,))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """The account as it stands."""
        job = self._desk.job
        page.typed["keep"].setPlaceholderText(job.work.keep_percent or "0")
        return account_tables(account_of(job, bool(page.text("final"))), job, currency_of(job))

    def act(self, page: WorkPage, what: str) -> None:
        """Set what is kept back, enter a payment, write the next bill or the account."""
        desk, on, final = self._desk, day_on(page), bool(page.text("final"))
        if what == "keep":
            desk.apply(page, lambda job: edits.set_kept_back(job, page.text("keep")), "keep")
        elif what == "pay":
            desk.apply(page, lambda job: edits.add_payment(job, on, page.text("paid")), "paid")
        else:
            job = desk.job
            bill = bill_of(job, on, final) if what == "bill" else None
            if desk.write(account_paper(job, on, final), tr("account")) and bill is not None:
                desk.apply(page, lambda job: edits.add_bill(job, bill))
