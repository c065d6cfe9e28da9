"""What to order and how to cut the bead, as tables."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from takeoff.sheets.model import Cell, Column, Headline, RowKind, Table
from takeoff.sheets.texts import Texts
from takeoff.supply.order import At, Cut, CuttingList, Order, OrderLine
from takeoff.units.printing import money, printed

_COAT = "coat"
"""The order line that is the coat itself, for the headline."""


def order_tables(order: Order | None, texts: Texts, place: Callable[[At], str] | None = None) -> tuple[Table, ...]:
    """Materials, one cutting list per bead profile, the workings; empty when nothing was ordered.

    ``place`` puts the edge of a piece of bead into words; without it the order's own stand.
    """
    if order is None:
        return ()
    tables = [_materials(order, texts), *(_cutting(cutting, texts, place) for cutting in order.beads)]
    if order.workings:
        tables.append(_workings(order, texts))
    return tuple(tables)


def packs_headline(order: Order | None, texts: Texts) -> Headline | None:
    """ "11 packs" of the coat, with what a pack is under it; None where no coat is ordered."""
    lines = order.lines if order else ()
    coat = next((line for line in lines if line.id == _COAT), lines[0] if lines else None)
    if coat is None or not coat.packs:
        return None
    count = sum(number for _, number in coat.packs)
    sizes = " + ".join(name for name, _ in coat.packs)
    return Headline(f"{count} {texts.words['packs' if count != 1 else 'pack']}", f"{coat.item}, {sizes}")


def _materials(order: Order, texts: Texts) -> Table:
    priced = any(line.cost is not None for line in order.lines)
    heads = texts.heads
    columns = [
        Column(heads["item"], share=2.6),
        Column(heads["need"], "", "figure"),
        Column(heads["unit"], share=0.7),
        Column(heads["packs"], "", "count", share=0.7),
        Column(heads["pack"], share=2.4),
    ]
    if priced:
        columns.append(Column(heads["cost"], order.currency, "money"))
    total: tuple[Cell, ...] | None = None
    if order.cost is not None:
        costs = sum((money(line.cost) for line in order.lines if line.cost is not None), Decimal("0.00"))
        total = (texts.words["together"], None, None, None, None, costs)
    return Table(
        id="materials",
        title=f"{texts.tables['materials']}, {order.system_name or order.system}",
        columns=tuple(columns),
        rows=tuple(_material(line, priced) for line in order.lines),
        total=total if priced else None,
        empty=texts.tables["no_materials"],
    )


def _material(line: OrderLine, priced: bool) -> tuple[Cell, ...]:
    count = sum(number for _, number in line.packs)
    cells: tuple[Cell, ...] = (line.item, printed(line.need), line.unit, count, line.pack)
    return (*cells, None if line.cost is None else money(line.cost)) if priced else cells


def _workings(order: Order, texts: Texts) -> Table:
    """Grouped by order line; each group ends with the sum of what is printed."""
    lines: list[tuple[RowKind, tuple[Cell, ...]]] = []
    for item in order.lines:
        own = [w for w in order.workings if w.item == item.id]
        if not own:
            continue
        lines.append(("group", (item.item, None, None, None)))
        for w in own:
            what = f"{w.what} ({w.rule})" if w.rule else w.what
            lines.append(("line", (f"{w.text} =", printed(w.amount), w.unit, what)))
    return Table(
        id="materials-workings",
        title=texts.tables["workings"],
        columns=(
            Column(texts.heads["working"], share=3.2),
            Column(texts.heads["result"], kind="figure", share=0.9),
            Column(texts.heads["unit"], share=0.7),
            Column(texts.heads["for"], share=3.0),
        ),
        rows=tuple(cells for _, cells in lines),
        kinds=tuple(kind for kind, _ in lines),
    )


def _cutting(cutting: CuttingList, texts: Texts, place: Callable[[At], str] | None) -> Table:
    """A row per piece to cut, bar after bar."""
    bought = ", ".join(f"{count} × {name}" for name, count in cutting.bought)
    said = [part[0].upper() + part[1:].rstrip(".") for part in (bought, cutting.status) if part]
    rows: list[tuple[Cell, ...]] = []
    for number, bar in enumerate(cutting.bars, 1):
        rows += [(number, bar.stock, bar.offcut_mm, *_piece(cut, place)) for cut in bar.cuts]
    rows += [(1, cutting.name, None, *_piece(cut, place)) for cut in cutting.coil_cuts]
    return Table(
        id=f"bead-{cutting.profile}",
        title=f"{texts.tables['bead']}: {cutting.name}",
        ditto=3,
        columns=(
            Column(texts.heads["bar"], kind="count", share=0.5),
            Column(texts.heads["stock"], share=1.2),
            Column(texts.heads["rest"], "mm", "count", share=0.8),
            Column(texts.heads["cuts"], "mm", "count", share=0.8),
            Column(texts.heads["for"], share=4.4),
        ),
        rows=tuple(rows),
        note=". ".join(said) + ".",
        empty=texts.tables["no_bead"],
    )


def _piece(cut: Cut, place: Callable[[At], str] | None) -> tuple[Cell, Cell]:
    """(mm, "Living, window 1, head (part 1 of 2)")."""
    words = place(cut.at) if place and cut.at else cut.where
    return cut.length_mm, words + (f" (part {cut.part})" if cut.part else "")
