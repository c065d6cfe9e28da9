"""Tables of the work after the order as a page beside the plan shows them: the columns that it has room for."""

from __future__ import annotations

import msgspec

from takeoff.sheets.sheet_values import Cell, Table

COLUMNS: dict[str, tuple[int, ...]] = {
    "states": (0, 2, 3, 6),
    "states-compared": (0, 4, 5),
    "ledger": (0, 1, 7),
    "still-to-buy": (0, 3, 5),
    "still-to-buy-by-lot": (0, 3, 5),
    "stages": (1, 2, 3),
    "changes": (0, 1, 3, 5),
    "account-parts": (0, 1, 4),
    "account-rooms": (0, 1, 5),
    "defects": (0, 1, 2, 4),
    "progress": (0, 2, 3, 4),
}
"""Which columns of a table are shown, by its id; the others are on paper and in the command."""


def for_page(table: Table) -> Table:
    """The table with the columns that a page has room for; the table itself where it has room for all."""
    kept = COLUMNS.get(table.id)
    if kept is None:
        return table
    return msgspec.structs.replace(
        table,
        columns=tuple(table.columns[k] for k in kept),
        rows=tuple(
            tuple(row[k] for k in kept) if _is_line(table, n) else _group(row, kept) for n, row in enumerate(table.rows)
        ),
        total=None if table.total is None else tuple(table.total[k] for k in kept),
        ditto=0,
    )


def _is_line(table: Table, row: int) -> bool:
    return table.kind_of(row) != "group"


def _group(row: tuple[Cell, ...], kept: tuple[int, ...]) -> tuple[Cell, ...]:
    """A group's name stands in the first of the columns."""
    return (row[0], *("" for _ in kept[1:]))
