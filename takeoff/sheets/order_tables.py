"""What to order and how to cut the bead, as tables."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from takeoff.sheets.model import Cell, Column, Headline, RowKind, Table
from takeoff.sheets.texts import Texts
from takeoff.supply.order import Cut, CuttingList, Order, OrderLine
from takeoff.units.printing import money, printed

_COAT = "coat"
"""The order line that is the coat itself, for the headline."""


def order_tables(order: Order | None, texts: Texts) -> tuple[Table, ...]:
    """Materials, their workings, and one cutting list per bead profile; empty when nothing was ordered."""
    if order is None:
        return ()
    tables = [_materials(order, texts)]
    if order.workings:
        tables.append(_workings(order, texts))
    tables += [_cutting(cutting, texts) for cutting in order.beads]
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
        title=f"{texts.tables['materials']}, {order.system}",
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
            Column(texts.heads["working"], share=2.6),
            Column(texts.heads["result"], kind="figure", share=0.9),
            Column(texts.heads["unit"], share=0.7),
            Column(texts.heads["for"], share=3.2),
        ),
        rows=tuple(cells for _, cells in lines),
        kinds=tuple(kind for kind, _ in lines),
    )


def _cutting(cutting: CuttingList, texts: Texts) -> Table:
    bought = ", ".join(f"{count} × {name}" for name, count in cutting.bought)
    rows = (
        tuple(_bar_row(number, bar_cuts, stock, rest) for number, bar_cuts, stock, rest in _alike(cutting))
        if cutting.kind == "bar"
        else ((1, cutting.name, _cuts_text(cutting.coil_cuts), None),)
    )
    return Table(
        id=f"bead-{cutting.profile}",
        title=f"{texts.tables['bead']}: {cutting.name}",
        columns=(
            Column(texts.heads["bars"], kind="count", share=0.6),
            Column(texts.heads["stock"], share=1.2),
            Column(texts.heads["cuts"], "mm", share=4.6),
            Column(texts.heads["rest"], "mm", "count", share=0.8),
        ),
        rows=rows,
        note=". ".join(part.rstrip(".") for part in (bought, cutting.status) if part) + ".",
        empty=texts.tables["no_bead"],
    )


def _alike(cutting: CuttingList) -> list[tuple[int, tuple[Cut, ...], str, int]]:
    """Bars that are cut alike (lengths, places) stand in one row with their number."""
    counted = Counter((bar.cuts, bar.stock, bar.offcut_mm) for bar in cutting.bars)
    return [(number, cuts, stock, rest) for (cuts, stock, rest), number in counted.items()]


def _bar_row(number: int, cuts: tuple[Cut, ...], stock: str, rest: int) -> tuple[Cell, ...]:
    return number, stock, _cuts_text(cuts), rest


def _cuts_text(cuts: tuple[Cut, ...]) -> str:
    """ "2040 Hall, door d1; 1200 Living, window w2 (part 1 of 2)"."""
    return "; ".join(
        f"{cut.length_mm} {cut.where}".strip() + (f" (part {cut.part})" if cut.part else "") for cut in cuts
    )
