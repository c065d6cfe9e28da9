"""Tables set into a flow of pages: fixed widths, heads repeated, totals never alone."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from takeoff.sheets import palette
from takeoff.sheets.flow import TEXT_PT, Flow, cut, line_mm, wrap
from takeoff.sheets.model import Cell, Column, Table

ROW_MM = 5.1
_LINE_MM = line_mm(TEXT_PT) * 0.94
_GAP_MM, _NARROW_GAP_MM = 4.0, 2.4
"""Space between columns, and in tables beside a plan."""
_BESIDE_MM = 120.0
"""Tables narrower than this count as beside a plan."""
_MOST_LINES = 40
"""A cell is cut with "…" after so many lines: a row must fit on a page; the workbook has it whole."""
_NARROW_MM = 110.0
"""Tables of two columns are no wider than this: an eye must not lose its row."""

Laid = tuple[list[list[str]], float, str]
"""(lines of each cell, height, kind of row)"""


def cell_text(cell: Cell, column: Column) -> str:
    """A cell as printed: figures as they are, with a true minus."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Decimal):
        return f"{cell:f}".replace("-", "−")
    return str(cell).replace("-", "−")


def column_widths(table: Table, width_mm: float) -> list[float]:
    """Widths in mm by the columns' shares; they sum to the given width."""
    whole = sum(column.share for column in table.columns)
    return [width_mm * column.share / whole for column in table.columns]


