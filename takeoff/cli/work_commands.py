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
from takeoff.cli.options import NUMBER, WHOLE
from takeoff.files.from_outside import named_in_refusals
from takeoff.language import tr
from takeoff.plan.work_records import CHANGE_STATES, ROOM_STAGES, ChangeState, Moved, RoomStageName

if TYPE_CHECKING:
    from takeoff.plan.model import Job
    from takeoff.storage.content import Content

FILE = click.Path(path_type=Path)
_DATE = click.option("--date", callback=options.date, metavar="YYYY-MM-DD", help=tr("The day; today if not given."))
_BY = click.option("--by", default="", metavar="NAME", help=tr("Who did it."))


@click.command(help=tr("Export the sheets of JOB as sent, and keep in it what they show: a state that never changes."))
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
    from takeoff.services.after_order.sent_states import Said, measured_of, send
    from takeoff.services.opened.job_store import load_job, save_job

    content = load_job(file)
    number = len(content.states) + 1
    where = folder or file.parent / tr("{job} sent {number}", job=file.stem, number=number)
    said = Said(_day(date), to, by, note)
    with named_in_refusals(file):
        content, files = send(content, measured_of(content, file), where, said, page)
    saved = save_job(file, content)
    click.echo(tr("Written: {file}", file=where))
    click.echo(
        tr("State {number} is kept in {file}, with {count} sheets.", number=number, file=saved, count=len(files))
    )
    return 0


