"""Everything that a measured job gives, written into one folder: all of it or nothing; and the blank form for a
site.
"""

from __future__ import annotations

import datetime
import hashlib
from pathlib import Path
from typing import Literal

import msgspec

from takeoff.errors import InputError, OutputError
from takeoff.files.atomic import write_bytes
from takeoff.files.together import all_or_nothing
from takeoff.language import mark, number, tr
from takeoff.plan.model import Job
from takeoff.plan.site_check import SiteCheck
from takeoff.programme.list_schedule import Programme
from takeoff.services.measured.job_result import Measured, with_copies
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.offered.offer_papers import card_lines, with_terms
from takeoff.services.written.firm import letterhead_of
from takeoff.services.written.supplier_orders import with_suppliers
from takeoff.sheets.sheet_values import PAPERS, READER_OF, Document, Paper
from takeoff.storage import jobs

Page = Literal["A4", "A3", "Letter"]

PAPER_NAMES: dict[Paper, str] = {paper: f"{paper}.pdf" for paper in PAPERS}
CLIENT_NAME = PAPER_NAMES["scope"]
OLDER_NAMES = ("team.pdf",)
"""What earlier versions wrote and this one does not: they would go stale beside new papers, and are removed."""
XLSX_NAME = "takeoff.xlsx"
RESULT_NAME = "result.json"
JOB_NAME = "job.json"

ASKED_FOR = mark("made before the job is checked, for review only")
"""What a draft says that was asked for with nothing to mend."""


MOST_ROOMS_ON_SHEETS = 2_000
"""A card, a plan and workings of each are already thousands of pages, which nobody on site turns over."""


def refuse_more_rooms(job: Job) -> None:
    """Raises InputError, before any work on them, for a job of more rooms than one set of sheets has."""
    if (count := sum(len(storey.rooms) for storey in job.storeys)) > MOST_ROOMS_ON_SHEETS:
        raise InputError(
            tr(
                "The job has {count} rooms, sheets take {most} at most: keep alike rooms once, with their number, or "
                "make a job for each storey.",
                count=number(count),
                most=number(MOST_ROOMS_ON_SHEETS),
            )
        )


def document(measured: Measured, date: str = "", draft: bool = False) -> Document:
    """What the sheets say. ``date`` is printed as given; without it the job's own, else today.

    With something to mend it is a draft, and without anything where ``draft`` asks for one. Raises InputError, with
    the field, for a job that no sheets can be made of: a number that no building has, lists without end.
    """
    from takeoff.plan.limits import refuse_unsound
    from takeoff.sheets.sheet_document import build

    refuse_unsound(measured.job, measured.job.name or tr("Unnamed job"))
    date = date or measured.job.details.date or datetime.date.today().isoformat()
    reason = measured.draft or (tr(ASKED_FOR) if draft else "")
    made = build(
        measured.job,
        measured.takeoff,
        measured.order,
        measured.findings,
        date=date,
        draft=reason,
        if_taken_in=measured.if_taken_in,
    )
    letterhead = letterhead_of(measured.job)
    made = msgspec.structs.replace(made, fingerprint=fingerprint(measured.job), letterhead=letterhead)
    return with_suppliers(with_terms(made, measured, date), measured, date)


def fingerprint(job: Job) -> str:
    """Eight letters that tell whether two papers are of the same job: the first of the SHA-256 of its job.json."""
    return hashlib.sha256(jobs.dump(with_copies(job))).hexdigest()[:8]


def for_paper(sheets: Document, measured: Measured, paper: Paper) -> Document:
    """The sheets with what a paper alone needs: the site sheets' cards and notes of the coating system."""
    if paper != "site" or not measured.takeoff.rooms:
        return sheets
    from takeoff.sheets.room_cards import room_cards
    from takeoff.sheets.site_notes import system_notes
    from takeoff.supply.systems import of_job

    system = of_job(measured.job)
    cards = room_cards(measured.job, measured.takeoff, system.coat.layers, card_lines(measured, sheets.day))
    return msgspec.structs.replace(sheets, cards=cards, notes=(*sheets.notes, system_notes(system)))


def papers_for(measured: Measured, draft: bool = False) -> tuple[Paper, ...]:
    """The papers that may be written: with something to mend none goes to a client, unless a draft is wanted."""
    for_client = draft or not measured.has_errors
    return tuple(paper for paper in PAPERS if for_client or READER_OF[paper] != "client")


