"""What each lot of a job needs, buys, cuts and leaves over, as tables that every writer shares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from takeoff.language import date_text, listed, number, tr, tr_count
from takeoff.sheets.sheet_values import Cell, Column, Line, Table
from takeoff.supply.lots import LotLine, LotOrder, LotsOrder
from takeoff.supply.order import Cut
from takeoff.supply.systems import CoatingSystem, amounts_unit
from takeoff.units.printing import money, shown


def lot_tables(done: LotsOrder, currency: str, names: Mapping[str, str]) -> tuple[Table, ...]:
    """One table for each lot, what it needs and buys."""
    return tuple(
        part_table(order, order.lines, currency, f"lot-{order.lot.id}", lot_name(order, names)) for order in done.lots
    )


def cut_tables(done: LotsOrder, names: Mapping[str, str]) -> tuple[Table, ...]:
    """How each lot cuts its bead: offcuts of the lots before it first, then bars; lots without bead have none."""
    return tuple(_cut_table(order, names) for order in done.lots if order.beads or order.offcuts)


def _cut_table(order: LotOrder, names: Mapping[str, str]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    beads = {bead.profile: bead.name for bead in order.beads}
    for used in order.offcuts:
        stock = tr("offcut of {length} mm", length=used.offcut_mm)
        rows.append((1, beads.get(used.profile, used.profile), stock, _pieces(used.cuts)))
    for bead in order.beads:
        alike: dict[tuple[str, str], int] = {}
        for bar in bead.bars:
            key = (bar.stock, _pieces(bar.cuts))
            alike[key] = alike.get(key, 0) + 1
        rows += [(count, bead.name, stock, pieces) for (stock, pieces), count in alike.items()]
        if bead.coil_cuts:
            rows.append((1, bead.name, tr("coil"), _pieces(bead.coil_cuts)))
    return Table(
        id=f"lot-cuts-{order.lot.id}",
        title=tr("Cutting list, {lot}", lot=lot_name(order, names)),
        columns=(
            Column(tr("Bars"), kind="count", share=0.5),
            Column(tr("Bead"), share=1.8),
            Column(tr("Out of"), share=1.3),
            Column(tr("Pieces mm"), share=3.4),
        ),
        rows=tuple(rows),
        empty=tr("There is nothing to cut."),
        papers=("site",),
    )


def _pieces(cuts: Sequence[Cut]) -> str:
    return " + ".join(str(cut.length_mm) for cut in cuts)


def batch_lines(
    done: LotsOrder, system: CoatingSystem, rooms: Mapping[str, str], names: Mapping[str, str]
) -> tuple[Line, ...]:
    """What one batch to a face asks of the order and of the site; nothing where the system does not ask for it."""
    if not system.coat.one_batch:
        return ()
    ask = tr("Each face out of one batch: ask for packs of one batch in each lot and check their numbers on delivery.")
    lines = [Line(label=tr("Batches"), text=ask, audience=("team",), papers=("order", "site"))]
    called = {order.lot.id: lot_name(order, names) for order in done.lots}
    for order in done.lots:
        for one in order.older:
            counts: dict[str, int] = {}
            for _, room, _ in one.faces:
                counts[rooms.get(room, room)] = counts.get(rooms.get(room, room), 0) + 1
            faces = listed(
                [tr_count("{room}, {count} face", "{room}, {count} faces", n, room=r) for r, n in counts.items()]
            )
            text = tr(
                "{lot}: out of what is left of {older}, {litres} L for whole faces only: {faces}.",
                lot=called[order.lot.id],
                older=called.get(one.of, "") or tr("the van"),
                litres=shown(one.litres, 1),
                faces=faces,
            )
            lines.append(Line(label=tr("Batches"), text=text, audience=("team",), papers=("site",)))
    return tuple(lines)


def lot_name(order: LotOrder, names: Mapping[str, str]) -> str:
    """What a lot is called, with its date."""
    name = order.lot.name or names.get(order.lot.id, "") or tr("In no lot")
    return f"{name}, {_day_words(order.lot.date)}" if order.lot.date else name


def _day_words(day: str) -> str:
    """The day as a person writes it; what is none as it was typed."""
    try:
        return date_text(date.fromisoformat(day))
    except ValueError:
        return day


def part_table(
    order: LotOrder, lines: Sequence[LotLine], currency: str, id: str, title: str, note: str = "", carried: bool = True
) -> Table:
    """Lines of a lot with their packs, and what they cost in all. ``carried``: carriage is among them."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            line.item,
            f"{shown(line.need)} {amounts_unit(line.unit)}",
            f"{shown(line.before)} {amounts_unit(line.unit)}" if line.before else "",
            " + ".join(f"{count} × {name}" for name, count in line.packs) or tr("nothing to buy"),
            None if line.cost is None else money(line.cost),
        )
        for line in lines
    )
    costs = [money(line.cost) for line in lines if line.cost is not None]
    if carried and order.carriage is not None and rows:
        rows = (*rows, (tr("Carriage"), "", "", "", money(order.carriage)))
        costs.append(money(order.carriage))
    known = all(line.cost is not None for line in lines)
    return Table(
        id=id,
        title=title,
        columns=(
            Column(tr("Item"), share=2.2),
            Column(tr("Need"), share=1.0),
            Column(tr("There already"), share=1.0),
            Column(tr("Packs"), share=2.4),
            Column(tr("Cost"), currency, "money", share=0.9),
        ),
        rows=rows,
        total=(tr("Total"), "", "", "", sum(costs, Decimal("0.00"))) if known and order.cost is not None else None,
        note=note,
        empty=tr("There is nothing to order."),
        papers=("order",),
    )


def all_lots_table(done: LotsOrder, currency: str, names: Mapping[str, str]) -> Table:
    """All lots with their cost, and what one order would save."""
    rows = tuple(
        (
            lot_name(order, names),
            None if order.cost is None else money(order.cost),
            None if order.alone is None else money(order.alone),
        )
        for order in done.lots
    )
    note = ""
    if done.saves:
        note = tr(
            "One order for all lots would cost {cost}, {less} less.",
            cost=number(money(done.at_once or Decimal(0))),
            less=number(money(done.saves)),
        )
    return Table(
        id="lots",
        title=tr("All lots"),
        columns=(
            Column(tr("Lot"), share=2.4),
            Column(tr("Cost"), currency, "money", share=1.0),
            Column(tr("By itself"), currency, "money", share=1.2),
        ),
        rows=rows,
        total=None if done.cost is None else (tr("Total"), money(done.cost), None),
        note=note,
        empty=tr("There is nothing to order."),
    )
