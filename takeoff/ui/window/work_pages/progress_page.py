"""The page of progress: how far the rooms are, days on site, what the crew's own jobs took."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.work_records import ROOM_STAGES, RoomStageName
from takeoff.services.after_order.consumption import own_consumption_of
from takeoff.services.after_order.day_books import day_typed
from takeoff.services.after_order.work_sheets import progress_for, room_names
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import STAGE_WORDS, consumption_table, progress_table, stage_table
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage
from takeoff.ui.window.work_pages.work_desk import Desk, day_field, day_on, offer_packs


class Progress:
    """How far the rooms are, and the days on site."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._own: tuple[Table, ...] = ()
        """What jobs that are done took, once they were chosen."""

    def make_page(self) -> WorkPage:
        """Its fields and buttons."""
        stages = tuple((key, tr(STAGE_WORDS[key])) for key in ROOM_STAGES)
        where = Group(
            "",
            (
                WorkField("room", tr("Room"), tr("Room"), ()),
                day_field(),
                WorkField("by", tr("Who"), tr("Who worked there.")),
                WorkField("stage", tr("Stage"), tr("How far the room is"), stages),
            ),
            (WorkButton("set", tr("Set stage"), tr("The room is so far on that day")),),
        )
        day = Group(
            tr("A day's work"),
            (
                WorkField("hours", tr("Hours"), tr("Hours, of all together.")),
                WorkField("pack", tr("Opened"), tr("Which pack was opened"), ()),
                WorkField("count", tr("Number"), tr("How many")),
                WorkField("batch", tr("Batch"), tr("The batch.")),
                WorkField("place", tr("Gauge at"), tr("Where the wet-film gauge was read")),
                WorkField("mm", tr("Reading mm"), tr("A reading of the wet-film gauge.")),
            ),
            (
                WorkButton("day", tr("Enter day"), tr("Enter hours, tubs and the reading for that room and day")),
                WorkButton("undo", tr("Remove last"), tr("Remove the last entry")),
                WorkButton(
                    "own", tr("Own consumption…"), tr("Choose jobs that are done: litres per m², and over how many m²")
                ),
            ),
        )
        return WorkPage(tr("Progress"), (where, day))

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """The rooms by stage, and what own jobs took where it was asked for."""
        desk = self._desk
        offer_packs(page, desk.job)
        names = room_names(desk.job)
        page.offer("room", list(names.items()))
        measured = desk.measured()
        return progress_table(progress_for(measured), names), *self._own, stage_table(measured.job)

    def act(self, page: WorkPage, what: str) -> None:
        """Set a room's stage, enter a day or take the last one out, ask for own consumption."""
        desk, room, on, by = self._desk, page.text("room"), day_on(page), page.text("by")
        if what == "set":
            stage = cast(RoomStageName, page.text("stage"))
            desk.apply(page, lambda job: edits.set_room_stage(job, room, stage, on, by))
            return
        if what == "undo":
            desk.apply(page, lambda job: edits.take_day_out(job, len(job.work.days) - 1))
            return
        if what == "own":
            self._own_consumption()
            return
        opened = [f"{page.text('pack')}={page.text('count')}"] if page.text("count") else []
        gauge = [f"{page.text('place')}={page.text('mm')}"] if page.text("mm") else []
        hours = _hours(page.text("hours"))
        desk.apply(
            page,
            lambda job: day_typed(job, room, on, by, hours, opened, page.text("batch"), gauge),
            "hours",
            "count",
            "place",
            "mm",
        )

    def _own_consumption(self) -> None:
        """Ask for jobs that are done, and show what they took. Nothing is kept and nothing changed."""
        paths = self._desk.jobs_to_read(tr("Choose jobs that are done"))
        if paths:
            self._own = (consumption_table(own_consumption_of(paths)),)


def _hours(text: str) -> float:
    try:
        return float(text.replace(",", ".") or 0)
    except ValueError:
        raise InputError(tr("Hours of a day and its crew lie between 0 and 1,000.")) from None