@click.command(help=tr("List the states that JOB keeps; compare two, accept one as the contract, or go back to one."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--compare", nargs=2, metavar="A B", help=tr("Two states by number, or “now”: what differs."))
@click.option("--accept", type=WHOLE, metavar="N", help=tr("The price of that state is the contract."))
@click.option("--back", type=WHOLE, metavar="N", help=tr("The job as it was in that state; what is there now is kept."))
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
    from takeoff.services.after_order import sent_states
    from takeoff.services.after_order.state_lists import compared, state_rows
    from takeoff.services.opened.job_store import load_job, save_job
    from takeoff.sheets.work_tables import compared_table, states_table

    content = load_job(file)
    before = content
    with named_in_refusals(file):
        if accept is not None:
            content = sent_states.accept(content, _day(date), by, accept)
        if back is not None:
            content = sent_states.back_to(content, back, _day(date))
        if compare is not None:
            title = tr("State {old} against {new}", old=compare[0], new=compare[1])
            table = compared_table(compared(content, *compare), title)
        else:
            table = states_table(state_rows(content), _currency(content.job))
    if content is not before:
        file = save_job(file, content)
        click.echo(tr("Written: {file}", file=file))
    _print(table)
    return 0


@click.command(help=tr("Enter what was ordered, delivered, opened, used or returned, and say what is still to buy."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--whole-order", is_flag=True, help=tr("The whole order was ordered and delivered."))
@click.option(
    "--of-state", type=WHOLE, metavar="N", help=tr("With --whole-order or --bars-cut: the order of that state.")
)
@click.option("--bars-cut", is_flag=True, help=tr("Every bar was cut by the cutting list."))
@click.option("--order-rest", is_flag=True, help=tr("What is still to buy is ordered; with --lot what that lot needs."))
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
    order_rest: bool,
    lot: str,
    batch: str,
    date: datetime.date | None,
    **given: tuple[str, ...],
) -> int:
    """What was bought, and what is still to buy."""
    from takeoff.services.after_order import supply_books
    from takeoff.services.after_order.sent_states import measured_of, measured_state, order_of, state_numbered
    from takeoff.services.after_order.state_lists import bought_tables
    from takeoff.services.opened.job_store import load_job, save_job

    content = load_job(file)
    with named_in_refusals(file):
        measured = measured_of(content, file)
    job, day = content.job, _day(date)
    order = measured.order if of_state is None else order_of(state_numbered(content, of_state))
    if whole_order:
        job = supply_books.order_taken(job, order, day, lot)
    for how in get_args(Moved):
        for text in given[how]:
            job = supply_books.moved(job, how, text, day, lot, batch)
    if bars_cut:
        of = measured if of_state is None else measured_state(content, of_state)
        job = supply_books.bars_cut(job, supply_books.bars_of(of, lot), day, lot)
    if order_rest:
        job = supply_books.rest_ordered(msgspec.structs.replace(measured, job=job), day, lot)
    with named_in_refusals(file):
        tables = bought_tables(msgspec.structs.replace(measured, job=job))
    if job is not content.job:
        save_job(file, msgspec.structs.replace(content, job=job))
    _print(*tables)
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
    from takeoff.services.after_order.state_lists import rooms_called
    from takeoff.sheets.work_tables import stage_table

    def edit(job: Job) -> Job:
        for key in rooms_called(job, room or "") if reached else ():
            job = edits.set_room_stage(job, key, cast(RoomStageName, reached), _day(date), by)
        return job

    if room and not reached:
        raise click.UsageError(tr("Name the stage too: {stages}.", stages=", ".join(ROOM_STAGES)))
    _print(stage_table(_changed(file, edit)))
    return 0


@click.command(
    help=tr("Enter a change on site, set its state, or write its page to be signed; without options list all changes.")
)
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--place", help=tr("Where: a room or a wall."))
@click.option("--what", help=tr("What is to be done there."))
@click.option("--item", default="", metavar="ITEM", help=tr("Item of the contract whose rate it has: walls, bead …"))
@click.option("--size", default="", metavar="2x3.60x1.20", help=tr("Count and dimensions in m."))
@click.option("--hours", default="", metavar="H", help=tr("Hours of work, at the rate of an hour."))
@click.option("--pieces", default="", metavar="N", help=tr("Pieces, each at --price."))
@click.option("--materials", default="", metavar="SUM", help=tr("Materials, as a sum."))
@click.option("--price", default="", metavar="PRICE", help=tr("Price of one unit, where the contract has none."))
@click.option("--omit", "omitted", is_flag=True, help=tr("It comes off instead."))
@click.option("--days", default="", metavar="N", help=tr("By how many days the work ends later."))
@click.option("--photo", default="", metavar="ID", help=tr("Photo of the job that shows it."))
@click.option("--from-state", type=WHOLE, metavar="N", help=tr("Propose what differs from that state, room by room."))
@click.option(
    "--set",
    "state",
    nargs=2,
    metavar="NO STATE",
    help=tr("Change number and its state: {states}.", states=", ".join(CHANGE_STATES)),
)
@click.option("--bill-unagreed", type=WHOLE, metavar="NO", help=tr("Bill it although nobody agreed; it is marked so."))
@click.option("--pdf", type=FILE, metavar="FILE.pdf", help=tr("Write the page of the last change, or of --number."))
@click.option("--number", type=WHOLE, metavar="NO", help=tr("With --pdf: the change that the page is of."))
@_BY
@_DATE
def change(file: Path, **given: Any) -> int:
    """Changes on site."""
    from takeoff.account.change_price import over_limit
    from takeoff.services.after_order.work_sheets import change_paper, currency_of
    from takeoff.services.changed.site_changes import all_priced
    from takeoff.services.opened.job_store import load_job, save_job
    from takeoff.sheets.work_papers import write_paper
    from takeoff.sheets.work_tables import changes_table

    content = load_job(file)
    day = _day(given["date"])
    job = _change_entered(file, content, given, day)
    if job is not content.job:
        save_job(file, msgspec.structs.replace(content, job=job))
    if given["pdf"] is not None:
        number = given["number"] or max((one.number for one in job.work.changes), default=0)
        held = {one.sha256: one.data for one in content.pictures}
        for written in write_paper(change_paper(job, number, day, held.get), given["pdf"]):
            click.echo(tr("Written: {file}", file=written))
    else:
        _print(changes_table(all_priced(job), currency_of(job), over_limit(job)))
    return 0


def _change_entered(file: Path, content: Content, given: dict[str, Any], day: str) -> Job:
    from takeoff.plan import edits
    from takeoff.services.after_order.sent_states import job_of, measured_of, state_numbered
    from takeoff.services.changed.site_changes import TypedChange, change_typed, from_drawing

    job = content.job
    if given["place"] is not None or given["what"] is not None:
        given = given | {"place": given["place"] or "", "what": given["what"] or ""}
        names = set(TypedChange.__struct_fields__) & set(given)
        job = change_typed(job, TypedChange(**{name: given[name] for name in names if given[name] is not None}), day)
    if (number := given["from_state"]) is not None:
        with named_in_refusals(file):
            old = measured_of(msgspec.structs.replace(content, job=job_of(state_numbered(content, number))), file)
            job = from_drawing(job, old, measured_of(content, file), day, number)
    if given["state"]:
        which, state = given["state"]
        if not which.isdecimal():
            raise click.UsageError(tr("“{text}” is no number of a change.", text=which))
        job = edits.set_change_state(job, int(which), cast(ChangeState, state), day, given["by"])
    if given["bill_unagreed"] is not None:
        job = edits.bill_unagreed(job, given["bill_unagreed"])
    return job


@click.command(help=tr("Say what is done, billed and due; write the account or a bill; enter payments."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--bill", is_flag=True, help=tr("Write the next bill: what is due counts as billed from now on."))
@click.option("--final", is_flag=True, help=tr("The last account: nothing is kept back."))
@click.option(
    "--with-change", "wanted", type=WHOLE, multiple=True, metavar="NO", help=tr("A change that must be on the bill.")
)
@click.option("--paid", metavar="AMOUNT", help=tr("Money that came in."))
@click.option("--keep", metavar="PERCENT", help=tr("What is kept back of each bill but the last."))
@click.option("--pdf", type=FILE, metavar="FILE.pdf", help=tr("Write the account there, and a workbook beside it."))
@_DATE
def account(
    file: Path,
    bill: bool,
    final: bool,
    wanted: tuple[int, ...],
    paid: str | None,
    keep: str | None,
    pdf: Path | None,
    date: datetime.date | None,
) -> int:
    """The account of a job."""
    from takeoff.account.account_sum import account_of, bill_of
    from takeoff.plan import edits
    from takeoff.services.after_order.work_sheets import account_paper, currency_of
    from takeoff.sheets.work_papers import write_paper
    from takeoff.sheets.work_tables import account_tables

    day = _day(date)
    sheets = []

    def edit(job: Job) -> Job:
        job = job if keep is None else edits.set_kept_back(job, keep)
        job = job if paid is None else edits.add_payment(job, day, paid)
        with named_in_refusals(file):
            tables = account_tables(account_of(job, final), job, currency_of(job))
            sheets.append((account_paper(job, day, final), tables))
        return edits.add_bill(job, bill_of(job, day, final, wanted)) if bill else job

    _changed(file, edit)
    if pdf is not None:
        for written in write_paper(sheets[0][0], pdf):
            click.echo(tr("Written: {file}", file=written))
    else:
        _print(*sheets[0][1])
    return 0


@click.command(help=tr("Enter a day of a room: tubs opened, gauge readings, who, hours; say how the work goes."))
@click.argument("file", type=FILE, metavar="JOB")
@click.argument("room", required=False)
@click.option("--who", default="", metavar="NAME", help=tr("Who worked there."))
@click.option("--hours", type=NUMBER, default=0.0, metavar="H", help=tr("Hours, of all together."))
@click.option("--opened", multiple=True, metavar="PACK=N", help=tr("Packs that were opened."))
@click.option("--batch", default="", metavar="TEXT", help=tr("The batch."))
@click.option("--gauge", multiple=True, metavar="PLACE=MM", help=tr("A reading of the wet-film gauge."))
@_DATE
def day(
    file: Path,
    room: str | None,
    who: str,
    hours: float,
    opened: tuple[str, ...],
    batch: str,
    gauge: tuple[str, ...],
    date: datetime.date | None,
) -> int:
    """A day on site."""
    from takeoff.services.after_order.day_books import day_typed
    from takeoff.services.after_order.sent_states import measured_of
    from takeoff.services.after_order.state_lists import rooms_called
    from takeoff.services.after_order.work_sheets import progress_for, room_names
    from takeoff.services.opened.job_store import load_job, save_job
    from takeoff.sheets.work_tables import progress_table

    content = load_job(file)
    if room is not None:
        key = rooms_called(content.job, room)[0]
        job = day_typed(content.job, key, _day(date), who, hours, opened, batch, gauge)
        content = msgspec.structs.replace(content, job=job)
    with named_in_refusals(file):
        table = progress_table(progress_for(measured_of(content, file)), room_names(content.job))
    if room is not None:
        save_job(file, content)
    _print(table)
    return 0


@click.command(help=tr("List the defects of JOB, enter one with --place and --what, or say that one is put right."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("--place", help=tr("Where: a room or a wall."))
@click.option("--what", help=tr("What is not as it should be."))
@click.option("--put-right", type=int, metavar="NO", help=tr("That defect is put right."))
@_BY
@_DATE
def defect(
    file: Path, place: str | None, what: str | None, put_right: int | None, by: str, date: datetime.date | None
) -> int:
    """The list of defects that goes with the hand-over."""
    from takeoff.plan import edits
    from takeoff.sheets.work_tables import defects_table

    def edit(job: Job) -> Job:
        if place is not None or what is not None:
            job = edits.note_defect(job, place or "", what or "", _day(date), by)
        return job if put_right is None else edits.mend_defect(job, put_right, _day(date), by)

    _print(defects_table(_changed(file, edit).work.defects))
    return 0


@click.command(help=tr("Write the hand-over of JOB: what was coated and measured, and what to heed from now on."))
@click.argument("file", type=FILE, metavar="JOB")
@click.option("-o", "--output", "pdf", type=FILE, required=True, metavar="FILE.pdf", help=tr("The PDF to write."))
@_DATE
def handover(file: Path, pdf: Path, date: datetime.date | None) -> int:
    """The hand-over sheet."""
    from takeoff.services.after_order.sent_states import measured_of
    from takeoff.services.after_order.work_sheets import handover_paper
    from takeoff.services.opened.job_store import load_job
    from takeoff.sheets.work_papers import write_paper

    with named_in_refusals(file):
        paper = handover_paper(measured_of(load_job(file), file), _day(date))
    for written in write_paper(paper, pdf):
        click.echo(tr("Written: {file}", file=written))
    return 0


@click.command(help=tr("Say your own consumption over jobs that are done, and how many m² stand behind it."))
@click.argument("files", type=FILE, nargs=-1, required=True, metavar="JOB...")
def consumption(files: tuple[Path, ...]) -> int:
    """The contractor's own consumption."""
    from takeoff.services.after_order.consumption import own_consumption_of
    from takeoff.sheets.work_tables import consumption_table

    _print(consumption_table(own_consumption_of(files)))
    return 0


def _changed(file: Path, edit: Callable[[Job], Job]) -> Job:
    from takeoff.services.opened.job_store import change_job

    return change_job(file, edit)


def _currency(job: Job) -> str:
    from takeoff.supply.systems import of_job

    return job.details.currency or of_job(job).currency


def _day(date: datetime.date | None) -> str:
    return (date or datetime.date.today()).isoformat()


COMMANDS: tuple[Any, ...] = (send, states, supply, stage, change, day, account, defect, handover, consumption)
