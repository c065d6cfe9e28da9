"""Right: the coating systems, which of them the job is ordered with, and every figure of one's own to be typed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from takeoff.language import mark, tr
from takeoff.ui.panels.form_fields import FORM_WIDE_PX, ChoiceField, in_lines
from takeoff.ui.panels.page_parts import label, set_text
from takeoff.ui.themes import SMALL_PX, font
from takeoff.views.system_rows import Path, SystemRow

BUTTONS = (
    ("use", mark("Use in this job"), mark("Work out the order of this job with it; the job keeps a copy")),
    ("usual", mark("Use for new jobs"), mark("New jobs start with it")),
    ("copy", mark("Copy…"), mark("Copy it as a system of your own, to change")),
    ("open", mark("Open…"), mark("Add a system file that you were sent to your own")),
    ("remove", mark("Remove…"), mark("Remove it from your own; jobs that use it keep their copy")),
)
GROWING = (("more", mark("Add one")), ("less", mark("Remove")))
_GROWING_TIP = mark("Of the pack, stock length, bead, substrate or material selected above")
_LEAST_TALL_PX, _VALUE_PX = 96, 104
_MOST_TALL_PX = 58
"""Of a row: three lines of a long note, the rest stands in its tip."""


class SystemPage(QWidget):
    """``asked`` tells what a button wants; ``typed`` a new value (path, text); ``grown`` one more or one less
    of what is chosen (word, path)."""

    picked = Signal(str)
    asked = Signal(str)
    typed = Signal(object, str)
    grown = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self.choice = ChoiceField(tr("Coating system"), ())
        self.choice.setMinimumContentsLength(16)
        self.choice.picked.connect(self.picked)
        self.about = label("", "grey", wrap=True)
        self.refusal = label("", "urgent", wrap=True)
        self.buttons: dict[str, QPushButton] = {}
        self.table = QTableWidget(0, 2)
        self.table.setAccessibleName(tr("Figures of the coating system"))
        self.table.setHorizontalHeaderLabels([tr("Figure"), tr("Value")])
        self.table.verticalHeader().hide()
        self.table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self.table.setMinimumHeight(_LEAST_TALL_PX)
        self.table.setWordWrap(True)
        header = self.table.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.Interactive)
        self.table.setColumnWidth(1, _VALUE_PX)
        self.table.setFont(font(SMALL_PX))
        self.table.itemChanged.connect(self._changed)
        self.table.itemSelectionChanged.connect(self._selected)
        self._rows: tuple[SystemRow, ...] = ()
        self._build()

    def _build(self) -> None:
        down = QVBoxLayout(self)
        down.addWidget(label(tr("Coating system"), "title"))
        down.addWidget(self.choice)
        down.addWidget(self.about)
        for group in (BUTTONS[:2], BUTTONS[2:]):
            made = [self._button(name, tr(words), tr(tip)) for name, words, tip in group]
            for line in in_lines(made, FORM_WIDE_PX):
                row = QHBoxLayout()
                for button in line:
                    row.addWidget(button)
                down.addLayout(row)
        down.addWidget(self.table, 1)
        down.addWidget(self.refusal)
        row = QHBoxLayout()
        for name, words in GROWING:
            row.addWidget(self._button(name, tr(words), tr(_GROWING_TIP)))
        row.addStretch(1)
        down.addLayout(row)

    def _button(self, name: str, words: str, tip: str) -> QPushButton:
        button = self.buttons[name] = QPushButton(words)
        button.setToolTip(tip)
        if name in ("more", "less"):
            button.clicked.connect(lambda: self._grow(name))
        else:
            button.clicked.connect(lambda: self.asked.emit(name))
        return button

    # -- what is shown

    def show_systems(self, known: Sequence[tuple[str, str]], shown: str, about: str, enabled: frozenset[str]) -> None:
        """The systems to choose from (key, words), which of them is shown, what is said of it, and which
        buttons can be pressed."""
        with QSignalBlocker(self.choice):
            self.choice.clear()
            for key, words in known:
                self.choice.addItem(words, key)
            self.choice.show_key(shown)
        set_text(self.about, about)
        for name in ("use", "usual", "copy", "open", "remove"):
            self.buttons[name].setEnabled(name in enabled)

    def show_rows(self, rows: Sequence[SystemRow], editable: bool) -> None:
        """The figures; ``editable``: values can be typed."""
        self.refuse("")
        at = self.table.currentRow()
        self._rows = tuple(rows)
        with QSignalBlocker(self.table):
            self.table.clearSpans()
            self.table.setRowCount(len(rows))
            for number, row in enumerate(rows):
                words = f"{row.words}, {row.unit}" if row.unit else row.words
                for column, text in enumerate((words, row.value)):
                    item = QTableWidgetItem(text)
                    can = editable and column == 1 and not row.heading
                    flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled
                    item.setFlags(flags | Qt.ItemFlag.ItemIsEditable if can else flags)
                    if row.heading:
                        item.setFont(font(SMALL_PX, "semibold"))
                    if column == 1:
                        item.setToolTip(row.value)
                    self.table.setItem(number, column, item)
                if row.heading:
                    self.table.setSpan(number, 0, 1, 2)
            self.table.resizeRowsToContents()
            for number in range(len(rows)):
                self.table.setRowHeight(number, min(self.table.rowHeight(number), _MOST_TALL_PX))
            self.table.setCurrentCell(min(max(at, 0), len(rows) - 1), 1)
        self._editable = editable
        self._selected()

    def refuse(self, sentence: str) -> None:
        """Why what was typed cannot be taken."""
        set_text(self.refusal, sentence)
        self.refusal.setVisible(bool(sentence))

    # -- what the user does

    _editable = False

    def _changed(self, item: QTableWidgetItem) -> None:
        row = self._rows[item.row()]
        if item.text() != row.value:
            self.typed.emit(row.path, item.text())

    def _chosen_part(self) -> Path | None:
        """The nearest thing at or above the row that is chosen of which there can be more."""
        at = self.table.currentRow()
        if not 0 <= at < len(self._rows):
            return None
        path = self._rows[at].path
        found = [row.path for row in self._rows[: at + 1] if row.can_grow and path[: len(row.path)] == row.path]
        return found[-1] if found else None

    def _selected(self) -> None:
        part = self._chosen_part() if self._editable else None
        for name, _ in GROWING:
            self.buttons[name].setEnabled(part is not None)

    def _grow(self, name: str) -> None:
        part = self._chosen_part()
        if part is not None:
            self.grown.emit(name, part)
