"""The table of figures in the middle: rooms by item, totals always in view, a click lights a figure up."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QHeaderView, QPushButton, QToolButton, QWidget

from takeoff.language import number as shown_number
from takeoff.language import tr
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.page_parts import Elided, label, set_text, stacked
from takeoff.ui.panels.table import Head, Row, Table
from takeoff.views.table_lines import ITEMS, FigureLine, Sorting, figure_lines, order_sentence, total_figures


def _heads() -> tuple[Head, ...]:
    return Head(tr("Room"), stretch=True), *(Head(tr(item.head), True) for item in ITEMS)


_NAME_PX, _FIGURE_PX = 130, 56
"""Columns are never narrower; figures are as wide as their words."""

_NAMES_AT_MOST_PX, _MORE_PX = 280, 60
"""Where there is more room the names take so much of it, then each of the figures."""


class FiguresPanel(QWidget):
    """Sits below the plan or beside it. ``asked`` carries (line, number of the item's column, from 0)."""

    asked = Signal(object, int)
    """A figure of a FigureLine was clicked; the line is None for the totals."""
    picked = Signal(object)
    """The Ref of the room whose name was clicked."""
    moved = Signal()
    """Beside instead of below, or the other way."""
    closed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._sorting = Sorting()
        self._lines: tuple[FigureLine, ...] = ()
        self.setProperty("part", "page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(tr("Figures"))
        self.note, self.order = label("", "grey", wrap=True), Elided()
        self.place, self.close_button = QPushButton(tr("Beside the plan")), QToolButton()
        self._heads = _heads()
        self.table = Table(self._heads, tr("Figures by room and item"))
        self.totals = Table(self._heads, tr("Totals of the job"))
        self._furnish_tables()
        self._arrange()
        document.opened.connect(self._start_anew)
        document.changed.connect(self.refresh)
        document.chosen_changed.connect(self._show_chosen)
        document.considered_changed.connect(self._show_order)
        self.refresh()

    @property
    def lines(self) -> tuple[FigureLine, ...]:
        """What the rows show, in their order."""
        return self._lines

    def refresh(self) -> None:
        """Show the figures as they are; nothing is worked out while nobody sees them."""
        if self.isHidden():
            return
        self._lines = figure_lines(self._document.state, self._sorting)
        self.table.rows.show_rows(tuple(_row(line) for line in self._lines))
        nothing = not self._lines
        total = total_figures(self._document.state)
        cells = (tr("Total"), *(shown_number(figure) if figure else "–" for figure in total))
        self.totals.rows.show_rows((Row("total", cells, strong=True),))
        self._share_width()
        self.table.setVisible(not nothing)
        self.totals.setVisible(not nothing)
        if nothing:
            self.say(tr("No room yet: draw one, fill one by a click inside its walls, or open a drawing."))
        self._show_order()

    def say(self, text: str) -> None:
        """What is lit, in words."""
        set_text(self.note, text or tr("Click a figure to see where it comes from, a room to select it."))

    def show_place(self, below: bool) -> None:
        """Say on the button where the table would go."""
        self.place.setText(tr("Beside the plan") if below else tr("Below the plan"))

    def sort_by(self, column: int) -> None:
        """Sort rooms within their storey: the largest first, then the smallest, then as they were."""
        before = self._sorting
        first_falls = column > 0
        if before.column != column:
            self._sorting = Sorting(column, first_falls)
        elif before.falling == first_falls:
            self._sorting = Sorting(column, not first_falls)
        else:
            self._sorting = Sorting()
        header = self.table.horizontalHeader()
        header.setSortIndicatorShown(self._sorting.column >= 0)
        if self._sorting.column >= 0:
            falls = Qt.SortOrder.DescendingOrder if self._sorting.falling else Qt.SortOrder.AscendingOrder
            header.setSortIndicator(self._sorting.column, falls)
        self.refresh()

    # -- making

    def _furnish_tables(self) -> None:
        for table in (self.table, self.totals):
            table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
            table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
            table.keep_to_one_line()
            table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
            for column in range(len(self._heads)):
                table.horizontalHeader().setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
            # clicks only: a figure is not asked for by passing over it with the arrows
            table.clicked.connect(self._clicked)
            table.activated.connect(self._clicked)
        self.totals.horizontalHeader().hide()
        self.totals.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.totals.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.totals.setFixedHeight(34)
        self.table.horizontalScrollBar().valueChanged.connect(self.totals.horizontalScrollBar().setValue)
        header = self.table.horizontalHeader()
        header.setSectionsClickable(True)
        header.setSortIndicatorShown(False)
        header.sectionClicked.connect(self.sort_by)
        header.setToolTip(tr("Click to sort the rooms of each storey by this"))
        self.table.viewport().installEventFilter(self)
        self.table.installEventFilter(self)

    def _arrange(self) -> None:
        self.place.setToolTip(tr("Move the table to the other side of the plan"))
        self.place.clicked.connect(self.moved)
        self.close_button.setText(tr("Close"))
        self.close_button.setProperty("part", "quiet")
        self.close_button.setToolTip(tr("Close the table; View > Figures brings it back"))
        self.close_button.clicked.connect(self.closed)
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(label(tr("Figures"), "heading"))
        head.addWidget(self.note, 1)
        head.addWidget(self.place)
        head.addWidget(self.close_button)
        layout = stacked(self, (18, 6, 12, 6), 4)
        layout.addLayout(head)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.totals)
        layout.addWidget(self.order)
        self.say("")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Both tables' columns share the width that there is; F2 is for the room of the row that is marked."""
        if event.type() == QEvent.Type.Resize and watched is self.table.viewport():
            self._share_width()
        elif isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride:
            here = self.table.currentIndex()
            if event.key() == Qt.Key.Key_F2 and here.isValid():
                self._clicked(here.siblingAtColumn(0))
        return super().eventFilter(watched, event)

    def _share_width(self) -> None:
        metrics = self.table.horizontalHeader().fontMetrics()
        heads = [head.text.split("\n") for head in self._heads[1:]]
        words = [max(metrics.horizontalAdvance(line) for line in head) for head in heads]
        # totals are the widest: they are said whole, whatever the columns' heads
        figures = [max(t.total_px(column) for t in (self.table, self.totals)) for column in range(1, len(self._heads))]
        wants = [_NAME_PX, *(max(_FIGURE_PX, 14 + wide, own) for wide, own in zip(words, figures, strict=True))]
        spare = max(self.table.viewport().width() - sum(wants), 0)
        # names grow first, then the figures; a figure far from its name is read in the wrong row
        names = min(spare, _NAMES_AT_MOST_PX - _NAME_PX)
        each = min((spare - names) // (len(wants) - 1), _MORE_PX)
        wants = [wants[0] + names, *(wide + each for wide in wants[1:])]
        for column, wide in enumerate(wants):
            self.table.setColumnWidth(column, wide)
            self.totals.setColumnWidth(column, wide)

    # -- listening

    def _start_anew(self) -> None:
        self._sorting = Sorting()
        self.table.horizontalHeader().setSortIndicatorShown(False)
        self.say("")
        self.refresh()

    def _show_order(self) -> None:
        self.order.say(order_sentence(self._document.considered) if self._lines else "")
        self.order.setVisible(bool(self._lines))

    def _show_chosen(self, before: object, after: object) -> None:
        """Mark the row of the room that was chosen elsewhere, and scroll to it."""
        del before, after
        choice = self._document.choice
        here = self.table.currentIndex()
        room = choice[-1].room_id if choice else ""
        if here.isValid() and here.row() < len(self._lines) and self._lines[here.row()].id == room:
            return
        for number, line in enumerate(self._lines):
            if line.kind == "room" and line.id == room:
                index = self.table.rows.index(number, 0)
                self.table.selectionModel().setCurrentIndex(index, QItemSelectionModel.SelectionFlag.ClearAndSelect)
                self.table.scrollTo(index)
                return
        self.table.clearSelection()

    def _clicked(self, index: QModelIndex) -> None:
        totals = index.model() is self.totals.rows
        if not totals and index.row() >= len(self._lines):
            return
        line = None if totals else self._lines[index.row()]
        if index.column() > 0:
            self.asked.emit(line, index.column() - 1)
        elif line is not None and line.kind == "room":
            self.picked.emit(Ref("room", line.id))


def _row(line: FigureLine) -> Row:
    return Row(f"{line.kind}:{line.id}", line.cells, strong=line.kind == "storey")
