"""What the work costs at the job's own prices: for the client alone, each amount from printed figures."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from takeoff.measure.billing import NET, bill_room
from takeoff.measure.conventions import load
from takeoff.plan.model import Job
from takeoff.sheets.figures import together
from takeoff.sheets.model import Cell, Column, Table
from takeoff.sheets.room_tables import RoomRow
from takeoff.sheets.texts import Texts
from takeoff.units.printing import money, printed

_OVERHEAD = ("ceiling_m2", "drop_m2")


def price_tables(job: Job, rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """The table of prices; none where the job has no price or no room.

    Coat is priced by what the job's convention bills: walls and reveals as billed by area, ceilings
    and drops as coated. Raises InputError for a convention that is not known.
    """
    details = job.details
    if not rows or not (details.price_coat_m2 or details.price_bead_m):
        return ()
    totals = together((row.factor, row.figures) for row in rows)
    lines = []
    if details.price_coat_m2:
        coat = (
            totals["coated_m2"]
            if job.convention == NET
            else _billed_m2(job, rows) + sum((totals[key] for key in _OVERHEAD), Decimal(0))
        )
        lines.append(_line(texts.words["price_coat"], coat, "m²", details.price_coat_m2))
    if details.price_bead_m:
        lines.append(_line(texts.words["price_bead"], totals["bead_m"], "m", details.price_bead_m))
    amounts = [line[-1] for line in lines if isinstance(line[-1], Decimal)]
    total: tuple[Cell, ...] = (texts.words["together"], None, None, None, sum(amounts, Decimal(0)))
    return (
        Table(
            id="price",
            title=texts.tables["price"],
            columns=_columns(texts, details.currency),
            rows=tuple(lines),
            total=total,
            note="" if job.convention == NET else texts.words["price_note"],
            audience=("client",),
        ),
    )


def _billed_m2(job: Job, rows: Sequence[RoomRow]) -> Decimal:
    """Walls and reveals by area as the convention bills them, each room printed, then summed."""
    convention = load(job.convention)
    billed = [(row, bill_room(convention, row.room)) for row in rows]
    return sum(((printed(b.wall_m2) + printed(b.reveal_m2)) * row.factor for row, b in billed), Decimal(0))


def _line(what: str, quantity: Decimal, unit: str, price: str) -> tuple[Cell, ...]:
    each = Decimal(price)
    places = max(2, len(price.partition(".")[2]))
    return what, quantity, unit, money(each, places), money(quantity * each)


def _columns(texts: Texts, currency: str) -> tuple[Column, ...]:
    heads = texts.heads
    return (
        Column(heads["item"], share=2.6),
        Column(heads["quantity"], "", "figure", share=1.0),
        Column(heads["unit"], share=0.6),
        Column(heads["price"], currency, "figure", share=1.1),
        Column(heads["amount"], currency, "money", share=1.2),
    )
