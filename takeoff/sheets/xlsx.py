"""Writes every table of a document as a workbook: numbers as numbers, text as text, no formula at all."""

from __future__ import annotations

import datetime
import io
from decimal import Decimal
from pathlib import Path
from typing import Any

import xlsxwriter

from takeoff.files.atomic import write_bytes
from takeoff.sheets import palette
from takeoff.sheets.flat import flat_tables, may_run, plain
from takeoff.sheets.flow import cell_text
from takeoff.sheets.sheet_values import Cell, Column, Document, Table

_WRITTEN = datetime.datetime(1980, 1, 1)
"""The workbook's own date: fixed, so that the same document gives the same bytes."""

_LONGEST_TEXT = 32767
"""Characters that a cell may hold."""

_LONGEST_FOOT = 120
"""Characters of a printed foot, which may hold 255 with its marks."""

_NARROWEST, _WIDEST = 7.0, 60.0
"""Column widths, in characters."""

_SAFE = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}

_SHEETS = (
    ("scope", ("scope",)),
    ("draft", ("first",)),
    ("rooms", ("storeys", "rooms")),
    ("totals", ("price", "bill", "bill-narrow", "areas", "corners", "lengths-by-room")),
    ("materials", ("materials", "materials-workings", "bead-")),
    ("dims", ("dims",)),
    ("findings", ("unsure", "assumptions", "findings")),
    ("cautions", ("conditions", "cautions")),
)
"""Worksheets by the key of their name, and the ids (or their beginnings) of the tables on them."""


def write(document: Document, path: Path) -> None:
    """Put the document's tables at ``path``. Raises OutputError; nothing half-written stays."""
    write_bytes(path, xlsx_bytes(document))


def xlsx_bytes(document: Document) -> bytes:
    """The workbook's bytes, the same for the same document."""
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, _SAFE)
    book.set_properties({"title": plain(document.title), "subject": plain(document.job), "created": _WRITTEN})
    looks = _Looks(book)
    tables = flat_tables(document)
    for key, ids in _SHEETS:
        own = [table for table in tables if any(_belongs(table.id, name) for name in ids)]
        if own:
            _fill(book.add_worksheet(document.words[f"sheet_{key}"]), own, looks, document.draft_words, document.origin)
    book.close()
    return stream.getvalue()


class _Looks:
    """Cell formats, each made once: a workbook may hold only so many."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[Any, ...], Any] = {}

    def get(self, **properties: Any) -> Any:
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format({"valign": "top", **properties})
        return self._made[key]


def _belongs(table_id: str, name: str) -> bool:
    return table_id.startswith(name) if name.endswith("-") else table_id == name


def _fill(sheet: Any, tables: list[Table], looks: _Looks, draft: str, origin: str) -> None:
    """The tables of one worksheet under each other; a single one keeps its heads in view. ``draft``: what
    stands above them, "" for nothing; ``origin`` at the foot where it is printed."""
    row = 0
    if draft:
        sheet.write_string(row, 0, plain(draft), looks.get(bold=True, font_size=13, font_color=palette.URGENT))
        row += 1
    above = row
    for table in tables:
        sheet.write_string(row, 0, plain(table.title), looks.get(bold=True, font_size=13))
        row += 1
        row = _table(sheet, table, row, looks) + 1
    if len(tables) == 1 and any(column.title for column in tables[0].columns):
        sheet.freeze_panes(above + 2, 0)
    for k, width in enumerate(_widths(tables)):
        sheet.set_column(k, k, width)
    if origin:
        sheet.set_footer("&L" + plain(origin)[:_LONGEST_FOOT].replace("&", "&&"))
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _table(sheet: Any, table: Table, row: int, looks: _Looks) -> int:
    """Heads, rows, total and note from ``row`` on; the first row after them."""
    if not table.rows:
        sheet.write_string(row, 0, plain(table.empty))
        return row + 1
    if any(column.title for column in table.columns):
        for k, column in enumerate(table.columns):
            right = {} if column.kind == "text" else {"align": "right"}
            look = looks.get(bold=True, bottom=1, text_wrap=True, **right)
            sheet.write_string(row, k, plain(column.title), look)
        row += 1
    for k, cells in enumerate(table.rows):
        _row(sheet, row, cells, table.columns, table.kind_of(k) != "line", looks)
        row += 1
    if table.total is not None:
        _row(sheet, row, table.total, table.columns, True, looks)
        row += 1
    if table.full_note:
        sheet.write_string(row, 0, plain(table.full_note), looks.get(italic=True))
        row += 1
    return row


def _row(sheet: Any, row: int, cells: tuple[Cell, ...], columns: tuple[Column, ...], bold: bool, looks: _Looks) -> None:
    weight = {"bold": True} if bold else {}
    for k, (cell, column) in enumerate(zip(cells, columns, strict=True)):
        if cell is None:
            continue
        if isinstance(cell, str):
            # A text that looks like a formula stays a text even when somebody edits its cell.
            guard = {"quote_prefix": True} if may_run(cell) else {}
            sheet.write_string(row, k, plain(cell)[:_LONGEST_TEXT], looks.get(text_wrap=True, **guard, **weight))
        else:
            sheet.write_number(row, k, float(cell), looks.get(num_format=_number_format(cell, column), **weight))


def _number_format(cell: Decimal | int, column: Column) -> str:
    """Formats of a workbook have a point in every region; who opens it sees his own decimal mark."""
    if isinstance(cell, int):
        return "0"
    places = 2 if column.kind == "money" else column.places
    return f"#,##0.{'0' * places}" if places else "#,##0"


def _widths(tables: list[Table]) -> list[float]:
    """Wide enough for heads and texts, within reason; longer texts wrap."""
    widths: list[float] = []
    for table in tables:
        for k, column in enumerate(table.columns):
            texts = [column.title, *(cell_text(row[k]) for row in (*table.rows, table.total or ()) if k < len(row))]
            longest = max(len(text) for text in texts) + 2.0
            wide = min(max(longest, _NARROWEST), _WIDEST)
            if k < len(widths):
                widths[k] = max(widths[k], wide)
            else:
                widths.append(wide)
    return widths
