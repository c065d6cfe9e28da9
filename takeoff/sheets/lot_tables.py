"""What each lot of a job needs, buys, cuts and leaves over, as tables that every writer shares."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from takeoff.language import number, tr
from takeoff.sheets.sheet_values import Column, Table
from takeoff.supply.lots import LotOrder, LotsOrder
from takeoff.units.printing import money, shown


def lot_tables(done: LotsOrder, currency: str, names: Mapping[str, str]) -> tuple[Table, ...]:
    """One table for each lot, what it needs and buys, and one of all lots with what one order would save."""
    return (*(_lot_table(order, currency, names) for order in done.lots), _all_lots(done, currency, names))


def lot_name(order: LotOrder, names: Mapping[str, str]) -> str:
    """What a lot is called, with its date."""
    name = order.lot.name or names.get(order.lot.id, "") or tr("In no lot")
    return f"{name}, {order.lot.date}" if order.lot.date else name


def _lot_table(order: LotOrder, currency: str, names: Mapping[str, str]) -> Table:
    rows = tuple(
        (
            line.item,
            f"{shown(line.need)} {line.unit}",
            f"{shown(line.before)} {line.unit}" if line.before else "",
            " + ".join(f"{count} × {name}" for name, count in line.packs) or tr("nothing to buy"),
            None if line.cost is None else money(line.cost),
        )
        for line in order.lines
    )
    if order.carriage is not None and rows:
        rows = (*rows, (tr("Carriage"), "", "", "", money(order.carriage)))
    return Table(
        id=f"lot-{order.lot.id}",
        title=lot_name(order, names),
        columns=(
            Column(tr("Item"), share=2.2),
            Column(tr("Need"), share=1.0),
            Column(tr("There already"), share=1.0),
            Column(tr("Packs"), share=2.4),
            Column(tr("Cost"), currency, "money", share=0.9),
        ),
        rows=rows,
        total=None if order.cost is None else (tr("Total"), "", "", "", money(order.cost)),
        empty=tr("There is nothing to order."),
    )


def _all_lots(done: LotsOrder, currency: str, names: Mapping[str, str]) -> Table:
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
            Column(tr("If ordered by itself"), currency, "money", share=1.2),
        ),
        rows=rows,
        total=None if done.cost is None else (tr("Total"), money(done.cost), None),
        note=note,
        empty=tr("There is nothing to order."),
    )
