"""A sheet's table as lines of text: words left, figures right, hairlines of spaces."""

from __future__ import annotations

from decimal import Decimal

from takeoff.sheets.model import Cell, Column, Table

GAP = "  "
LEAST_WORDS = 12
"""No column of words is cut shorter than this."""


def text_table(table: Table, width: int) -> str:
    """The table with its title, heads and total; "" for a table without rows that says nothing then.

    Columns of words are cut with an ellipsis until all fits into ``width``, figures never.
    """
    if not table.rows:
        return f"{table.title}\n  {table.empty}" if table.empty else ""
    body = [tuple(_text(cell, column) for cell, column in zip(row, table.columns, strict=False)) for row in table.rows]
    total = (
        [tuple(_text(cell, column) for cell, column in zip(table.total, table.columns, strict=True))]
        if table.total
        else []
    )
    heads = tuple(column.title for column in table.columns)
    plain = [row for row, kind in zip(body, _kinds(table), strict=True) if kind != "group"]
    widths = _widths([heads, *plain, *total], table.columns, width)
    lines = [table.title, _line(heads, widths, table.columns)]
    for row, kind in zip(body, _kinds(table), strict=True):
        lines.append(f"  {row[0]}" if kind == "group" else _line(row, widths, table.columns))
    if total:
        lines += ["  " + "-" * (sum(widths) + len(GAP) * (len(widths) - 1)), _line(total[0], widths, table.columns)]
    if table.note:
        lines.append(f"  {table.note}")
    return "\n".join(lines)


def _kinds(table: Table) -> list[str]:
    return [table.kind_of(index) for index in range(len(table.rows))]


def _text(cell: Cell, column: Column) -> str:
    """A cell as the sheets print it; figures are rounded already."""
    if cell is None:
        return ""
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def _widths(rows: list[tuple[str, ...]], columns: tuple[Column, ...], width: int) -> list[int]:
    widths = [max((len(row[i]) for row in rows if i < len(row)), default=0) for i in range(len(columns))]
    room = width - 2 - len(GAP) * (len(columns) - 1)
    while sum(widths) > room:
        words = [i for i, column in enumerate(columns) if column.kind == "text" and widths[i] > LEAST_WORDS]
        if not words:
            break
        widths[max(words, key=lambda i: widths[i])] -= 1
    return widths


def _line(cells: tuple[str, ...], widths: list[int], columns: tuple[Column, ...]) -> str:
    parts = []
    for cell, wide, column in zip(cells, widths, columns, strict=False):
        shown = cell if len(cell) <= wide else cell[: wide - 1] + "…"
        parts.append(shown.ljust(wide) if column.kind == "text" else shown.rjust(wide))
    return ("  " + GAP.join(parts)).rstrip()
