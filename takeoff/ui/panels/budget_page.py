"""Right: a room of length × width × height and a list of openings, measured at once."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.ui.panels.page_parts import Elided, label, scrolled, set_text
from takeoff.ui.panels.site_grid import Cell
from takeoff.views.site_said import BudgetSheet, OpeningLine, assumed_text, offered, read_budget
from takeoff.views.site_sheet import USUAL_KIND, kind_known, kind_word

_SIZES = (
    ("name", mark("Room"), mark("Room")),
    ("length", mark("Length"), mark("Length of the room")),
    ("width", mark("Width"), mark("Width of the room")),
    ("height", mark("Height"), mark("Height of the room")),
)
_PARTS = ("count", "kind", "wide", "tall", "reveal")
_HEADS = (mark("No."), mark("Kind"), mark("Width"), mark("Height"), mark("Reveal"))
_WIDTHS_PX = (28, 84, 46, 46, 58)
_SPOKEN = {
    "count": mark("How many"),
    "kind": mark("Kind: window, door or open"),
    "wide": mark("Width of the opening"),
    "tall": mark("Height of the opening"),
    "reveal": mark("Depth of the reveal"),
}


class BudgetPage(QWidget):
    """Cells as in the table of readings. ``put`` carries the BudgetSheet; ``clear`` empties the cells."""

    put = Signal(object)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.cells: dict[str, Cell] = {}
        self._rows = 0
        down = scrolled(self)
        down.addWidget(label(tr("Estimate room"), "title"))
        down.addWidget(
            label(
                tr("An estimate from length, width and height, until the room is measured on site."), "dims", wrap=True
            )
        )
        down.addLayout(self._sizes())
        down.addWidget(label(tr("Openings"), "heading"))
        self._openings = QGridLayout()
        self._openings.setHorizontalSpacing(2)
        self._openings.setVerticalSpacing(3)
        self._openings.setColumnStretch(5, 1)
        for column, head in enumerate(_HEADS):
            # a head has the width of its cells, and is whole in its tip
            named = Elided()
            named.say(tr(head))
            self._openings.addWidget(named, 0, column)
        down.addLayout(self._openings)
        self.fault = label("", "urgent", wrap=True)
        down.addWidget(self.fault)
        self.button = QPushButton(tr("Add the room"))
        self.button.setProperty("part", "main")
        self.button.setToolTip(tr("Ctrl+Enter in any cell"))
        self.button.clicked.connect(self._put)
        down.addWidget(self.button)
        self._finish_layout(down)
        self._need_rows(1)

    def _finish_layout(self, down: QVBoxLayout) -> None:
        down.addWidget(
            label(
                tr("Windows and doors are taken at usual heights; their position along the walls does not matter."),
                "dims",
                wrap=True,
            )
        )
        down.addStretch(1)

    def _sizes(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for row, (key, words, spoken) in enumerate(_SIZES):
            cell = self._cell(key, key != "name")
            cell.setAccessibleName(tr(spoken))
            named = label(tr(words), "name")
            named.setBuddy(cell)
            grid.addWidget(named, row, 0)
            grid.addWidget(cell, row, 1)
        return grid

    def _cell(self, key: str, figure: bool = True) -> Cell:
        cell = self.cells[key] = Cell(key, figure)
        cell.editingFinished.connect(self._finish)
        cell.entered.connect(self._go_on)
        cell.entered_all.connect(self._put)
        cell.left.connect(self.left)
        return cell

    def _need_rows(self, count: int) -> None:
        while self._rows < count:
            n, self._rows = self._rows, self._rows + 1
            examples = ("", kind_word(""), "", "", assumed_text(USUAL_KIND, "reveal", feet=False))
            for column, part in enumerate(_PARTS):
                cell = self._cell(f"{part}:{n}", part != "kind")
                cell.setFixedWidth(_WIDTHS_PX[column])
                cell.setPlaceholderText(examples[column])
                cell.setAccessibleName(tr("{cell} {number}", cell=tr(_SPOKEN[part]), number=n + 1))
                self._openings.addWidget(cell, n + 1, column)
        for n in range(self._rows):
            for part in _PARTS:
                self.cells[f"{part}:{n}"].setVisible(n < count)
        self._shown = count

    # -- what is keyed

    @property
    def sheet(self) -> BudgetSheet:
        """What is keyed."""

        def text(key: str) -> str:
            return self.cells[key].text().strip()

        lines = tuple(OpeningLine(*(text(f"{part}:{n}") for part in _PARTS)) for n in range(self._shown))
        return BudgetSheet(text("name"), text("length"), text("width"), text("height"), lines)

    def start(self) -> None:
        """Begin with the name."""
        self.cells["name"].setFocus()

    def clear(self) -> None:
        """Empty every cell."""
        for cell in self.cells.values():
            cell.clear()
            cell.show_fault("")
        set_text(self.fault, "")
        self._need_rows(1)

    def say(self, text: str) -> None:
        """Say why the room was refused."""
        set_text(self.fault, text)

    def _finish(self) -> None:
        sheet = self.sheet
        self._show_kinds(sheet)
        last = bool(sheet.openings) and not sheet.openings[-1].is_empty
        if last:
            self._need_rows(len(offered(sheet).openings))
        self._mark(only_typed=True)

    def _show_kinds(self, sheet: BudgetSheet) -> None:
        """Kinds written out, and the reveal that is assumed of each."""
        for n, line in enumerate(sheet.openings):
            kind = kind_known(line.kind) or USUAL_KIND
            self.cells[f"kind:{n}"].setText(kind_word(line.kind) if line.kind else "")
            self.cells[f"reveal:{n}"].setPlaceholderText(assumed_text(kind, "reveal", feet=False))

    def _mark(self, only_typed: bool) -> tuple[str, ...]:
        """Mark cells that cannot be read (empty ones too, once the room is to be put in); their keys."""
        faults = {fault.cell: fault.text for fault in read_budget(self.sheet).faults}
        for key, cell in self.cells.items():
            told = key in faults and (bool(cell.text().strip()) or not only_typed)
            cell.show_fault(faults[key] if told else "")
        told_keys = [key for key in faults if self.cells[key].text().strip() or not only_typed]
        set_text(self.fault, faults[told_keys[0]] if told_keys else "")
        return tuple(told_keys)

    def _go_on(self, key: str) -> None:
        self._finish()
        order = [key for key, *_ in _SIZES] + [f"{part}:{n}" for n in range(self._shown) for part in _PARTS]
        line = self.sheet.openings[int(key.partition(":")[2])] if ":" in key else None
        at = order.index(key) + 1
        if at >= len(order) or (key.startswith("count") and line is not None and line.is_empty):
            self.button.setFocus()
        else:
            self.cells[order[at]].setFocus(Qt.FocusReason.TabFocusReason)

    def _put(self) -> None:
        wrong = self._mark(only_typed=False)
        if wrong:
            self.cells[wrong[0]].setFocus()
        else:
            self.put.emit(self.sheet)

    def keyPressEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Enter on the button presses it."""
        key = getattr(event, "key", None)
        if key is not None and key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.button.hasFocus():
            self.button.click()
        else:
            super().keyPressEvent(event)  # type: ignore[arg-type]
