"""What the pages of the work need of the window: the job as measured, what was sent, one edit, a paper."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

from takeoff.language import mark, tr
from takeoff.plan.model import Job
from takeoff.services.after_order.supply_books import known_packs
from takeoff.services.measured.job_result import Measured
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_papers import WorkPaper, write_paper
from takeoff.storage import jobfile
from takeoff.storage.content import Content, KeptState
from takeoff.supply.systems import of_job
from takeoff.ui import messages
from takeoff.ui.panels.work_page import WorkField, WorkPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.board import measured_of

PDF_KINDS = mark("PDF (*.pdf)")
JOB_KINDS = mark("Jobs (*.takeoff *.json);;All files (*)")


class Desk:
    """Where the pages of the work meet the window. What it gives is of the job as it is now."""

    def __init__(self, space: Workspace) -> None:
        self._space, self._document = space, space.document

    @property
    def job(self) -> Job:
        """The job."""
        return self._document.job

    def content(self) -> Content:
        """What would be saved: the job with the states that were sent."""
        return self._space.files.keeping.content()

    def measured(self) -> Measured:
        """The job as it is measured."""
        return measured_of(self._document.state, self._document.read_findings, self._document.job.name)

    def picture(self, sha256: str) -> bytes | None:
        """The bytes of a picture; None where the job's file has them not."""
        return self._space.files.keeping.picture(sha256)

    def apply(self, page: WorkPage, edit: Callable[[Job], Job], *clears: str) -> None:
        """One edit; what was typed for it stays in the fields where it is refused."""
        if self._document.apply(tr("Work"), edit):
            page.clear(*clears)

    def keep_states(self, states: tuple[KeptState, ...]) -> None:
        """These are the states that were sent; they are saved with the job."""
        self._space.files.keeping.keep_states(states)

    def has_file(self) -> bool:
        """Whether the job has a file that can hold states; it is asked for where it has none."""
        path = self._document.path
        return (path is not None and path.suffix == jobfile.EXTENSION) or self._space.files.save_as()

    def save(self) -> bool:
        """Save the job; whether it was saved."""
        return self._space.files.save()

    def say(self, text: str) -> None:
        """A short word in the foot."""
        self._space.say(text)

    def folder(self, title: str) -> Path | None:
        """Ask for a folder."""
        return messages.current().folder(self._space.window, title)

    def jobs_to_read(self, title: str) -> tuple[Path, ...]:
        """Ask for files of other jobs."""
        return messages.current().files_to_open(self._space.window, title, tr(JOB_KINDS))

    def write(self, paper: WorkPaper, name: str) -> bool:
        """Ask where to, and write a paper; whether it was written."""
        path = messages.current().file_to_save(self._space.window, paper.title, tr(PDF_KINDS), f"{name}.pdf")
        if path is None:
            return False
        files = write_paper(paper, path if path.suffix.lower() == ".pdf" else Path(f"{path}.pdf"))
        self._space.say(tr("Written: {file}", file=files[0]))
        return True


class Subject(Protocol):
    """One subject of the work, that has a page: its fields and buttons, what it shows, what a button does."""

    def make_page(self) -> WorkPage:
        """The page, empty."""
        ...

    def shows(self, page: WorkPage) -> Sequence[Table]:
        """Offer what can be chosen now; what the job says. Raises InputError where it cannot be worked out."""
        ...

    def act(self, page: WorkPage, what: str) -> None:
        """Do what the button of that key is for. Raises InputError for what cannot be."""
        ...


def day_field() -> WorkField:
    """The field of the day."""
    return WorkField("on", tr("Date"), tr("The day; today if not given."), hint="2031-05-20")


def day_on(page: WorkPage) -> str:
    """The day as typed; today where none is."""
    return page.text("on") or today()


def today() -> str:
    """Today, as days are written."""
    return datetime.date.today().isoformat()


def offer_packs(page: WorkPage, job: Job) -> None:
    """Every pack that the job's coating system knows, to choose from."""
    packs = known_packs(of_job(job))
    page.offer("pack", [(f"{one.item}/{one.pack}", f"{one.product}: {one.said}") for one in packs])