def write_everything(
    measured: Measured, sheets: Document, folder: Path, page: Page | None = None, draft: bool = False
) -> tuple[Path, ...]:
    """Write the papers as PDFs, XLSX, CSV tables, result and job into ``folder``; without a ``page`` on the
    paper that is usual in the region.

    With something to mend nothing is written for a client, neither his PDF nor his tables, unless a
    ``draft`` is wanted. The folder is made where it is missing. Files of the same names are replaced, others are left
    alone. Returns the files in the order in which a user wants them. Raises OutputError, and InputError for more rooms
    than sheets are made of; then nothing new is there and nothing is lost.
    """
    from takeoff.sheets import csv_tables, pdf, xlsx

    refuse_more_rooms(measured.job)
    papers = papers_for(measured, draft)
    if "scope" not in papers:
        sheets = sheets.seen_by("team")
    with all_or_nothing(folder) as beside:
        for paper in papers:
            pdf.write(for_paper(sheets, measured, paper), beside / PAPER_NAMES[paper], page or "", paper)
        xlsx.write(sheets, beside / XLSX_NAME)
        tables = csv_tables.write(sheets, beside)
        write_bytes(beside / RESULT_NAME, result_json(measured))
        write_bytes(beside / JOB_NAME, jobs.dump(with_copies(measured.job)))
    remove_older(folder)
    names = [
        *(PAPER_NAMES[paper] for paper in papers),
        XLSX_NAME,
        *(table.relative_to(beside).as_posix() for table in tables),
        RESULT_NAME,
        JOB_NAME,
    ]
    return tuple(folder / name for name in names)


def write_calendar(path: Path, programme: Programme, job: str) -> None:
    """Write the days of a programme as a calendar file. Raises OutputError where it cannot be written."""
    from takeoff.programme.day_calendar import calendar_bytes

    write_bytes(path, calendar_bytes(programme, job))


def remove_older(folder: Path) -> None:
    """Take away what earlier versions wrote into a folder of a job, once new papers are there. Raises OutputError."""
    for name in OLDER_NAMES:
        try:
            (folder / name).unlink(missing_ok=True)
        except OSError as error:
            raise OutputError(
                tr("“{file}” of an earlier version cannot be removed: remove it by hand.", file=folder / name)
            ) from error


MOST_LETTERS = 12
"""So many of the letters that are lacking are named."""


def letters_lacking(sheets: Document) -> str:
    """A sentence about the letters that the PDF sheets cannot show; "" where they show all."""
    from takeoff.sheets.pdf import MISSING, lacking

    letters = lacking(sheets)
    if not letters:
        return ""
    named = letters[:MOST_LETTERS] + ("…" if len(letters) > MOST_LETTERS else "")
    return tr(
        "The font of the PDF sheets lacks {letters}: “{mark}” stands there. Spell those names otherwise; "
        "the tables have them.",
        letters=named,
        mark=MISSING,
    )


MOST_ROOMS = 200


def write_form(path: Path, paper: str = "", rooms: int = 1, job: str = "") -> None:
    """Write a PDF with two pages for each of so many rooms, the second for its site check; ``job`` is printed on each.

    Raises InputError for a number of rooms that nobody reads, OutputError where it cannot be written.
    """
    if not 1 <= rooms <= MOST_ROOMS:
        raise InputError(
            tr("A form has 1 to {most} pages, not {rooms}: give the number of rooms.", most=MOST_ROOMS, rooms=rooms)
        )
    from takeoff.files.atomic import write_bytes
    from takeoff.sheets.flow import usual_paper
    from takeoff.sheets.pdf import Typeface, pages_bytes
    from takeoff.sheets.site_form import form_pages, load_texts

    face = Typeface()
    pages = form_pages(paper or usual_paper(), rooms, face.measure, job)
    write_bytes(path, pages_bytes(pages, face, load_texts().title))


def write_today_form(path: Path, paper: str = "", job: str = "", check: SiteCheck | None = None) -> None:
    """Write the page that asks whether to coat today, by the limits of a job's site check. Raises OutputError where it
    cannot be written."""
    from takeoff.sheets.flow import usual_paper
    from takeoff.sheets.pdf import Typeface, pages_bytes
    from takeoff.sheets.site_check_forms import load_check_texts, today_page

    face = Typeface()
    page = today_page(paper or usual_paper(), face.measure, job, check)
    write_bytes(path, pages_bytes([page], face, load_check_texts().today))
