"""Writes every table of a document as CSV: UTF-8 with a mark, RFC 4180, nothing that could run.

Cells are parted by a comma; by a semicolon in regions that write decimals with one, as their spreadsheets expect.
"""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from pathlib import Path

from takeoff.files.atomic import make_folder, write_bytes
from takeoff.language.regions import list_mark
from takeoff.sheets.flat import flat_tables, may_run, plain
from takeoff.sheets.sheet_values import Cell, Document, Table
from takeoff.units.printing import in_figures

_MARK = "\ufeff"


def write(document: Document, folder: Path) -> tuple[Path, ...]:
    """One file per table in ``folder``, named after the table ("rooms.csv"). Raises OutputError."""
    make_folder(folder)
    written = []
    for table in flat_tables(document):
        path = folder / f"{_file_name(table.id)}.csv"
        write_bytes(path, table_bytes(table, document.draft_words))
        written.append(path)
    return tuple(written)


def table_bytes(table: Table, draft: str = "") -> bytes:
    """The table as CSV: a line of heads (if any has one), the rows, the total. ``draft`` stands above."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, delimiter=list_mark(), lineterminator="\r\n")
    if draft:
        writer.writerow([safe_text(draft)])
    if any(column.title for column in table.columns):
        writer.writerow([safe_text(column.title) for column in table.columns])
    for row in table.rows:
        writer.writerow([_cell(cell) for cell in row])
    if table.total is not None:
        writer.writerow([_cell(cell) for cell in table.total])
    return (_MARK + stream.getvalue()).encode("utf-8")


def safe_text(text: str) -> str:
    """The text, with an apostrophe before it where a spreadsheet could take it for a formula.

    >>> safe_text("=1+1"), safe_text("Hall")
    ("'=1+1", 'Hall')
    """
    text = plain(text)
    return f"'{text}" if may_run(text) else text


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return safe_text(cell)
    # Figures are numbers and stay so, negative ones too: a number cannot run.
    return in_figures(f"{cell:f}") if isinstance(cell, Decimal) else str(cell)


def _file_name(key: str) -> str:
    return re.sub(r"[^A-Za-z0-9_-]+", "_", key)[:60] or "table"
