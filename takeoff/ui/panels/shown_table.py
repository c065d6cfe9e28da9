"""A table of the sheets on a page: the same rows, heads and totals as on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QHeaderView, QLabel, QSizePolicy, QTableWidget, QTableWidgetItem, QVBoxLayout, QWidget

from takeoff.language import number
from takeoff.sheets.sheet_values import Cell, Table
from takeoff.ui.panels.page_parts import label, set_text
from takeoff.ui.themes import SMALL_PX, font

_MOST_ROWS_TALL = 14
_LEAST_PX = 24
_WORDS_PX, _SHORT = 110, 0.7
"""With less than that for the words, prices and units between the first figure and the last are not shown."""


class ShownTable(QWidget):
    """One table with its title and note."""

    def __init__(self) -> None:
        super().__init__()
        self._shares: tuple[float, ...] = ()
        self._spare: tuple[int, ...] = ()
        self._words: tuple[int, ...] = ()
        self.title = label("", "group", wrap=True)
        self.note = label("", "grey", wrap=True)
        self.cells = QTableWidget(0, 0)
        self.cells.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.cells.setSelectionMode(QTableWidget.SelectionMode.NoSelection)
        self.cells.setFont(font(SMALL_PX))
        self.cells.setWordWrap(True)
        self.cells.setShowGrid(False)
        self.cells.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.cells.verticalHeader().hide()
        self.cells.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 6, 0, 0)
        for widget in (self.title, self.cells, self.note):
            down.addWidget(widget)

    def show_table(self, table: Table) -> None:
        """Show these rows."""
        set_text(self.title, table.title)
        self.cells.setAccessibleName(table.title)
        note = table.note if table.rows else table.empty
        set_text(self.note, note)
        self.note.setVisible(bool(note))
        self.cells.setVisible(bool(table.rows))
        rows = [*table.rows, *([table.total] if table.total else [])]
        self.cells.clearSpans()
        self.cells.setColumnCount(len(table.columns))
        self.cells.setRowCount(len(rows))
        self.cells.setHorizontalHeaderLabels([column.title for column in table.columns])
        header = self.cells.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setMinimumSectionSize(_LEAST_PX)
        figures = [at for at, column in enumerate(table.columns) if column.kind != "text"]
        short = [at for at, column in enumerate(table.columns) if column.kind == "text" and column.share < _SHORT]
        self._spare = (*figures[1:-1], *short) if len(figures) > 2 else ()
        for at in range(len(table.columns)):
            self.cells.setColumnHidden(at, False)
        self._shares = tuple(
            0.0 if column.kind != "text" or at in short else column.share for at, column in enumerate(table.columns)
        )
        for at, row in enumerate(rows):
            kind = table.kind_of(at) if at < len(table.rows) else "total"
            for column, cell in enumerate(row):
                self.cells.setItem(at, column, _item(cell, strong=kind != "line"))
            if kind == "group":
                self.cells.setSpan(at, 0, 1, len(table.columns))
        kinds = [*(table.kind_of(at) for at in range(len(table.rows))), "total"]
        lines = [row for row, kind in zip(rows, kinds, strict=False) if kind != "group"]
        self._words = tuple(_widest_word(lines, at) for at in range(len(table.columns)))
        many = len(rows) > _MOST_ROWS_TALL
        on, off = Qt.ScrollBarPolicy.ScrollBarAlwaysOn, Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        self.cells.setVerticalScrollBarPolicy(on if many else off)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Columns share another width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Figures get what they need, words their head and a share of the rest; what stands between the first column
        and the last is left out where there is no room for it: nothing is cut off or scrolled sideways."""
        room = self.cells.viewport().width()
        for at in range(len(self._shares)):
            self.cells.setColumnHidden(at, False)
        needed = [0 if share else self.cells.sizeHintForColumn(at) + 8 for at, share in enumerate(self._shares)]
        heads = self.cells.horizontalHeader()
        needed = [wide and max(wide, heads.sectionSizeHint(at)) for at, wide in enumerate(needed)]
        for at in self._spare:
            scarce = room - sum(needed) < _WORDS_PX
            self.cells.setColumnHidden(at, scarce)
            if scarce:
                needed[at] = 0
        least = [0 if self.cells.isColumnHidden(at) else wide for at, wide in enumerate(needed)]
        for at, share in enumerate(self._shares):
            if share and not self.cells.isColumnHidden(at):
                # a word that is wider than its column would be cut
                least[at] = max(_LEAST_PX, heads.sectionSizeHint(at), min(self._words[at], room // 2))
        for at in range(len(least) - 2, 0, -1):
            if sum(least) > room and least[at]:
                self.cells.setColumnHidden(at, True)
                least[at] = 0
        if least:
            least[-1] = min(least[-1], max(room - sum(least[:-1]), _LEAST_PX))
        seen = [share if least[at] else 0.0 for at, share in enumerate(self._shares)]
        rest, whole = max(0, room - sum(least)), sum(seen) or 1.0
        wide = {at: least[at] + int(rest * share / whole) for at, share in enumerate(seen) if least[at]}
        # Qt finds the height of a row without the padding of the style sheet, and then cuts a line that just fits
        for at, px in wide.items():
            self.cells.setColumnWidth(at, px - (_PADDING_PX if seen[at] else 0))
        self.cells.resizeRowsToContents()
        for at, px in wide.items():
            self.cells.setColumnWidth(at, px)
        shown = min(self.cells.rowCount(), _MOST_ROWS_TALL)
        self.cells.setFixedHeight(sum(map(self.cells.rowHeight, range(shown))) + heads.sizeHint().height() + 4)


_CELL_PX, _PADDING_PX = 12, 10
"""What a cell takes beside its text, and what of that the style sheet adds."""


def _widest_word(rows: Sequence[Sequence[Cell]], at: int) -> int:
    """Width in px of the longest word that stands in a column, with the cell's margins."""
    letters = QFontMetricsF(font(SMALL_PX))
    words = {word for row in rows if isinstance(row[at], str) for word in str(row[at]).split()}
    # of hundreds of words only the longest can be the widest
    longest = sorted(words, key=len)[-_WORDS_MEASURED:]
    return math.ceil(max((letters.horizontalAdvance(word) for word in longest), default=0.0)) + _CELL_PX


_WORDS_MEASURED = 20


def _item(cell: Cell, strong: bool) -> QTableWidgetItem:
    figure = isinstance(cell, Decimal | int)
    text = "" if cell is None else number(cell) if isinstance(cell, Decimal | int) else cell
    item = QTableWidgetItem(text)
    item.setToolTip(text)
    if figure:
        item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    if strong:
        item.setFont(font(SMALL_PX, "semibold"))
    return item


def show_or_say(
    instead: QLabel, why: str, down: QVBoxLayout, blocks: list[ShownTable], tables: Sequence[Table]
) -> None:
    """These tables at the foot of a page; or in words why they cannot be said."""
    set_text(instead, why)
    instead.setVisible(bool(why))
    show_below(down, blocks, tables)


def show_below(down: QVBoxLayout, blocks: list[ShownTable], tables: Sequence[Table]) -> None:
    """These tables at the foot of a page: as many blocks as there are tables, made once; others are hidden."""
    while len(blocks) < len(tables):
        blocks.append(ShownTable())
        down.insertWidget(down.count() - 1, blocks[-1])
    for at, block in enumerate(blocks):
        block.setVisible(at < len(tables))
        if at < len(tables):
            block.show_table(tables[at])
