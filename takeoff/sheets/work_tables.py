"""What was sent, bought, done, changed and billed, as tables that the command, the sheets and the window share."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.account.account_sum import Account
from takeoff.account.bought import StillLine, StillToBuy
from takeoff.account.bought_by_lot import LotStill
from takeoff.account.change_price import OverLimit, PricedChange
from takeoff.account.site_progress import OwnConsumption, Progress
from takeoff.account.usual_terms import usual
from takeoff.language import date_text, listed, mark, number, tr, tr_count
from takeoff.plan.edits.progress_edits import stage_of
from takeoff.plan.edits.supply_edits import counted
from takeoff.plan.model import Job
from takeoff.plan.work_records import MOVED, ChangeState, Defect, Moved, RoomStageName, WorkRecords
from takeoff.price.offer import ITEM_NAMES
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, RowKind, Table
from takeoff.supply.lots import NOT_IN_A_LOT
from takeoff.supply.systems import amounts_unit
from takeoff.units.printing import money, printed, shown

STAGE_WORDS: dict[RoomStageName, str] = {
    "not-begun": mark("not begun"),
    "prepared": mark("prepared"),
    "base": mark("base coat on"),
    "coat": mark("coat on"),
    "sanded": mark("sanded"),
    "finished": mark("finished"),
    "released": mark("released"),
}
STATE_WORDS: dict[ChangeState, str] = {
    "proposed": mark("proposed"),
    "instructed": mark("instructed"),
    "agreed": mark("agreed"),
    "refused": mark("refused"),
    "done": mark("done"),
}
MOVED_WORDS: dict[Moved, str] = {
    "ordered": mark("Ordered"),
    "delivered": mark("Delivered"),
    "opened": mark("Opened"),
    "used": mark("Used"),
    "returned": mark("Returned"),
}


class StateRow(msgspec.Struct, frozen=True):
    """What the list of states says of one."""

    number: int
    why: str
    on: str
    to: str
    by: str
    drawings: str
    price: Decimal | None
    sheets: int
    contract: bool


def day_words(on: str) -> str:
    """A day as the region writes it; what is no day as it is."""
    try:
        return date_text(datetime.date.fromisoformat(on))
    except ValueError:
        return on


def states_table(rows: Sequence[StateRow], currency: str) -> Table:
    """The line of states, oldest first."""
    return Table(
        id="states",
        title=tr("States that were sent or kept"),
        columns=(
            Column(tr("No."), kind="count", share=0.4),
            Column(tr("What"), share=1.4),
            Column(tr("Date"), share=1.0),
            Column(tr("To"), share=1.2),
            Column(tr("By"), share=1.0),
            Column(tr("Drawings"), share=1.8),
            Column(tr("Price"), currency, "money", share=1.0),
        ),
        rows=tuple((row.number, row.why, day_words(row.on), row.to, row.by, row.drawings, row.price) for row in rows),
        empty=tr("Nothing was sent yet."),
    )


class Compared(msgspec.Struct, frozen=True):
    """A figure in two states, with what is added and what is omitted between them; ``room`` "" for the whole job."""

    room: str
    what: str
    unit: str
    old: Decimal
    new: Decimal
    added: Decimal
    omitted: Decimal


def compared_table(rows: Sequence[Compared], title: str) -> Table:
    """What differs between two states, room by room; each figure as each state printed it."""
    cells: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    room = None
    for row in rows:
        if row.room != room:
            room = row.room
            cells.append((row.room or tr("Whole job"), "", None, None, None, None))
            kinds.append("group")
        cells.append((row.what, row.unit, row.old, row.new, row.added, row.omitted))
        kinds.append("line")
    return Table(
        id="states-compared",
        title=title,
        columns=(
            Column(tr("What"), share=2.2),
            Column(tr("Unit"), share=0.6),
            Column(tr("Old"), kind="figure"),
            Column(tr("New"), kind="figure"),
            Column(tr("Added"), kind="figure"),
            Column(tr("Omitted"), kind="figure"),
        ),
        rows=tuple(cells),
        kinds=tuple(kinds),
        empty=tr("Nothing differs."),
        note=tr("Added and omitted are not set off against each other within a room.") if cells else "",
    )


def ledger_table(work: WorkRecords, names: Mapping[str, str], lots: Mapping[str, str]) -> Table:
    """The ledger: a row for each pack of each lot, with what was ordered, delivered, opened, used and returned."""
    keys = list(dict.fromkeys((one.lot, one.item, one.pack) for one in work.movements))
    rows: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    before = None
    for lot, item, pack in sorted(keys, key=lambda key: key[0]):
        if lot != before and (lot or before is not None):
            rows.append((lots.get(lot, lot) or tr("In no lot"), "", *(None for _ in MOVED), None))
            kinds.append("group")
        before = lot
        counts = tuple(counted(work, moved, item, pack, lot) for moved in MOVED)
        rows.append((names.get(item, item), tr(pack), *counts, counts[1] - counts[2] - counts[3] - counts[4]))
        kinds.append("line")
    return Table(
        id="ledger",
        title=tr("Bought so far"),
        columns=(
            Column(tr("Item"), share=2.0),
            Column(tr("Pack"), share=1.8),
            *(Column(tr(MOVED_WORDS[moved]), kind="count", share=0.8) for moved in MOVED),
            Column(tr("There"), kind="count", share=0.7),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
        empty=tr("Nothing was bought yet."),
    )


def buy_table(still: StillToBuy, currency: str) -> Table:
    """What must still be bought, beside what one fresh order costs."""
    note = ""
    if still.cost is not None and still.afresh is not None:
        note = tr("One fresh order of everything would cost {cost}.", cost=number(money(still.afresh)))
    return Table(
        id="still-to-buy",
        title=tr("Still to buy"),
        columns=_buy_columns(currency),
        rows=tuple(_buy_row(line) for line in still.lines),
        total=None if still.cost is None else (tr("Total"), "", "", "", "", money(still.cost)),
        note=note,
        empty=tr("There is nothing to order."),
    )


def lots_to_buy_table(lots: Sequence[LotStill], currency: str) -> Table:
    """What each lot must still buy; what is supplied holds what earlier lots leave over."""
    rows: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    for one in lots:
        name = one.lot.name or (tr("In no lot") if one.lot.id == NOT_IN_A_LOT else one.lot.id)
        rows.append((name, "", "", "", "", None if one.cost is None else money(one.cost)))
        kinds.append("group")
        for line in one.lines:
            rows.append(_buy_row(line))
            kinds.append("line")
    costs = [one.cost for one in lots]
    known = [cost for cost in costs if cost is not None]
    whole = money(sum(known, Decimal(0))) if len(known) == len(costs) else None
    return Table(
        id="still-to-buy-by-lot",
        title=tr("Still to buy, lot by lot"),
        columns=_buy_columns(currency),
        rows=tuple(rows),
        kinds=tuple(kinds),
        total=None if whole is None else (tr("Total"), "", "", "", "", whole),
        note=tr("Supplied: what came for the lot, and what earlier lots leave over."),
        empty=tr("There is nothing to order."),
    )


def _buy_columns(currency: str) -> tuple[Column, ...]:
    return (
        Column(tr("Item"), share=2.0),
        Column(tr("Need"), share=1.0),
        Column(tr("Supplied"), share=1.0),
        Column(tr("To buy"), share=2.2),
        Column(tr("Left over"), share=1.0),
        Column(tr("Cost"), currency, "money", share=0.9),
    )


def _buy_row(line: StillLine) -> tuple[Cell, ...]:
    unit = amounts_unit(line.unit)
    return (
        tr(line.item),
        f"{shown(line.need)} {unit}",
        f"{shown(line.supplied)} {unit}",
        " + ".join(f"{count} × {tr(pack)}" for pack, count in line.buy) or tr("nothing to buy"),
        f"{shown(line.left)} {unit}",
        None if line.cost is None else money(line.cost),
    )


def sawn_table(still: StillToBuy, names: Mapping[str, str]) -> Table | None:
    """How lacking pieces of bead come out of what is there, alike ones in one row; None where none does."""
    out_of: list[tuple[str, str, str]] = []
    for one in still.from_there:
        what = (
            tr("bar of {length} mm", length=one.from_mm)
            if one.whole
            else tr("offcut of {length} mm", length=one.from_mm)
        )
        pieces = " + ".join(str(mm) for mm in one.pieces_mm)
        out_of.append((names.get(f"bead-{one.profile}", one.profile), what, pieces))
    for cutting in still.new:
        for bar in cutting.bars:
            pieces = " + ".join(str(piece.length_mm) for piece in bar.cuts)
            out_of.append((tr(cutting.name), tr("new: {bar}", bar=tr(bar.stock)), pieces))
    rows: list[tuple[Cell, ...]] = [
        (names.get(f"bead-{profile}", profile), tr("cut already"), tr_count("{count} piece", "{count} pieces", count))
        for profile, count in still.cut_already
    ]
    for (bead, what, pieces), count in Counter(out_of).items():
        rows.append((bead, f"{count} × {what}" if count > 1 else what, pieces))
    if not rows:
        return None
    return Table(
        id="bead-from-there",
        title=tr("How bead is cut now"),
        columns=(Column(tr("Bead")), Column(tr("Out of")), Column(tr("Pieces mm"), share=1.6)),
        rows=tuple(rows),
    )


def stage_table(job: Job) -> Table:
    """How far each room is, and since when."""
    last = {one.room: one for one in job.work.stages}
    rows = []
    for storey in job.storeys:
        for room in storey.rooms:
            own = last.get(str(room.id))
            rows.append(
                (
                    storey.title,
                    room.title,
                    tr(STAGE_WORDS[stage_of(job, str(room.id))]),
                    day_words(own.on) if own else "",
                    own.by if own else "",
                )
            )
    return Table(
        id="stages",
        title=tr("How far the rooms are"),
        columns=(Column(tr("Storey")), Column(tr("Room")), Column(tr("Stage")), Column(tr("Since")), Column(tr("By"))),
        rows=tuple(rows),
        ditto=1,
        empty=tr("The job has no rooms."),
        audience=EVERYBODY,
    )


def changes_table(changes: Sequence[PricedChange], currency: str, over: Sequence[OverLimit] = ()) -> Table:
    """All changes on site, with their state and what they come to."""
    rows = tuple(
        (
            one.change.number,
            one.change.place,
            one.change.what,
            state_words(one),
            None if one.net is None else money(one.net),
            None if one.gross is None else money(one.gross),
        )
        for one in changes
    )
    return Table(
        id="changes",
        title=tr("Changes on site"),
        columns=(
            Column(tr("No."), kind="count", share=0.4),
            Column(tr("Place"), share=1.2),
            Column(tr("What"), share=2.4),
            Column(tr("State"), share=1.6),
            Column(tr("Net"), currency, "money", share=0.9),
            Column(tr("With tax"), currency, "money", share=0.9),
        ),
        rows=rows,
        note=over_words(over),
        empty=tr("Nothing was changed on site."),
        audience=EVERYBODY,
    )


def over_words(over: Sequence[OverLimit]) -> str:
    """Which quantities change by more than the limit, with its source; "" for none."""
    if not over:
        return ""
    items = listed([f"{tr(ITEM_NAMES[one.item][0])} {shown(one.percent, 1)} %" for one in over])  # type: ignore[index]
    text = tr(
        "Beyond {limit} % of the contract, rates may be looked at again: {items}.",
        limit=usual().quantity_limit.percent,
        items=items,
    )
    return f"{text} {tr('See VOB/B § 2 (3); the contract comes first.')}"


def state_words(one: PricedChange) -> str:
    """ "agreed 20 May 2031"; work that was done without, or before, an agreement says so."""
    change = one.change
    if one.before_agreed and not change.agreed_on:
        return tr("done {day}, not agreed", day=day_words(change.done_on))
    if one.before_agreed:
        return tr(
            "agreed {agreed}, done before on {done}", agreed=day_words(change.agreed_on), done=day_words(change.done_on)
        )
    days = {
        "proposed": change.proposed_on,
        "instructed": change.instructed_on,
        "agreed": change.agreed_on,
        "refused": change.refused_on,
        "done": change.done_on,
    }
    return f"{tr(STATE_WORDS[change.state])} {day_words(days[change.state])}".strip()


def change_lines_table(one: PricedChange, currency: str) -> Table:
    """The lines of one change, priced, with tax and total."""
    rows: list[tuple[Cell, ...]] = []
    for line in one.lines:
        what = f"{line.line.what} ({line.line.dims})" if line.line.dims else line.line.what
        what = tr("omitted: {what}", what=what) if line.line.omitted else what
        rows.append((what, printed(Decimal(line.line.quantity)), line.line.unit, _each(line.price), line.amount))
    kinds: list[RowKind] = ["line"] * len(rows)
    if one.net is not None:
        rows.append((tr("Net"), None, "", None, money(one.net)))
        kinds.append("total")
        for rate, net, tax in one.taxes:
            if rate:
                rows.append((tr("Tax, {rate} % of {net}", rate=number(rate), net=number(net)), None, "", None, tax))
                kinds.append("line")
    return Table(
        id="change-lines",
        title=tr("What it comes to"),
        columns=(
            Column(tr("What"), share=2.8),
            Column(tr("Quantity"), kind="figure"),
            Column(tr("Unit"), share=0.6),
            Column(tr("Price"), currency, "figure"),
            Column(tr("Amount"), currency, "money", share=1.1),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
        total=None if one.gross is None else (tr("Total"), None, "", None, money(one.gross)),
        audience=EVERYBODY,
    )


def _each(price: Decimal | None) -> Decimal | None:
    """A price with two places at least."""
    return price if price is None or -int(price.as_tuple().exponent) >= 2 else printed(price)


def account_tables(account: Account, job: Job, currency: str) -> tuple[Table, ...]:
    """The account: its parts with tax, the rooms, and what is due."""
    return (_parts_table(account, job, currency), _rooms_table(account, currency), _due_table(account, currency))


def _parts_table(account: Account, job: Job, currency: str) -> Table:
    whats = {change.number: change.what for change in job.work.changes}
    marks = {"": "", "before": tr("done before it was agreed"), "unagreed": tr("not agreed, billed all the same")}
    rows = []
    for line in account.lines:
        name = (
            tr("Contract")
            if not line.number
            else tr("Change {number}: {what}", number=line.number, what=whats[line.number])
        )
        name = f"{name} ({marks[line.mark]})" if line.mark else name
        rows.append((name, line.net, f"{number(line.rate)} %", line.tax, line.done_net, line.done_tax))
    left = [str(one.change.number) for one in account.left_out]
    sums = [sum((row[k] for row in rows), Decimal("0.00")) for k in (1, 3, 4, 5)]
    return Table(
        id="account-parts",
        title=tr("Contract and agreed changes"),
        columns=(
            Column(tr("What"), share=2.6),
            Column(tr("Net"), currency, "money"),
            Column(tr("Tax rate"), share=0.7),
            Column(tr("Tax"), currency, "money", share=1.25),
            Column(tr("Done, net"), currency, "money"),
            Column(tr("Done, tax"), currency, "money"),
        ),
        rows=tuple(rows),
        total=(tr("Total"), sums[0], "", *sums[1:]) if rows else None,
        note=tr("Not billed, since nobody agreed: change {numbers}.", numbers=listed(left)) if left else "",
        empty=tr("Nothing is agreed yet."),
        audience=EVERYBODY,
    )


def _rooms_table(account: Account, currency: str) -> Table:
    return Table(
        id="account-rooms",
        title=tr("Done so far, by room"),
        columns=(
            Column(tr("Room"), share=1.8),
            Column(tr("Stage"), share=1.2),
            Column(tr("Since"), share=1.1),
            Column(tr("Net"), currency, "money"),
            Column(tr("Done"), "%", "count", share=0.6),
            Column(tr("Done, net"), currency, "money"),
        ),
        rows=tuple(
            (one.name, tr(STAGE_WORDS[one.stage]), day_words(one.on), one.net, one.percent, one.done)
            for one in account.rooms
        ),
        empty=tr("No contract was accepted yet."),
        note=tr("Part earned at each stage: common practice, no source.") if account.rooms else "",
        audience=EVERYBODY,
    )


def _due_table(account: Account, currency: str) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (tr("Contract and agreed changes, with tax"), account.whole),
        (tr("Done so far, with tax"), account.done),
        (tr("Kept back"), -account.kept),
        (tr("Billed before"), -account.before),
    ]
    return Table(
        id="account-due",
        title=tr("What is due"),
        columns=(Column("", share=2.6), Column(tr("Amount"), currency, "money")),
        rows=tuple(rows),
        total=(tr("Due now"), account.due),
        note=tr(
            "Paid so far: {paid}. Of what was billed before, {open} is open.",
            paid=number(money(account.paid)),
            open=number(money(account.open)),
        ),
        audience=EVERYBODY,
    )


def progress_table(progress: Progress, names: Mapping[str, str]) -> Table:
    """Readings, litres and hours of each room that was worked in, and what the rest will need."""
    rows = tuple(
        (
            names.get(one.room, one.room),
            one.readings,
            None if one.mean_mm is None else printed(one.mean_mm),
            "" if one.least_mm is None else _least(one.least_mm, one.least_at, one.thin),
            printed(one.litres, 1),
            printed(one.hours, 1),
        )
        for one in progress.rooms
        if one.readings or one.litres or one.hours
    )
    return Table(
        id="progress",
        title=tr("During the work"),
        columns=(
            Column(tr("Room"), share=1.6),
            Column(tr("Readings"), kind="count", share=0.7),
            Column(tr("Mean"), "mm", "figure", share=0.7),
            Column(tr("Least"), "mm", share=1.6),
            Column(tr("Opened"), "L", "figure", 1, share=0.8),
            Column(tr("Hours"), "h", "figure", 1, share=0.7),
        ),
        rows=rows,
        note=progress_words(progress),
        empty=tr("No day was recorded yet."),
    )


def _least(mm: float, place: str, thin: bool) -> str:
    text = f"{shown(mm)}, {place}" if place else shown(mm)
    return tr("{reading}, too thin", reading=text) if thin else text


def progress_words(progress: Progress) -> str:
    """Litres per m² so far against the plan, what the rest will need, and by when to order."""
    if progress.per_m2 is None or progress.planned_per_m2 is None:
        return ""
    said = tr(
        "{rate} L per m² so far over {area} m²; the plan has {planned} L.",
        rate=shown(progress.per_m2),
        area=shown(progress.coated_m2, 1),
        planned=shown(progress.planned_per_m2),
    )
    rest = tr(
        "The rest will need {rest} L; {there} L are there.",
        rest=shown(progress.rest_l, 1),
        there=shown(progress.there_l, 1),
    )
    order = ""
    lacking = shown(progress.lacking_l, 1)
    if progress.order_by is not None and progress.lasts_until is not None and progress.pace_m2 is not None:
        lasts = tr(
            "At {pace} m² a day it lasts until {day}.",
            pace=shown(progress.pace_m2, 1),
            day=date_text(progress.lasts_until),
        )
        order = tr("Order {lacking} L by {day}.", lacking=lacking, day=date_text(progress.order_by))
        if progress.last_day is not None and progress.order_by < progress.last_day:
            order = tr("Order {lacking} L now: it is used up before an order comes.", lacking=lacking)
        order = f"{lasts} {order}"
    elif progress.lacking_l:
        order = tr("Order {lacking} L.", lacking=lacking)
    return " ".join(part for part in (said, rest, order) if part)


def defects_table(defects: Sequence[Defect]) -> Table:
    """The list of defects, open ones and mended ones."""
    rows = tuple(
        (
            one.number,
            one.place,
            one.what,
            " ".join(part for part in (day_words(one.on), one.by) if part),
            " ".join(part for part in (day_words(one.mended_on), one.mended_by) if part) or tr("open"),
        )
        for one in defects
    )
    return Table(
        id="defects",
        title=tr("Defects"),
        columns=(
            Column(tr("No."), kind="count", share=0.4),
            Column(tr("Place"), share=1.2),
            Column(tr("What"), share=2.6),
            Column(tr("Noticed"), share=1.2),
            Column(tr("Put right"), share=1.2),
        ),
        rows=rows,
        empty=tr("No defect is known."),
        audience=EVERYBODY,
    )


def consumption_table(found: Sequence[OwnConsumption]) -> Table:
    """A contractor's own consumption over jobs that are done: a proposal, with what stands behind it."""
    return Table(
        id="own-consumption",
        title=tr("Your own consumption"),
        columns=(
            Column(tr("Coating system"), share=2.0),
            Column(tr("Yours"), tr("L per m²"), "figure"),
            Column(tr("Planned"), tr("L per m²"), "figure"),
            Column(tr("Measured over"), "m²", "figure", 1),
            Column(tr("Jobs"), kind="count", share=0.6),
        ),
        rows=tuple(
            (one.system, printed(one.per_m2), printed(one.planned_per_m2), printed(one.m2, 1), one.jobs)
            for one in found
        ),
        note=tr("A proposal: the coating system stays as it is until you change it."),
        empty=tr("No room is coated with its tubs recorded yet."),
    )
