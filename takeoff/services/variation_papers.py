"""What a comparison gives on paper: the variation to be signed, its workbook, and the comparison as JSON."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from takeoff.files.atomic import write_bytes
from takeoff.files.together import all_or_nothing
from takeoff.language import date_text, money_shown, tr, tr_count
from takeoff.services.comparing import Comparison, difference_json
from takeoff.services.firm import letterhead_of
from takeoff.services.job_result import measure_job, with_copies
from takeoff.services.offering import currency_of, priced_by
from takeoff.services.priced_quantities import room_quantities, summed
from takeoff.sheets.sheet_values import Line, Table
from takeoff.sheets.variation_tables import changes_table, lost_table, numbered, price_table, workings_table
from takeoff.storage import jobs

if TYPE_CHECKING:
    from takeoff.plan.model import Job
    from takeoff.sheets.picture import Measure, Picture
    from takeoff.sheets.work_papers import WorkPaper

DIFFERENCE_NAME, JOB_NAME = "difference.json", "job.json"
VARIATION_NAME, BOOK_NAME = "variation.pdf", "variation.xlsx"
PLAN_WIDTH_MM, PLAN_HEIGHT_MM = 180.0, 105.0


def write_variation(done: Comparison, folder: Path, accept: bool, page: str = "", date: str = "") -> tuple[Path, ...]:
    """Write the variation as PDF and workbook, and the comparison as JSON, into ``folder``; with ``accept`` the job
    with all changes in it too. Returns the files. Raises OutputError; then nothing is new and nothing lost."""
    from takeoff.sheets.work_papers import write_paper

    names = [VARIATION_NAME, BOOK_NAME, DIFFERENCE_NAME]
    with all_or_nothing(folder) as beside:
        write_paper(variation_paper(done, date), beside / VARIATION_NAME, page)
        write_bytes(beside / DIFFERENCE_NAME, difference_json(done))
        if accept:
            write_bytes(beside / JOB_NAME, jobs.dump(with_copies(done.compared.job)))
            names.append(JOB_NAME)
    return tuple(folder / name for name in names)


def variation_paper(done: Comparison, date: str = "") -> WorkPaper:
    """What the variation says: plans with the changes marked, list, workings, price, what was lost, signatures."""
    from takeoff.sheets.pdf import Typeface
    from takeoff.sheets.work_papers import WorkPaper

    compared = done.compared
    old, new, difference = compared.old, compared.job, compared.difference
    on = date or old.details.date or datetime.date.today().isoformat()
    tables: list[Table] = [changes_table(difference)]
    total_line: list[Line] = []
    if difference.changed:
        tables.append(workings_table(difference, old, new))
        priced, total_line = _priced(done)
        tables.append(priced)
    lost = lost_table(compared.lost)
    tables += [lost] if lost is not None else []
    count = len(difference.changed)
    lines = [
        Line(tr("Drawings"), tr("{old} against {new}", old=done.old.source, new=done.new_name)),
        Line(tr("Changes"), tr_count("{count} room is otherwise.", "{count} rooms are otherwise.", count)),
    ]
    lines += [Line(tr("To check"), f.text, urgent=True) for f in done.findings if f.severity == "check"][:6]
    agreed = Line(tr("Agreed"), tr("The changes listed above, and the work that follows from them."))
    return WorkPaper(
        title=tr("Variation"),
        job=old.name,
        addressed=", ".join(part for part in (old.details.client, old.details.site) if part),
        date=_day(on),
        firm=old.details.contractor,
        lines=tuple(lines),
        tables=tuple(tables),
        closing=(*total_line, agreed) if count else (),
        sign=(tr("Client, date and signature"), tr("Contractor, date and signature")) if count else (),
        pictures=_plans(old, new, numbered(difference), Typeface().measure),
        letterhead=letterhead_of(old),
    )


def _day(on: str) -> str:
    try:
        return date_text(datetime.date.fromisoformat(on))
    except ValueError:
        return on


def _priced(done: Comparison) -> tuple[Table, list[Line]]:
    """The price of the change at the job's rates, by what its convention bills."""
    sides = [
        measure_job(msgspec.structs.replace(done.old, job=job, findings=()))
        for job in (done.compared.old, done.compared.job)
    ]
    terms = priced_by(done.compared.old)
    quantities = [summed(room_quantities(one, terms)).items for one in sides]
    currency = currency_of(sides[0])
    table, total = price_table(quantities[0], quantities[1], terms, currency)
    said = tr("Not known: a rate is missing.")
    if total is not None:
        said = tr("{sum} without tax", sum=money_shown(total, currency))
    return table, [Line(tr("Price of the change"), said)]


def _plans(old: Job, new: Job, numbers: Mapping[str, int], measure: Measure) -> tuple[tuple[str, Picture], ...]:
    """A plan of every storey in which anything is otherwise, and the key."""
    from takeoff.sheets.variation_picture import key_picture, variation_picture

    before = {storey.id: storey for storey in old.storeys}
    found = []
    for storey in new.storeys:
        was = before.get(storey.id)
        rooms = {str(room.id) for one in (was, storey) if one is not None for room in one.rooms}
        own = {name: number for name, number in numbers.items() if name in rooms}
        picture = variation_picture(was, storey, own, measure, PLAN_WIDTH_MM, PLAN_HEIGHT_MM) if own else None
        if picture is not None:
            found.append((tr("{storey}, 1 : {scale}", storey=storey.title, scale=picture.scale), picture))
    return (*found, ("", key_picture(measure))) if found else ()