class TableSetter:
    """Sets one table into a flow, within a width from a left edge."""

    def __init__(self, flow: Flow, table: Table, width_mm: float | None = None, left_mm: float | None = None) -> None:
        self.flow, self.table = flow, table
        small = len(table.columns) == 2 and table.columns[1].kind != "text"
        narrow = min(flow.width, _NARROW_MM) if small else flow.width
        self.width = width_mm or narrow
        self.left = flow.left if left_mm is None else left_mm
        self.gap = _GAP_MM if self.width >= _BESIDE_MM or small else _NARROW_GAP_MM
        self.widths = column_widths(table, self.width)
        self.edges = [self.left + sum(self.widths[:k]) for k in range(len(self.widths))]
        self.head = self._cells([c.title for c in table.columns], [palette.SEMIBOLD] * len(table.columns))
        self.head_mm = self._height(self.head) + 0.6

    def rows(self) -> list[Laid]:
        """Every row laid out, the total last."""
        table = self.table
        laid = [self._row(cells, table.kind_of(k)) for k, cells in enumerate(table.rows)]
        if table.total is not None:
            laid.append(self._row(table.total, "sum"))
        return laid

    def height(self) -> float:
        """Height of the whole table with head and note, without a title."""
        note = ROW_MM if self.table.note else 0.0
        return self.head_mm + sum(height for _, height, _ in self.rows()) + note

    def set(self, titled: bool = True) -> None:
        """Put the table where the flow stands, over as many pages as it takes."""
        flow, table = self.flow, self.table
        laid = self.rows()
        if not table.rows:
            if titled:
                flow.heading(table.title, ROW_MM)
            flow.paragraph(table.empty, colour=palette.GREY)
            return
        first = sum(height for _, height, _ in laid[: _kept(laid, 0)])
        if titled:
            flow.heading(table.title, self.head_mm + first + 2.0)
            flow.y -= 1.0
        self._head()
        self._body(laid)
        if table.note:
            flow.y -= 0.8
            flow.paragraph(table.note, size=palette.SMALLEST_PT, colour=palette.GREY, width=self.width)

    def _body(self, laid: list[Laid]) -> None:
        k, above = 0, None
        while k < len(laid):
            count = _kept(laid, k)
            # The note below a table does not stand on a page of its own.
            note = ROW_MM if self.table.note and k + count == len(laid) else 0.0
            if self.flow.left_mm() < sum(height for _, height, _ in laid[k : k + count]) + note:
                self._turn()
                above = None
            for cells, height, kind in laid[k : k + count]:
                same = self.table.ditto
                named = not same or kind != "line" or cells[:same] != above
                self._put(cells, height if named else self._height(cells[same:]), kind, named)
                above = cells[:same]
            k += count

    def _turn(self) -> None:
        self.flow.new_page()
        title = f"{self.table.title} ({CONTINUED})"
        self.flow.text(self.left, self.flow.y - 3.6, title, palette.SEMIBOLD, TEXT_PT, palette.GREY)
        self.flow.y -= 6.0
        self._head()

    def _head(self) -> None:
        flow = self.flow
        lines = max(len(cell) for cell in self.head)
        for cell, column, x, wide in zip(self.head, self.table.columns, self.edges, self.widths, strict=True):
            # Heads of several lines stand on the line below them.
            y = flow.y - 3.7 - (lines - len(cell)) * _LINE_MM
            self._lines(cell, column, x, wide, y, palette.SEMIBOLD)
        flow.y -= self.head_mm
        flow.rule(self.left, self.left + self.width, flow.y, 0.3, palette.INK)

    def _put(self, cells: list[list[str]], height: float, kind: str, named: bool) -> None:
        """One row; unless ``named`` its first cells repeat the row above and are left blank."""
        flow = self.flow
        for k, (cell, column, x, wide) in enumerate(
            zip(cells, self.table.columns, self.edges, self.widths, strict=True)
        ):
            if k >= self.table.ditto or named:
                self._lines(cell, column, x, wide, flow.y - 3.6, _style(kind, k, column))
        flow.y -= height
        if kind != "sum":
            flow.rule(self.left, self.left + self.width, flow.y)

    def _lines(self, lines: list[str], column: Column, x: float, wide: float, y: float, style: str) -> None:
        flow = self.flow
        right = column.kind != "text"
        edge = x + wide - (0.0 if column is self.table.columns[-1] else self.gap)
        for line in lines:
            if line:
                flow.text(edge if right else x, y, line, style, align="right" if right else "left")
            y -= _LINE_MM

    def _row(self, cells: Sequence[Cell], kind: str) -> Laid:
        columns = self.table.columns
        texts = [cell_text(cell, column) for cell, column in zip(cells, columns, strict=True)]
        if kind == "group":
            # The name of a group runs over the whole width.
            name = wrap(texts[0], self.width, palette.SEMIBOLD, TEXT_PT, self.flow.measure)
            return [name, *([""] for _ in texts[1:])], self._height([name]), kind
        laid = self._cells(texts, [_style(kind, k, column) for k, column in enumerate(columns)])
        return laid, self._height(laid), kind

    def _cells(self, texts: Sequence[str], styles: Sequence[str]) -> list[list[str]]:
        last = len(texts) - 1
        laid = []
        for k, (text, wide, style) in enumerate(zip(texts, self.widths, styles, strict=True)):
            room = wide - (0.0 if k == last else self.gap)
            lines = wrap(text, room, style, TEXT_PT, self.flow.measure) if text else [""]
            if len(lines) > _MOST_LINES:
                lines = [
                    *lines[: _MOST_LINES - 1],
                    cut(f"{lines[_MOST_LINES - 1]} …", room, style, TEXT_PT, self.flow.measure),
                ]
            laid.append(lines)
        return laid

    def _height(self, cells: list[list[str]]) -> float:
        return ROW_MM + (max(len(cell) for cell in cells) - 1) * _LINE_MM


CONTINUED = "continued"


def _style(kind: str, column: int, what: Column) -> str:
    """Totals are strong where they say what and how much; their workings are not."""
    strong = kind != "line" and (column == 0 or what.kind != "text")
    return palette.SEMIBOLD if strong else palette.REGULAR


def _kept(laid: list[Laid], k: int) -> int:
    """How many rows from here stay on one page: a group's name with its first line, a line with its total."""
    count = 1
    if laid[k][2] == "group":
        count = 2
    while k + count < len(laid) and laid[k + count][2] in ("total", "sum") and count < 5:
        count += 1
    return min(count, len(laid) - k)
