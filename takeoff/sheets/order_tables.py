"""What the tables of an order say: materials with their packs, the cutting lists of bead, the workings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from takeoff.language import tr, tr_count
from takeoff.sheets.sheet_values import Cell, Column, Headline, RowKind, Table
from takeoff.sheets.texts import Texts
from takeoff.supply.order import At, Cut, CuttingList, Order, OrderLine
from takeoff.supply.systems import amounts_unit
from takeoff.units.printing import feet_inches, in_figures, money, printed

_COAT = "coat"
"""The order line that is the coat itself, for the headline."""


def order_tables(
    order: Order | None, texts: Texts, place: Callable[[At], str] | None = None, feet: bool = False
) -> tuple[Table, ...]:
    """Materials, one cutting list per bead profile, the workings; empty when nothing was ordered.

    ``place`` puts the edge of a piece of bead into words; without it the order's own stand.
    """
    if order is None:
        return ()
    title = f"{texts.tables['materials']}, {order.system_name or order.system}"
    tables = [materials_table(order, texts, order.lines, "materials", title, order.carriage_note)]
    tables += [_patterns(cutting, texts, feet) for cutting in order.beads]
    tables += [_cutting(cutting, texts, place, feet) for cutting in order.beads]
    if order.workings:
        tables.append(_workings(order, texts))
    return tuple(tables)


def packs_headline(order: Order | None) -> Headline | None:
    """ "11 packs of coat", for the team, with what a pack is under it; None where no coat is ordered."""
    lines = order.lines if order else ()
    coat = next((line for line in lines if line.id == _COAT), lines[0] if lines else None)
    if coat is None or not coat.packs:
        return None
    count = sum(number for _, number in coat.packs)
    sizes = " + ".join(name for name, _ in coat.packs)
    figure = tr_count("{count} pack of coat", "{count} packs of coat", count)
    return Headline(figure, f"{coat.item}, {sizes}", audience=("team",), papers=("order", "site"))


def materials_table(
    order: Order, texts: Texts, lines: Sequence[OrderLine], id: str, title: str, note: str = "", carried: bool = True
) -> Table:
    """Lines of an order with their packs, and what they cost in all. ``carried``: carriage is among them."""
    priced = any(line.cost is not None for line in lines)
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
    if all(line.cost is not None for line in lines):
        costs = sum((money(line.cost) for line in lines if line.cost is not None), Decimal("0.00"))
        costs += money(order.carriage or Decimal(0)) if carried else Decimal(0)
        total = (texts.words["together"], None, None, None, None, costs)
    carriage: tuple[tuple[Cell, ...], ...] = ()
    if priced and carried and order.carriage is not None:
        carriage = ((tr("Carriage"), None, "", None, "", money(order.carriage)),)
    return Table(
        id=id,
        papers=("order",),
        title=title,
        columns=tuple(columns),
        rows=(*(_material(line, priced) for line in lines), *carriage),
        total=total if priced else None,
        note=note,
        empty=texts.tables["no_materials"],
    )


def _material(line: OrderLine, priced: bool) -> tuple[Cell, ...]:
    count = sum(number for _, number in line.packs)
    cells: tuple[Cell, ...] = (line.item, printed(line.need), amounts_unit(line.unit), count, line.pack)
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
            lines.append(("line", (f"{in_figures(w.text)} =", printed(w.amount), amounts_unit(w.unit), what)))
    return Table(
        id="materials-workings",
        papers=("dimensions",),
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


def _cutting(cutting: CuttingList, texts: Texts, place: Callable[[At], str] | None, feet: bool) -> Table:
    """A row per piece to cut, bar after bar."""
    rows: list[tuple[Cell, ...]] = []
    for number, bar in enumerate(cutting.bars, 1):
        rows += [(number, bar.stock, bar.offcut_mm, *_piece(cut, place, feet)) for cut in bar.cuts]
    rows += [(1, cutting.name, None, *_piece(cut, place, feet)) for cut in cutting.coil_cuts]
    return Table(
        id=f"bead-{cutting.profile}",
        papers=(),
        title=f"{texts.tables['bead']}: {cutting.name}",
        ditto=3,
        columns=(
            Column(texts.heads["bar"], kind="count", share=0.5),
            Column(texts.heads["stock"], share=1.2),
            Column(texts.heads["rest"], "mm", "count", share=0.8),
            Column(texts.heads["cuts"], "mm", "count", share=0.8),
            *((Column(texts.heads["cuts"], tr("ft-in"), share=1.2),) if feet else ()),
            Column(texts.heads["for"], share=4.4),
        ),
        rows=tuple(rows),
        note=_said_of(cutting),
        empty=texts.tables["no_bead"],
    )


def _patterns(cutting: CuttingList, texts: Texts, feet: bool) -> Table:
    """Bars that are cut alike in one row: "46", "2800 mm bar", "1400 + 1400". Where each piece goes stands on the
    cards of the rooms."""
    alike: dict[tuple[str, tuple[int, ...], int], int] = {}
    for bar in cutting.bars:
        key = (bar.stock, tuple(sorted((cut.length_mm for cut in bar.cuts), reverse=True)), bar.offcut_mm)
        alike[key] = alike.get(key, 0) + 1
    rows: list[tuple[Cell, ...]] = [
        (f"{count} × [{_lengths(lengths, feet)}]", stock, offcut) for (stock, lengths, offcut), count in alike.items()
    ]
    if cutting.coil_cuts:
        lengths = [cut.length_mm for cut in cutting.coil_cuts]
        rows += [
            (f"{lengths.count(length)} × [{_lengths([length], feet)}]", cutting.name, None)
            for length in sorted(set(lengths), reverse=True)
        ]
    return Table(
        id=f"patterns-{cutting.profile}",
        papers=("site",),
        title=f"{texts.tables['bead']}: {cutting.name}",
        columns=(
            Column(f"{texts.heads['bars_and_cuts']} mm", share=3.4),
            Column(texts.heads["stock"], share=1.6),
            Column(texts.heads["rest_each"], "mm", "count", share=1.0),
        ),
        rows=tuple(rows),
        note=_said_of(cutting),
        empty=texts.tables["no_bead"],
    )


def _lengths(lengths: Sequence[int], feet: bool) -> str:
    """ "1400 + 1400", in feet and inches too for a plan in feet."""
    text = " + ".join(str(length) for length in lengths)
    return f"{text} = {' + '.join(feet_inches(length) for length in lengths)}" if feet else text


def _said_of(cutting: CuttingList) -> str:
    """What is bought, and how good the list is."""
    bought = ", ".join(f"{count} × {name}" for name, count in cutting.bought)
    said = [part[0].upper() + part[1:].rstrip(".") for part in (bought, cutting.status) if part]
    return ". ".join(said) + "."


def _piece(cut: Cut, place: Callable[[At], str] | None, feet: bool) -> tuple[Cell, ...]:
    """(mm, "Living, window 1, head (part 1 of 2)"), with feet and inches between for a plan in feet."""
    words = place(cut.at) if place and cut.at else cut.where
    said = tr("{place} (part {part})", place=words, part=cut.part) if cut.part else words
    return (cut.length_mm, feet_inches(cut.length_mm), said) if feet else (cut.length_mm, said)
