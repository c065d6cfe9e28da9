"""What a measuring convention bills, room by room: for the client and the team alike."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from takeoff.measure.billing import NET, bill_room
from takeoff.measure.conventions import Billed, Convention, load
from takeoff.plan.model import Job
from takeoff.sheets.model import EVERYBODY, Cell, Column, Table
from takeoff.sheets.room_tables import RoomRow
from takeoff.sheets.texts import Texts
from takeoff.units.printing import printed


def bill_tables(job: Job, rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """The table of the job's convention; none where the job is billed net, as it is ordered.

    Figures are for all alike rooms together. Raises InputError for a convention that is not known.
    """
    if job.convention == NET or not rows:
        return ()
    convention = load(job.convention)
    several = len({row.storey for row in rows}) > 1
    lines = [_line(row, bill_room(convention, row.room), several) for row in rows]
    together = texts.words["together"]
    figures = [tuple(cell for cell in line[1:] if isinstance(cell, Decimal)) for line in lines]
    return (
        Table(
            id="bill",
            title=texts.tables["bill"].format(name=convention.name),
            columns=_columns(texts),
            rows=tuple(lines),
            total=(together, *(sum(column, Decimal(0)) for column in zip(*figures, strict=True))),
            note=_note(convention, texts),
            audience=EVERYBODY,
        ),
    )


def _columns(texts: Texts) -> tuple[Column, ...]:
    heads = texts.heads
    return (
        Column(texts.words["room"], share=2.4),
        Column(heads["billed_walls"], "m²", "figure", share=1.2),
        Column(heads["billed_off"], "m²", "figure", share=1.2),
        Column(heads["billed_reveals"], "m²", "figure", share=1.2),
        Column(heads["billed_narrow"], "m", "figure", share=1.2),
    )


def _line(row: RoomRow, billed: Billed, several: bool) -> tuple[Cell, ...]:
    name = f"{row.storey}, {row.label}" if several else row.label
    if row.factor != 1:
        name = f"{name} × {row.factor}"
    narrow = sum(length for _, length in billed.reveal_lengths)
    amounts = (billed.wall_m2, billed.deducted_m2, billed.reveal_m2, narrow)
    return (name, *(printed(amount) * row.factor for amount in amounts))


def _note(convention: Convention, texts: Texts) -> str:
    year = f", {convention.year}" if convention.year else ""
    return texts.words["bill_note"].format(rule=f"{convention.name}{year}", source=convention.source)
