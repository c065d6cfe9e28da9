"""The papers of a job, all or some of them, written into a folder of the job's own and never over another job's."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal, get_args

from takeoff.errors import InputError, OutputError, TakeoffError
from takeoff.files.atomic import write_bytes
from takeoff.files.together import all_or_nothing
from takeoff.language import tr
from takeoff.plan.edits.paper_edits import LONGEST_TERMS as MOST_TERMS
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured, with_copies
from takeoff.services.offered.offering import programme_of
from takeoff.services.written.writing import (
    JOB_NAME,
    PAPER_NAMES,
    XLSX_NAME,
    Page,
    for_paper,
    papers_for,
    refuse_more_rooms,
    remove_older,
)
from takeoff.sheets.sheet_values import PAPERS, Document, Paper
from takeoff.storage import jobs

More = Literal["workbook", "tables", "calendar"]
PARTS: tuple[Paper | More, ...] = (*PAPERS, *get_args(More))
"""What can be written by itself: the papers, the workbook, the CSV tables, the calendar of a programme with dates."""

CALENDAR_NAME = "calendar.ics"


def parts_of(names: str) -> tuple[Paper | More, ...]:
    """The parts named, parted by commas, in the order of ``PARTS``; "" for all. Raises InputError for another name."""
    asked = {name.strip().lower() for name in names.split(",") if name.strip()}
    unknown = sorted(asked - set(PARTS))
    if unknown:
        raise InputError(
            tr("There is no sheet called “{name}”: choose among {names}.", name=unknown[0], names=", ".join(PARTS))
        )
    return tuple(part for part in PARTS if not asked or part in asked)


def terms_in(file: Path) -> str:
    """The text of a file of terms, its lines as one paragraph. Raises InputError where it is none or too long."""
    try:
        with file.open("rb") as stream:
            data = stream.read(4 * MOST_TERMS + 1)
        text = " ".join(data.decode("utf-8-sig").split())
    except OSError as error:
        raise InputError(tr("“{file}” cannot be read: choose another file of terms.", file=file)) from error
    except UnicodeDecodeError as error:
        raise InputError(tr("“{file}” is no plain text: save your terms as text in UTF-8.", file=file)) from error
    if len(data) > 4 * MOST_TERMS or len(text) > MOST_TERMS:
        raise InputError(
            tr("“{file}” is longer than a page, {most} letters: shorten your terms.", file=file, most=MOST_TERMS)
        )
    return text


def folder_beside(file: Path) -> Path:
    """The folder named after a job's file, beside it: "mill house" for "mill house.job.json"."""
    name = file.name
    for ending in (".job.json", file.suffix):
        name = name.removesuffix(ending)
    # a file without an ending has the name that the folder would need
    return file.with_name(name if name != file.name else f"{name} sheets")


def refuse_another_jobs(folder: Path, job: Job, names: tuple[str, ...] = ()) -> None:
    """Raises OutputError where the folder holds what was written for another job, or, with ``names``, files of
    these names that nobody can tell the job of. The job is told by the job.json beside them: by its name, or by a
    drawing that both were measured from."""
    kept = folder / JOB_NAME
    if not os.path.exists(kept):
        found = next((name for name in names if os.path.exists(folder / name)), "")
        if found:
            raise OutputError(
                tr(
                    "“{file}” is there and no job.json tells of which job: choose another folder with -o.",
                    file=folder / found,
                )
            )
        return
    try:
        other = jobs.load(kept.read_bytes(), kept.name)
    except (TakeoffError, OSError) as error:
        raise OutputError(tr("“{file}” cannot be read as a job: choose another folder with -o.", file=kept)) from error
    if not _same(job, other):
        name = other.name or tr("Unnamed job")
        raise OutputError(
            tr("“{folder}” holds the sheets of another job, {name}: choose another folder.", folder=folder, name=name)
        )


def _same(job: Job, other: Job) -> bool:
    one, two = ({ref.sha256 for ref in of.drawings if ref.sha256} for of in (job, other))
    if one and two:
        return bool(one & two) or (job.name == other.name and bool(job.name))
    return job.name == other.name


def write_parts(
    measured: Measured,
    sheets: Document,
    folder: Path,
    parts: tuple[Paper | More, ...] = PARTS,
    page: Page | None = None,
    draft: bool = False,
    asked: bool = False,
) -> tuple[Path, ...]:
    """Write these parts, and the job they are of, into ``folder``; all of them or nothing.

    With something to mend nothing goes to a client unless a ``draft`` is wanted. ``asked``: the parts were named, so
    that a calendar without dates is refused and not left out. Returns the files, the job's last; () where nothing
    may be written. Raises OutputError and InputError.
    """
    from takeoff.sheets import csv_tables, pdf, xlsx

    refuse_more_rooms(measured.job)
    papers = tuple(paper for paper in papers_for(measured, draft) if paper in parts)
    whole = sheets if draft or not measured.has_errors else sheets.seen_by("team")
    planned = _calendar(measured, asked) if "calendar" in parts else b""
    names = [PAPER_NAMES[paper] for paper in papers]
    names += [XLSX_NAME] if "workbook" in parts else []
    names += [CALENDAR_NAME] if planned else []
    if not names and "tables" not in parts:
        return ()
    refuse_another_jobs(folder, measured.job, tuple(names))
    with all_or_nothing(folder) as beside:
        for paper in papers:
            pdf.write(for_paper(whole, measured, paper), beside / PAPER_NAMES[paper], page or "", paper)
        if "workbook" in parts:
            xlsx.write(whole, beside / XLSX_NAME)
        if planned:
            write_bytes(beside / CALENDAR_NAME, planned)
        if "tables" in parts:
            names += [table.relative_to(beside).as_posix() for table in csv_tables.write(whole, beside)]
        write_bytes(beside / JOB_NAME, jobs.dump(with_copies(measured.job)))
    if papers:
        remove_older(folder)
    return tuple(folder / name for name in (*names, JOB_NAME))


def _calendar(measured: Measured, asked: bool) -> bytes:
    """The days as a calendar file; b"" where they have no dates and nobody asked."""
    from takeoff.programme.day_calendar import calendar_bytes

    if not measured.job.programme.start:
        if asked:
            raise InputError(tr("A calendar needs dates: set the first day of the programme."))
        return b""
    return calendar_bytes(programme_of(measured).programme, measured.job.name)
