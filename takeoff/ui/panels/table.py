"""A table of frozen rows, updated by what differs: cells of changed rows, rows that came or went."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from takeoff.ui.document import Ref
from takeoff.ui.panels.page_parts import broken
from takeoff.ui.themes import SMALL_PX, font

Index = QModelIndex | QPersistentModelIndex


class Head(msgspec.Struct, frozen=True):
    """A column's head. Figures stand to the right; ``stretch`` takes the width that is left."""

    text: str
    figure: bool = False
    stretch: bool = False


class Row(msgspec.Struct, frozen=True):
    """A row: its cells as they are shown, and what a click on it chooses. Totals are strong."""

    key: str
    cells: tuple[str, ...]
    ref: Ref | None = None
    strong: bool = False
    tip: str = ""


class RowsModel(QAbstractTableModel):
    """Rows by key. ``show_rows`` keeps what is equal."""

    def __init__(self, heads: Sequence[Head], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heads, self._rows = tuple(heads), tuple[Row, ...]()
        # asked for with every cell: made once
        self._fonts = font(SMALL_PX, "regular"), font(SMALL_PX, "semibold")

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows: same keys change cell by cell, else the table is set anew."""
        new = tuple(rows)
        if [row.key for row in new] != [row.key for row in self._rows]:
            self.beginResetModel()
            self._rows = new
            self.endResetModel()
            return
        old, self._rows = self._rows, new
        for number, (before, after) in enumerate(zip(old, new, strict=True)):
            if before != after:
                self.dataChanged.emit(self.index(number, 0), self.index(number, len(self._heads) - 1))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008, N802 - Qt's signature
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008, N802 - Qt's signature
        return 0 if parent.isValid() else len(self._heads)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self._rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return row.cells[index.column()] if index.column() < len(row.cells) else ""
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return self._alignment(index.column())
        if role == Qt.ItemDataRole.FontRole:
            return self._fonts[row.strong]
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.tip or None
        return None

    def headerData(  # noqa: N802 - Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._heads[section].text
        return self._alignment(section) if role == Qt.ItemDataRole.TextAlignmentRole else None

    def _alignment(self, column: int) -> Qt.AlignmentFlag:
        side = Qt.AlignmentFlag.AlignRight if self._heads[column].figure else Qt.AlignmentFlag.AlignLeft
        return side | Qt.AlignmentFlag.AlignTop


ROW_PX = 28
"""Height of a row of one line."""

_HEAD_PX = 84
"""A head that is longer breaks into lines, so that its column takes no more than its figures."""

_ASKED_ROWS = 100
_NAMES_PX = 64
"""A column of names is never narrower."""

_CELL_PX, _TOTAL_PX = 12, 20
"""What a cell keeps free beside its text at least, and with some to spare."""


class _Wrapped(QStyledItemDelegate):
    """Counts a cell's lines by the width that is left within it: Qt asks for them by the whole cell, and cuts the
    last one off."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802 - Qt's name
        narrower = QStyleOptionViewItem(option)
        if option.rect.width() > _CELL_PX:
            narrower.rect = option.rect.adjusted(0, 0, -_CELL_PX, 0)
        return super().sizeHint(narrower, index)


class Table(QTableView):
    """A table in the house's look: hairlines under rows, one ink line under the head, none upright."""

    picked = Signal(object)
    """The Ref of the row that was clicked or entered, or None."""

    def __init__(self, heads: Sequence[Head], name: str) -> None:
        super().__init__()
        heads = [msgspec.structs.replace(h, text=broken(h.text, _HEAD_PX, font(SMALL_PX))) for h in heads]
        self.rows = RowsModel(heads, self)
        self.setModel(self.rows)
        self.setAccessibleName(name)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.setItemDelegate(_Wrapped(self))
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        self._stretched = [number for number, head in enumerate(heads) if head.stretch]
        for number, head in enumerate(heads):
            mode = QHeaderView.ResizeMode.Stretch if head.stretch else QHeaderView.ResizeMode.ResizeToContents
            header.setSectionResizeMode(number, mode)
        # what a column is narrower by may take another line of its rows
        header.sectionResized.connect(self._rows_again)
        # widths by the rows in view and some more: thousands would be asked for every one of them
        header.setResizeContentsPrecision(_ASKED_ROWS)
        self.clicked.connect(self._tell)
        self.activated.connect(self._tell)

    def sizeHintForColumn(self, column: int) -> int:  # noqa: N802 - Qt's name
        """As wide as the rows that are asked for; totals, which are wider, are always asked for."""
        return max(super().sizeHintForColumn(column), self.total_px(column))

    def total_px(self, column: int) -> int:
        """How wide the widest total of a column is, px; 0 without totals."""
        totals = (row for row in self.rows.rows if row.strong and column < len(row.cells))
        letters = QFontMetrics(font(SMALL_PX, "semibold"))
        return max((letters.horizontalAdvance(row.cells[column]) + _TOTAL_PX for row in totals), default=0)

    def chosen_refs(self) -> tuple[Ref, ...]:
        """What the marked rows choose, from above to below."""
        rows = sorted({index.row() for index in self.selectionModel().selectedRows()})
        return tuple(ref for row in rows if (ref := self.rows.rows[row].ref) is not None)

    def keep_to_one_line(self) -> None:
        """Rows of one line and one height: what is too long is cut, and long tables cost nothing."""
        self.setWordWrap(False)
        self.setItemDelegate(QStyledItemDelegate(self))
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setDefaultSectionSize(ROW_PX)
        for row in range(self.rows.rowCount()):
            self.setRowHeight(row, ROW_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another width leaves more or less to the names."""
        super().resizeEvent(event)
        self._leave_room()

    def _leave_room(self) -> None:
        """Where figures leave too little for names, in a language of longer words, the table scrolls across."""
        header, stretched = self.horizontalHeader(), self._stretched
        taken = sum(header.sectionSize(at) for at in range(header.count()) if at not in stretched)
        scarce = bool(stretched) and self.viewport().width() - taken < _NAMES_PX * len(stretched)
        mode = QHeaderView.ResizeMode.Interactive if scarce else QHeaderView.ResizeMode.Stretch
        for at in stretched:
            if header.sectionResizeMode(at) != mode:
                header.setSectionResizeMode(at, mode)
                if scarce:
                    header.resizeSection(at, _NAMES_PX + _TOTAL_PX)

    def _rows_again(self) -> None:
        self._leave_room()
        if self.wordWrap() and self.rows.rowCount() <= _ASKED_ROWS:
            self.resizeRowsToContents()

    def _tell(self, index: QModelIndex) -> None:
        self.picked.emit(self.rows.rows[index.row()].ref)
