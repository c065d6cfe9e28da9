"""Commands for what comes after the order: what was sent, bought and done, changes on site, the account."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast, get_args

import click
import msgspec

from takeoff.cli import options
from takeoff.cli.job_commands import _print
from takeoff.language import tr
from takeoff.plan.work_records import ROOM_STAGES, Moved, RoomStageName

if TYPE_CHECKING:
    from takeoff.plan.model import Job

FILE = click.Path(path_type=Path)
_DATE = click.option("--date", callback=options.date, metavar="YYYY-MM-DD", help=tr("The day; today if not given."))
_BY = click.option("--by", default="", metavar="NAME", help=tr("Who did it."))


@click.command(help=tr("Write the sheets of JOB as sent, and keep in it what they show: a state that never changes."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--to", required=True, metavar="NAME", help=tr("Whom the sheets are sent to."))
@_BY
@_DATE
@click.option("--note", default="", metavar="TEXT", help=tr("A word about it."))
@click.option(
    "-o", "--output", "folder", type=FILE, metavar="DIR", help=tr("Folder of the sheets; beside the job if not given.")
)
@click.option("--page", type=click.Choice(["A4", "A3", "Letter"], case_sensitive=False), help=tr("Size of the sheets."))
def send(
    file: Path,
    to: str,
    by: str,
    date: datetime.date | None,
    note: str,
    folder: Path | None,
    page: Literal["A4", "A3", "Letter"] | None,
) -> int:
    """Send the sheets of a job."""
    from takeoff.services.job_store import load_job, save_job
    from takeoff.services.sent_states import Said, measured_of, send

    content = load_job(file)
    number = len(content.states) + 1
    where = folder or file.parent / tr("{job} sent {number}", job=file.stem, number=number)
    content, files = send(content, measured_of(content, file), where, Said(_day(date), to, by, note), page)
    saved = save_job(file, content)
    click.echo(tr("Written: {file}", file=where))
    click.echo(
        tr("State {number} is kept in {file}, with {count} sheets.", number=number, file=saved, count=len(files))
    )
    return 0


@click.command(help=tr("List the states that JOB keeps; compare two, accept one as the contract, or go back to one."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--compare", nargs=2, metavar="A B", help=tr("Two states by number, or “now”: what differs."))
@click.option("--accept", type=int, metavar="N", help=tr("The price of that state is the contract."))
@click.option("--back", type=int, metavar="N", help=tr("The job as it was in that state; what is there now is kept."))
@_BY
@_DATE
def states(
    file: Path,
    compare: tuple[str, str] | None,
    accept: int | None,
    back: int | None,
    by: str,
    date: datetime.date | None,
) -> int:
    """The line of states."""
    from takeoff.services import sent_states
    from takeoff.services.job_store import load_job, save_job
    from takeoff.services.state_lists import compared, state_rows
    from takeoff.sheets.work_tables import compared_table, states_table

    content = load_job(file)
    before = content
    if accept is not None:
        content = sent_states.accept(content, _day(date), by, accept)
    if back is not None:
        content = sent_states.back_to(content, back, _day(date))
    if content is not before:
        file = save_job(file, content)
        click.echo(tr("Written: {file}", file=file))
    if compare is not None:
        title = tr("State {old} against {new}", old=compare[0], new=compare[1])
        _print(compared_table(compared(content, *compare), title))
    else:
        _print(states_table(state_rows(content), _currency(content.job)))
    return 0


@click.command(help=tr("Enter what was ordered, delivered, opened, used or returned, and say what is still to buy."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--whole-order", is_flag=True, help=tr("The whole order was ordered and delivered."))
@click.option(
    "--of-state", type=int, metavar="N", help=tr("With --whole-order or --bars-cut: the order of that state.")
)
@click.option("--bars-cut", is_flag=True, help=tr("Every bar was cut by the cutting list."))
@click.option("--ordered", multiple=True, metavar="PACK=N", help=tr("Packs or bars that were ordered."))
@click.option("--delivered", multiple=True, metavar="PACK=N", help=tr("Packs or bars that came."))
@click.option("--opened", multiple=True, metavar="PACK=N", help=tr("Packs that were opened."))
@click.option("--used", multiple=True, metavar="PACK=N", help=tr("Packs that were used up."))
@click.option("--returned", multiple=True, metavar="PACK=N", help=tr("Packs or bars that went back."))
@click.option("--lot", default="", metavar="ID", help=tr("The lot that they are of."))
@click.option("--batch", default="", metavar="TEXT", help=tr("The batch."))
@_DATE
def supply(
    file: Path,
    whole_order: bool,
    of_state: int | None,
    bars_cut: bool,
    lot: str,
    batch: str,
    date: datetime.date | None,
    **given: tuple[str, ...],
) -> int:
    """What was bought, and what is still to buy."""
    from takeoff.services import supply_books
    from takeoff.services.job_store import load_job, save_job
    from takeoff.services.sent_states import measured_of, order_of, state_numbered
    from takeoff.services.state_lists import bought_tables

    content = load_job(file)
    measured, job, day = measured_of(content, file), content.job, _day(date)
    order = measured.order if of_state is None else order_of(state_numbered(content, of_state))
    if whole_order:
        job = supply_books.order_taken(job, order, day, lot)
    for how in get_args(Moved):
        for text in given[how]:
            job = supply_books.moved(job, how, text, day, lot, batch)
    if bars_cut:
        job = supply_books.bars_cut(job, order, day, lot)
    if job is not content.job:
        save_job(file, msgspec.structs.replace(content, job=job))
    _print(*bought_tables(msgspec.structs.replace(measured, job=job)))
    return 0


@click.command(
    help=tr("Set how far a room of JOB is, or list how far all are: {stages}.", stages=", ".join(ROOM_STAGES))
)
@click.argument("file", type=FILE, metavar="JOB")
@click.argument("room", required=False)
@click.argument("reached", required=False, metavar="STAGE", type=click.Choice(ROOM_STAGES))
@_BY
@_DATE
def stage(file: Path, room: str | None, reached: str | None, by: str, date: datetime.date | None) -> int:
    """How far rooms are."""
    from takeoff.plan import edits
    from takeoff.services.state_lists import rooms_called
    from takeoff.sheets.work_tables import stage_table

    def edit(job: Job) -> Job:
        for key in rooms_called(job, room or "") if reached else ():
            job = edits.set_room_stage(job, key, cast(RoomStageName, reached), _day(date), by)
        return job

    if room and not reached:
        raise click.UsageError(tr("Name the stage too: {stages}.", stages=", ".join(ROOM_STAGES)))
    _print(stage_table(_changed(file, edit)))
    return 0


def _changed(file: Path, edit: Callable[[Job], Job]) -> Job:
    from takeoff.services.job_store import change_job

    return change_job(file, edit)


def _currency(job: Job) -> str:
    from takeoff.supply.systems import of_job

    return job.details.currency or of_job(job).currency


def _day(date: datetime.date | None) -> str:
    return (date or datetime.date.today()).isoformat()


COMMANDS: tuple[Any, ...] = (send, states, supply, stage)
