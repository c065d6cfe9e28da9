"""Writes every table of a document as a workbook: numbers as numbers, text as text, sums that stay live.

One worksheet holds one table. The only formulas are those that are made here of cells and numbers; no text of a cell
can become one. Their kept values are the printed figures.
"""

from __future__ import annotations

import datetime
import io
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from takeoff.files.atomic import write_bytes
from takeoff.sheets import palette
from takeoff.sheets.flat import flat_tables, may_run, plain
from takeoff.sheets.flow import cell_text, usual_paper
from takeoff.sheets.live_sums import At, formula, live
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

_NAMES = {"first": "draft"} | {key: key for key in ("scope", "rooms", "dims", "materials", "findings", "cautions")}
"""Tables that are called by a word of their own, by the key of that word; others by their title."""

_LONGEST_NAME = 31
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", " "))
"""What no name of a worksheet may hold."""

_PAPERS = {"Letter": 1, "A3": 8, "A4": 9}


def write(document: Document, path: Path) -> None:
    """Put the document's tables at ``path``. Raises OutputError; nothing half-written stays."""
    write_bytes(path, xlsx_bytes(document))


def xlsx_bytes(document: Document) -> bytes:
    """The workbook's bytes, the same for the same document."""
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, _SAFE)
    book.set_properties({"title": plain(document.title), "subject": plain(document.job), "created": _WRITTEN})
    looks = _Looks(book)
    taken: set[str] = set()
    for table in flat_tables(document):
        sheet = book.add_worksheet(_sheet_name(document, table, taken))
        _fill(sheet, table, looks, document.draft_words, document.origin)
    book.close()
    return stream.getvalue()


def _sheet_name(document: Document, table: Table, taken: set[str]) -> str:
    """What a worksheet is called: by what its table is, short, and like no other."""
    key = f"sheet_{_NAMES.get(table.id, '')}"
    return _free_name(document.words.get(key) or table.title, table.id, taken)


def _free_name(words: str, otherwise: str, taken: set[str]) -> str:
    """A name of a worksheet that none of those taken is like; it is taken then."""
    title = " ".join(plain(words).translate(_FORBIDDEN).split()).strip("' ")
    first = title[:_LONGEST_NAME].strip("' ") or plain(otherwise).translate(_FORBIDDEN)[:_LONGEST_NAME]
    name, again = first, 2
    while name.casefold() in taken or name.casefold() == _RESERVED:
        mark = f" {again}"
        name, again = f"{first[: _LONGEST_NAME - len(mark)]}{mark}", again + 1
    taken.add(name.casefold())
    return name


_RESERVED = "history"
"""A name that workbooks keep for themselves."""


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


def _fill(sheet: Any, table: Table, looks: _Looks, draft: str, origin: str) -> None:
    """The table of one worksheet with its heads in view, and repeated on every page that is printed. ``draft``: what
    stands above it, "" for nothing; ``origin`` at the foot where it is printed."""
    row = 0
    if draft:
        sheet.write_string(row, 0, plain(draft), looks.get(bold=True, font_size=13, font_color=palette.URGENT))
        row += 1
    sheet.write_string(row, 0, plain(table.title), looks.get(bold=True, font_size=13))
    row += 1
    if table.rows and any(column.title for column in table.columns):
        sheet.freeze_panes(row + 1, 0)
        sheet.repeat_rows(row)
    last = _table(sheet, table, row, looks)
    for k, width in enumerate(_widths(table)):
        sheet.set_column(k, k, width)
    sheet.print_area(0, 0, max(0, last - 1), max(0, len(table.columns) - 1))
    sheet.set_footer(f"{_foot(origin)}&R&P / &N")
    sheet.set_paper(_PAPERS.get(usual_paper(), _PAPERS["A4"]))
    sheet.set_landscape()
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.fit_to_pages(1, 0)


def _foot(origin: str) -> str:
    return "&L" + plain(origin)[:_LONGEST_FOOT].replace("&", "&&") if origin else ""


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
    first, found = row, live(table)

    def name(at: At) -> str:
        return str(xl_rowcol_to_cell(first + at[0], at[1]))

    lines = [*table.rows, *((table.total,) if table.total is not None else ())]
    for k, cells in enumerate(lines):
        formulas = {c: formula(found[k, c], _places(cell), name) for c, cell in enumerate(cells) if (k, c) in found}
        bold = k == len(table.rows) or table.kind_of(k) != "line"
        _row(sheet, row, cells, table.columns, bold, looks, formulas)
        row += 1
    if table.full_note:
        sheet.write_string(row, 0, plain(table.full_note), looks.get(italic=True))
        row += 1
    return row


def _places(cell: Cell) -> int:
    return max(0, -int(cell.as_tuple().exponent)) if isinstance(cell, Decimal) else 0


def _row(
    sheet: Any,
    row: int,
    cells: tuple[Cell, ...],
    columns: tuple[Column, ...],
    bold: bool,
    looks: _Looks,
    formulas: Mapping[int, str],
) -> None:
    """A row of cells; what has a formula keeps what is printed as its value until somebody changes a figure."""
    weight = {"bold": True} if bold else {}
    for k, (cell, column) in enumerate(zip(cells, columns, strict=True)):
        if cell is None:
            continue
        if isinstance(cell, str):
            # A text that looks like a formula stays a text even when somebody edits its cell.
            guard = {"quote_prefix": True} if may_run(cell) else {}
            sheet.write_string(row, k, plain(cell)[:_LONGEST_TEXT], looks.get(text_wrap=True, **guard, **weight))
        else:
            look = looks.get(num_format=_number_format(cell, column), **weight)
            if k in formulas:
                sheet.write_formula(row, k, formulas[k], look, float(cell))
            else:
                sheet.write_number(row, k, float(cell), look)


def _number_format(cell: Decimal | int, column: Column) -> str:
    """Formats of a workbook have a point in every region; who opens it sees his own decimal mark."""
    if isinstance(cell, int):
        return "0"
    places = 2 if column.kind == "money" else column.places
    return f"#,##0.{'0' * places}" if places else "#,##0"


def _widths(table: Table) -> list[float]:
    """Wide enough for heads and texts, within reason; longer texts wrap."""
    widths: list[float] = []
    for k, column in enumerate(table.columns):
        texts = [column.title, *(cell_text(row[k]) for row in (*table.rows, table.total or ()) if k < len(row))]
        widths.append(min(max(len(text) for text in texts) + 2.0, _WIDEST))
    return [max(width, _NARROWEST) for width in widths]


def tables_bytes(title: str, subject: str, tables: Sequence[Table]) -> bytes:
    """A workbook of these tables, one to a sheet, each called as its table is."""
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, _SAFE)
    book.set_properties({"title": plain(title), "subject": plain(subject), "created": _WRITTEN})
    looks, taken = _Looks(book), set[str]()
    for table in tables:
        _fill(book.add_worksheet(_free_name(table.title, table.id, taken)), table, looks, "", "")
    book.close()
    return stream.getvalue()
