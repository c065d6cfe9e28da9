"""The days of a job in the window: their page, the edits of its terms, and the calendar file."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.edits.programme_edits import add_crew, set_crews, set_lived_in, with_programme
from takeoff.plan.model import Job
from takeoff.plan.price_terms import WorkItem
from takeoff.services.offered.offering import NO_DATE, calendar_of
from takeoff.services.written.writing import write_calendar
from takeoff.ui import messages
from takeoff.ui.panels.days_page import DaysPage
from takeoff.ui.window.kept_page import KeptPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.offering_seen import days_shown

PAGE = "days"


def add(space: Workspace) -> None:
    """Give the window its page of days."""
    Days(space)


class Days(KeptPage[DaysPage]):
    """Keeps the page and the job together."""

    def __init__(self, space: Workspace) -> None:
        tip = tr("How many days the job takes: crews, rooms given back by night, bars, a calendar file")
        super().__init__(space, "days", PAGE, tr("Days on site…"), tip)

    def made(self) -> DaysPage:
        """The page, its signals connected."""
        page = DaysPage()
        page.typed.connect(self._typed)
        page.lived_in.connect(self._lived_in)
        page.crews.added.connect(self._add_crew)
        page.crews.taken_out.connect(self._remove_crew)
        page.calendar_wanted.connect(self._calendar)
        return page

    def fill(self, page: DaysPage) -> None:
        """Show the terms and what they come to."""
        job = self._document.job
        rooms = [(str(room.id), room.title) for storey in job.storeys for room in storey.rooms]
        page.show_terms(job.programme, rooms)
        shown = days_shown(self._document.state, self._document.considered)
        page.show_days(shown.said, shown.instead)

    def _apply(self, edit: Callable[[Job], Job]) -> None:
        if not self._document.apply(tr("Set the days"), edit):
            self.refresh()

    def _typed(self, key: str, text: str) -> None:
        self._apply(lambda job: _workable(with_programme(job, {key: text})))

    def _add_crew(self, name: str, people: str, works: list[WorkItem]) -> None:
        before = self._document.job
        self._apply(lambda job: add_crew(job, name, people, works))
        if self._document.job is not before and self.page is not None:
            self.page.crews.clear()

    def _remove_crew(self, number: int) -> None:
        def edit(job: Job) -> Job:
            crews = job.programme.crews
            return set_crews(job, (*crews[:number], *crews[number + 1 :]))

        self._apply(edit)

    def _lived_in(self, room: str, lived_in: bool) -> None:
        def edit(job: Job) -> Job:
            rooms = set(job.programme.lived_in) - {room}
            return set_lived_in(job, rooms | {room} if lived_in else rooms)

        self._apply(edit)

    def _calendar(self) -> None:
        said = days_shown(self._document.state, self._document.considered).said
        if said is None or not said.planned.dated:
            self._space.tell(tr("A calendar file needs dates: enter the first day."))
            return
        name = self._document.job.name or tr("days")
        path = messages.current().file_to_save(
            self._space.window, tr("Save the days as a calendar file"), tr("Calendar (*.ics)"), f"{name}.ics"
        )
        if path is None:
            return
        try:
            write_calendar(path, said.planned.programme, name)
        except TakeoffError as error:
            self._space.tell(str(error))
        else:
            self._space.say(tr("Written: {file}", file=path.name))


def _workable(job: Job) -> Job:
    """The job; InputError where nobody can work by its terms."""
    calendar_of(job.programme, int(job.programme.start[:4] or NO_DATE.year))
    return job
