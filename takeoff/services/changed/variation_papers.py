"""What a comparison gives on paper: the variation to be signed, its workbook, and the comparison as JSON."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from takeoff.files.atomic import write_bytes
from takeoff.files.together import all_or_nothing
from takeoff.language import date_text, money_shown, tr, tr_count
from takeoff.measure.conventions import NET
from takeoff.services.changed.comparing import Comparison, difference_json
from takeoff.services.measured.job_result import measure_job, with_copies
from takeoff.services.offered.offering import currency_of, priced_by
from takeoff.services.offered.priced_quantities import room_quantities
from takeoff.services.written.firm import letterhead_of
from takeoff.sheets.sheet_values import Line, Table
from takeoff.sheets.variation_tables import (
    changes_table,
    lost_table,
    numbered,
    price_table,
    refused_table,
    workings_table,
)
from takeoff.storage import jobs

if TYPE_CHECKING:
    from takeoff.plan.model import Job
    from takeoff.plan.price_terms import PricedItem
    from takeoff.revise.difference import Difference
    from takeoff.services.measured.job_result import Measured
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
    total_lines: list[Line] = []
    if difference.changed:
        tables.append(workings_table(difference, old, new))
        priced, total_lines = _priced(done)
        tables.append(priced)
    tables += [one for one in (refused_table(done.refused), lost_table(compared.lost)) if one is not None]
    count = len(difference.changed)
    lines = [Line(tr("Drawings"), tr("{old} against {new}", old=done.old.source, new=done.new_name))]
    if count:
        lines.append(Line(tr("Changes"), tr_count("{count} room has changed.", "{count} rooms have changed.", count)))
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
        closing=(*total_lines, agreed) if count else (),
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
    currency = currency_of(sides[0])
    table, sums = price_table(added_and_omitted(sides[0], sides[1], done.compared.difference), terms, currency)
    said = tr("Not known: a rate is missing.")
    if sums is not None:
        added, omitted, together = (money_shown(one, currency) for one in sums)
        said = tr("{sum} without tax", sum=together)
        if sums[0] and sums[1]:
            said = tr(
                "{sum} without tax: {added} for what is added less {omitted} for what is omitted",
                sum=together,
                added=added,
                omitted=omitted,
            )
    return table, [Line(tr("Price of the change"), said)]


def added_and_omitted(
    old: Measured, new: Measured, difference: Difference
) -> dict[PricedItem, tuple[Decimal, Decimal]]:
    """What comes to each item that is priced and what comes off it. Billed net they are those of the surfaces; by
    another convention those of the rooms, of which only what is billed in all is known."""
    terms = priced_by(old.job)
    was, now = ({q.room: q.all.items for q in room_quantities(one, terms)} for one in (old, new))
    found: dict[PricedItem, tuple[Decimal, Decimal]] = {}
    nought = Decimal(0)
    for room in dict.fromkeys((*was, *now)):
        before, after = was.get(room, {}), now.get(room, {})
        for item in dict.fromkeys((*before, *after)):
            change = after.get(item, nought) - before.get(item, nought)
            added, omitted = found.get(item, (nought, nought))
            found[item] = added + max(change, nought), omitted + max(-change, nought)
    if (old.job.convention, new.job.convention) == (NET, NET):
        for item, key in KEYS.items():
            q = difference.printed_totals[key]
            added, omitted = found.get(item, (nought, nought))
            if q.added - q.omitted == added - omitted:
                found[item] = q.added, q.omitted
    return found


KEYS: dict[PricedItem, str] = {
    "walls": "wall_net_m2", "ceilings": "ceiling_m2", "drops": "drop_m2", "reveals": "reveal_m2", "bead": "bead_m",
}  # fmt: skip
"""Items that are priced, by the figures of a room that they are."""


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
    return (("", key_picture(measure)), *found) if found else ()
