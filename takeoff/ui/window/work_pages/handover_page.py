"""The page of defects and of the sheet that is handed over."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.language import tr
from takeoff.plan import edits
from takeoff.services.after_order.work_sheets import handover_paper
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import defects_table
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on


class HandOver:
    """What is not as it should be, and the sheet that is handed over."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        new = Group(
            "",
            (
                WorkField("place", tr("Place"), tr("Where: a room or a wall.")),
                WorkField("what", tr("Defect"), tr("What is not as it should be.")),
                WorkField("by", tr("By"), tr("Who noticed it or put it right")),
                day_field(),
            ),
            (WorkButton("note", tr("Enter defect"), tr("Enter the defect under the next number")),),
        )
        known = Group(
            "",
            (WorkField("number", tr("Defect"), tr("The defect that is meant"), ()),),
            (
                WorkButton("mend", tr("Put right"), tr("That defect is put right on that day")),
                WorkButton(
                    "write", tr("Hand-over sheet…"), tr("What was coated and measured, and what to heed from now on")
                ),
            ),
        )
        return WorkPage(tr("Hand-over"), (new, known))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """The defects that were noticed."""
        defects = self._desk.job.work.defects
        page.offer("number", [(str(one.number), f"{one.number} {one.place}") for one in defects])
        return (defects_table(defects),)

    def act(self, page: WorkPage, what: str) -> None:
        """Enter a defect, put one right, or write the sheet."""
        desk, on, by = self._desk, day_on(page), page.text("by")
        if what == "note":
            place, words = page.text("place"), page.text("what")
            desk.apply(page, lambda job: edits.note_defect(job, place, words, on, by), "what")
        elif what == "mend":
            number = int(page.text("number") or 0)
            desk.apply(page, lambda job: edits.mend_defect(job, number, on, by))
        else:
            self.write(on)

    def write(self, on: str) -> None:
        """Ask where to, and write the hand-over sheet of that day."""
        self._desk.write(handover_paper(self._desk.measured(), on), tr("hand-over"))
