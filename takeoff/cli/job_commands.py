"""Commands that say what a job costs, how many days it takes and what its lots buy."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click
import msgspec

from takeoff.cli import options
from takeoff.files.from_outside import named_in_refusals, within_memory
from takeoff.language import tr
from takeoff.plan.price_terms import DIFFICULTIES, PRICED_ITEMS

if TYPE_CHECKING:
    from takeoff.plan.model import Job
    from takeoff.services.measured.job_result import Measured
    from takeoff.sheets.sheet_values import Table

FILE = click.Path(path_type=Path)


@click.command(help=tr("Say what a job costs, by its price terms. What has no rate is listed, and has no total."))
@click.argument("file", type=FILE)
@click.option(
    "--rate",
    "rates",
    multiple=True,
    metavar="ITEM=PRICE",
    help=tr("Rate of an item, for one m² or m: {items}.", items=", ".join(PRICED_ITEMS)),
)
@click.option(
    "--hour", metavar="PRICE", help=tr("Build the price up from hours at this rate, visits and materials instead.")
)
@click.option("--visit", metavar="PRICE", help=tr("Cost of each visit, of a price that is built up."))
@click.option("--travel", metavar="PRICE", help=tr("Cost of travel to each visit, of a price that is built up."))
@click.option("--markup", metavar="PERCENT", help=tr("Mark-up on a price that is built up."))
@click.option("--tax", metavar="PERCENT", help=tr("Tax on it; a rate or line may have its own: walls=31.20 @5%."))
@click.option("--minimum", metavar="PRICE", help=tr("Least price of a job, without tax."))
@click.option(
    "--by-width",
    "widths",
    multiple=True,
    metavar="MM=PRICE",
    help=tr("Price of a metre of reveals and narrow work up to this width: 150=9.50."),
)
@click.option(
    "--extra",
    "extras",
    multiple=True,
    metavar="LINE",
    help=tr("A line with its own price, such as hire, waste or an hour: Skip hire=1 each 120."),
)
@click.option(
    "--difficulty",
    multiple=True,
    metavar="WHAT=FACTOR",
    help=tr("What makes work slower, of a price that is built up: {items}.", items=", ".join(DIFFICULTIES)),
)
@click.option(
    "--dryer-day",
    "dryer_day",
    metavar="PRICE",
    help=tr("Hire of a dehumidifier for a day; `takeoff days --dehumidifier` says how much it takes out."),
)
@click.option("--currency", metavar="CODE", help=tr("Currency of the prices: EUR, GBP …"))
@click.option("--valid", "valid_days", metavar="DAYS", help=tr("For how many days the offer is valid."))
@click.option(
    "--shown", type=click.Choice(["lump", "rooms", "items"]), help=tr("What the client sees: one sum, rooms or items.")
)
@click.option(
    "-o", "--output", "job_file", type=FILE, metavar="JOB.json", help=tr("Save the job with these terms there.")
)
def price(file: Path, rates: tuple[str, ...], job_file: Path | None, **given: Any) -> int:
    """What a job costs."""
    from takeoff.plan import edits
    from takeoff.services.offered.offering import currency_of, offer_of, priced_by
    from takeoff.sheets.offer_tables import offer_tables

    measured = _measured(file)
    job = edits.with_rates(measured.job, rates)
    job = edits.with_widths(job, given.pop("widths"))
    job = edits.with_extras(job, given.pop("extras"))
    job = edits.with_difficulty(job, given.pop("difficulty"))
    currency, shown = given.pop("currency"), given.pop("shown")
    job = edits.with_currency(job, currency) if currency is not None else job
    job = edits.with_way(job, "shown", shown) if shown is not None else job
    job = edits.with_terms(job, {name: value for name, value in given.items() if value is not None})
    measured = msgspec.structs.replace(measured, job=job)
    with named_in_refusals(file):
        tables = offer_tables(offer_of(measured), priced_by(job), currency_of(measured))
    _print(*tables)
    _save(job, job_file)
    return 0


@click.command(
    help=tr(
        "Say how many days a job takes: work by the crew's hours, drying by the clock; when each room is given back, "
        "what the crew closes in one go, and the water that dries out."
    )
)
@click.argument("file", type=FILE)
@click.option(
    "--start", callback=options.date, metavar="YYYY-MM-DD", help=tr("First day; without it days are counted.")
)
@click.option("--people", metavar="N", help=tr("How many people work."))
@click.option("--together", metavar="N", help=tr("How many of a crew work together in one room; 1 if not given."))
@click.option(
    "--crew",
    "crews",
    multiple=True,
    metavar="NAME:N=WORK,…",
    help=tr("People beside the team and what they alone do: {example}.", example="Sanders:2=sand,finish"),
)
@click.option("--country", metavar="CODE", help=tr("Whose public holidays count: GB, DE, DE-BY …"))
@click.option("--lived-in", "lived_in", multiple=True, metavar="ROOM", help=tr("A room that is given back by night."))
@click.option("--holds-until", "holds_until", metavar="YYYY-MM-DD", help=tr("The day by which holds are cleared."))
@click.option("--rate", "pace", metavar="M2_H", help=tr("How many m² one person coats in an hour."))
@click.option("--working", metavar="MIN", help=tr("How many minutes the coat can be worked."))
@click.option("--inside", metavar="C/PERCENT", help=tr("Air inside, to dry out: 20/60."))
@click.option("--outside", metavar="C/PERCENT", help=tr("Air outside, to dry out: 5/80."))
@click.option("--changes", metavar="N", help=tr("Air changes an hour."))
@click.option(
    "--dehumidifier", "dryer", metavar="L_DAY", help=tr("What the hired dehumidifier takes in a day, litres.")
)
@click.option("--calendar", "ics", type=FILE, metavar="FILE.ics", help=tr("Write the days as a calendar file."))
@click.option(
    "-o", "--output", "job_file", type=FILE, metavar="JOB.json", help=tr("Save the job with these terms there.")
)
def days(
    file: Path,
    start: datetime.date | None,
    crews: tuple[str, ...],
    lived_in: tuple[str, ...],
    ics: Path | None,
    job_file: Path | None,
    **typed: str | None,
) -> int:
    """How many days a job takes."""
    from takeoff.plan.edits.programme_edits import set_crews_typed, set_lived_in_named, with_programme
    from takeoff.services.offered.days_said import days_said
    from takeoff.services.written.writing import write_calendar

    measured = _measured(file)
    given = {name: text for name, text in typed.items() if text is not None}
    job = with_programme(measured.job, {**given, **({"start": start.isoformat()} if start else {})})
    job = set_crews_typed(job, crews) if crews else job
    job = set_lived_in_named(job, lived_in) if lived_in else job
    measured = msgspec.structs.replace(measured, job=job)
    with named_in_refusals(file):
        said = days_said(measured, datetime.datetime.now())
    if ics is not None:
        if not said.planned.dated:
            raise click.UsageError(tr("A calendar file needs dates: give --start."))
        write_calendar(ics, said.planned.programme, measured.job.name or file.stem)
    for line in said.lines:
        click.echo(f"{line.label}: {line.text}\n")
    _print(said.rooms, said.days, said.closing)
    if ics is not None:
        click.echo(tr("Written: {file}", file=ics))
    _save(job, job_file)
    return 0


@click.command(
    help=tr("Say what each lot buys; leftovers go on to the next. Without lots in the job: by plot or storey.")
)
@click.argument("file", type=FILE)
@click.option("--by", type=click.Choice(["plot", "storey"]), help=tr("One lot for each plot, or for each storey."))
@click.option("-o", "--output", "job_file", type=FILE, metavar="JOB.json", help=tr("Save the job with its lots there."))
def lots(file: Path, by: Literal["plot", "storey"] | None, job_file: Path | None) -> int:
    """What each lot buys."""
    from takeoff.plan.edits.lot_edits import lot_for_each_plot, lot_for_each_storey
    from takeoff.services.measured.lots_said import lots_said

    measured = _measured(file)
    job = measured.job
    if by == "plot":
        job = lot_for_each_plot(job)
    elif by == "storey" or not job.lots:
        job = lot_for_each_storey(job)
    with named_in_refusals(file):
        said = lots_said(msgspec.structs.replace(measured, job=job))
    for line in said.lines:
        click.echo(f"{line.label}: {line.text}\n")
    _print(*said.lots, *said.cuts, said.together)
    _save(job, job_file)
    return 0


@click.command(
    name="options",
    help=tr(
        "Set up to four treatments of a job side by side, with area, days and price; the one that is taken "
        "becomes the job."
    ),
)
@click.argument("file", type=FILE)
@click.option(
    "--add",
    "added",
    multiple=True,
    metavar="OPTION",
    help=tr(
        "An option: outside 600, outside 600 300 (with a ceiling band), walls, or walls and ceilings; "
        "a name before “=”. May be given often."
    ),
)
@click.option("--keep", metavar="NAME", help=tr("Keep the coat as it is as an option of that name."))
@click.option("--remove", multiple=True, metavar="N|NAME", help=tr("Remove that option."))
@click.option("--take", metavar="N|NAME", help=tr("Coat the job by that option; everything else stays."))
@click.option("-o", "--output", "job_file", type=FILE, metavar="JOB.json", help=tr("Save the job there."))
def treatments(
    file: Path,
    added: tuple[str, ...],
    keep: str | None,
    remove: tuple[str, ...],
    take: str | None,
    job_file: Path | None,
) -> int:
    """Treatments of a job side by side. A job without options shows the usual three, and keeps none of them."""
    from takeoff.plan import edits
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.offered.offering import currency_of
    from takeoff.services.offered.treatment_options import USUAL_OPTIONS, compared, option_typed, taken
    from takeoff.services.opened.opening import open_file
    from takeoff.sheets.offer_tables import options_table

    opened = open_file(file)
    job = opened.job
    for name in remove:
        job = edits.remove_option(job, edits.option_of(job, name).id)
    for text in added:
        job = edits.add_option(job, option_typed(text))
    job = edits.keep_coat(job, keep) if keep else job
    if take is not None:
        job = taken(job, take)
    shown = job if job.options else msgspec.structs.replace(job, options=USUAL_OPTIONS)
    with named_in_refusals(file):
        measured = measure_job(msgspec.structs.replace(opened, job=shown))
        table = options_table([one.shown for one in compared(measured)], currency_of(measured))
    _print(table)
    _save(job, job_file)
    return 0


COMMANDS = (price, treatments, days, lots)


def _measured(file: Path) -> Measured:
    from takeoff.cli.progress import progress_on_terminal
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.opened.opening import open_file

    with within_memory(file), progress_on_terminal(file) as tell:
        return measure_job(open_file(file, progress=tell))


def _save(job: Job, job_file: Path | None) -> None:
    """Save the job as asked, and say so."""
    if job_file is None:
        return
    from takeoff.cli import outlet
    from takeoff.files.atomic import write_bytes
    from takeoff.services.measured.job_result import job_json

    write_bytes(job_file, job_json(job))
    outlet.note_written((job_file,))
    click.echo(tr("Written: {file}", file=job_file))


def _print(*tables: Table | None) -> None:
    from takeoff.cli.summary import print_tables

    print_tables(*tables)
