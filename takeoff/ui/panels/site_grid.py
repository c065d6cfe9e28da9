"""The tables of a room's readings: cells by key, as many as are needed; Enter goes on as on the paper form."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QToolButton, QWidget

from takeoff.language import mark, tr
from takeoff.ui.panels.page_parts import Elided, fill, label, restyle, stacked
from takeoff.views.site_said import HINTS, assumed_text
from takeoff.views.site_sheet import (
    USUAL_KIND,
    DiagonalCells,
    OpeningCells,
    Sheet,
    SideCells,
    kind_known,
    kind_word,
    opening_cells,
    replace,
    side_names,
)

_ROW_KEYS = {Qt.Key.Key_Insert: 1, Qt.Key.Key_Delete: -1}
_OWN_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape)


class Cell(QLineEdit):
    """One cell by its key ("length:0"). Keys that move on are told, so that the table decides where to."""

    entered = Signal(str)
    """Enter was pressed here."""
    entered_all = Signal()
    """Ctrl and Enter: take all of it."""
    entered_next = Signal()
    """Ctrl, Shift and Enter: take all of it and go on with another."""
    stepped = Signal(str, int)
    """An arrow up (−1) or down (1)."""
    row_wanted = Signal(str, int)
    """Ctrl with Insert (1) or Delete (−1): a row more before this one, or this one away."""
    left = Signal()
    """Escape was pressed where nothing is to be taken back."""
    focused = Signal(str)

    def __init__(self, key: str, figure: bool = True) -> None:
        super().__init__()
        self.key = key
        self._before = ""
        self.setProperty("part", "cell")
        if figure:
            self.setAlignment(Qt.AlignmentFlag.AlignRight)

    def show_text(self, text: str) -> None:
        """Show this; never over what is being typed."""
        if self.text() != text and not self.hasFocus():
            self.setText(text)

    def show_fault(self, why: str) -> None:
        """Mark a cell that cannot be read; "" for one that can."""
        restyle(self, "cell-wrong" if why else "cell")
        self.setToolTip(why)

    def event(self, event: QEvent) -> bool:
        """Enter with Ctrl is this table's, whatever the window does with it elsewhere."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            rows = event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.key() in _ROW_KEYS
            if event.key() in _OWN_KEYS or rows:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter goes on, Escape takes back."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                shift = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
                (self.entered_next if shift else self.entered_all).emit()
            else:
                self.entered.emit(self.key)
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.stepped.emit(self.key, 1 if event.key() == Qt.Key.Key_Down else -1)
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.key() in _ROW_KEYS:
            self.row_wanted.emit(self.key, _ROW_KEYS[Qt.Key(event.key())])
        elif event.key() == Qt.Key.Key_Escape:
            if self.text() != self._before:
                self.setText(self._before)
                self.textEdited.emit(self._before)
            else:
                self.left.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """What stands here can be typed over."""
        super().focusInEvent(event)
        self._before = self.text()
        self.selectAll()
        self.focused.emit(self.key)


_SIDE_PARTS = ("length", "along", "turn", "height")
_OPENING_PARTS = ("kind", "sill", "head", "reveal")
_TEXT_CELLS = ("name", "along", "turn", "kind", "corners")
_WIDTHS_PX = {
    "length": 74,
    "turn": 66,
    "height": 62,
    "kind": 84,
    "sill": 84,
    "head": 84,
    "reveal": 84,
    "corners": 84,
    "diagonal": 84,
}
_NAME_PX = 58

_SIDE_HEADS = (mark("Side"), mark("Length"), mark("Openings along it"), mark("Corner"), mark("Height"))
_OPENING_HEADS = (mark("Opening"), mark("Kind"), mark("Sill"), mark("Head"), mark("Reveal"))
_SPOKEN = {
    "length": mark("Length of side {side}"),
    "along": mark("Openings along side {side}"),
    "turn": mark("Corner at the end of side {side}"),
    "height": mark("Height at the start of side {side}"),
    "kind": mark("Kind of opening {number} in {side} ({kind})"),
    "sill": mark("Sill of opening {number} in {side} ({kind})"),
    "head": mark("Head of opening {number} in {side} ({kind})"),
    "reveal": mark("Reveal of opening {number} in {side} ({kind})"),
    "corners": mark("Corners of diagonal {number}"),
    "diagonal": mark("Length of diagonal {number}"),
}


_ROW_BUTTONS = (
    ("+", 1, mark("Insert a side before this one (Ctrl+Ins)")),
    ("−", -1, mark("Remove this side (Ctrl+Del)")),
)


class SiteGrid(QWidget):
    """Shows a sheet's tables and gives back what is typed. Knows nothing of what it means."""

    made = Signal(object)
    """A Cell that was made, to be connected."""
    row_wanted = Signal(str, int)

    def __init__(self) -> None:
        super().__init__()
        self.cells: dict[str, Cell] = {}
        self._labels: dict[str, QLabel] = {}
        self._buttons: dict[str, QToolButton] = {}
        self._shape: tuple[tuple[int, ...], int] | None = None
        self._keys: tuple[str, ...] = ()
        self.openings_head = label(tr("Openings"), "heading")
        self._sides, self._openings, self._diagonals = QGridLayout(), QGridLayout(), QGridLayout()
        down = stacked(self, spacing=4)
        for head, grid in (
            (label(tr("Sides, in the order walked"), "heading"), self._sides),
            (self.openings_head, self._openings),
            (label(tr("Diagonals"), "heading"), self._diagonals),
        ):
            grid.setHorizontalSpacing(6)
            grid.setVerticalSpacing(3)
            fill(down, head, grid, 8)
        self._sides.setColumnStretch(2, 1)
        self._openings.setColumnStretch(5, 1)
        self._diagonals.setColumnStretch(3, 1)
        for column, words in enumerate(_SIDE_HEADS):
            self._sides.addWidget(_head(tr(words), column not in (0, 2, 3)), 0, column)
        for column, words in enumerate(_OPENING_HEADS):
            self._openings.addWidget(_head(tr(words), column > 1), 0, column)
        self._opening_heads = [self._openings.itemAtPosition(0, k) for k in range(len(_OPENING_HEADS))]

    # -- showing

    def show_sheet(self, sheet: Sheet) -> None:
        """Show these cells; rows come and go where their number differs."""
        shape = tuple(len(side.openings) for side in sheet.sides), len(sheet.diagonals)
        if shape != self._shape:
            self._shape = shape
            self._arrange(sheet)
        for key, text in _texts(sheet):
            self.cells[key].show_text(text)
        self._show_names(sheet)

    @property
    def order(self) -> tuple[str, ...]:
        """The keys of the cells that are shown, in the order of the paper form."""
        return self._keys

    def sheet(self, sheet: Sheet) -> Sheet:
        """The sheet with what is typed."""
        sides = tuple(self._side(k, side) for k, side in enumerate(sheet.sides))
        diagonals = tuple(
            DiagonalCells(self.text(f"corners:{k}"), self.text(f"diagonal:{k}")) for k in range(len(sheet.diagonals))
        )
        return replace(sheet, sides=sides, diagonals=diagonals)

    def text(self, key: str) -> str:
        """What stands in a cell."""
        return self.cells[key].text().strip()

    def _side(self, k: int, side: SideCells) -> SideCells:
        openings = tuple(
            OpeningCells(*(self.text(f"{part}:{k}:{n}") for part in _OPENING_PARTS)) for n in range(len(side.openings))
        )
        length, along, turn, height = (self.text(f"{part}:{k}") for part in _SIDE_PARTS)
        return SideCells(side.id, length, along, turn, height, openings)

    # -- arranging

    def _arrange(self, sheet: Sheet) -> None:
        keys: list[str] = []
        for k in range(len(sheet.sides)):
            self._place(self._sides, k + 1, f"side:{k}", [f"{part}:{k}" for part in _SIDE_PARTS])
            self._row_buttons(k)
            keys += [f"{part}:{k}" for part in _SIDE_PARTS]
        row = 0
        for k, side in enumerate(sheet.sides):
            for n in range(len(side.openings)):
                row += 1
                wanted = [f"{part}:{k}:{n}" for part in _OPENING_PARTS]
                self._place(self._openings, row, f"opening:{k}:{n}", wanted)
                keys += wanted
        for k in range(len(sheet.diagonals)):
            self._place(self._diagonals, k, f"diagonal-name:{k}", [f"corners:{k}", f"diagonal:{k}"])
            keys += [f"corners:{k}", f"diagonal:{k}"]
        self._hide_others(set(keys), sheet)
        self._keys = tuple(keys)
        for before, after in pairwise(keys):
            QWidget.setTabOrder(self.cells[before], self.cells[after])

    def _place(self, grid: QGridLayout, row: int, name: str, keys: list[str]) -> None:
        shown = self._labels.get(name)
        if shown is None:
            shown = self._labels[name] = label("", "name")
            shown.setMinimumWidth(_NAME_PX)
        grid.addWidget(shown, row, 0)
        shown.show()
        for column, key in enumerate(keys, 1):
            cell = self.cells.get(key) or self._make(key)
            grid.addWidget(cell, row, column)
            cell.show()

    def _make(self, key: str) -> Cell:
        part = key.partition(":")[0]
        cell = self.cells[key] = Cell(key, part not in _TEXT_CELLS)
        cell.setAccessibleDescription(tr(HINTS[part]))
        if part in _WIDTHS_PX:
            cell.setFixedWidth(_WIDTHS_PX[part])
        else:
            cell.setMinimumWidth(120)
        self.made.emit(cell)
        return cell

    def _row_buttons(self, k: int) -> None:
        """At the end of a side's row: a side before it, and this one away."""
        for column, (word, by, tip) in enumerate(_ROW_BUTTONS, 5):
            key = f"{word}:{k}"
            button = self._buttons.get(key)
            if button is None:
                button = self._buttons[key] = QToolButton()
                button.setText(word)
                button.setToolTip(tr(tip))
                button.setProperty("part", "quiet")
                button.setProperty("row", (k, by))
                button.setFixedSize(24, 24)
                button.setStyleSheet("padding: 0;")
                button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
                button.clicked.connect(self._row_clicked)
            self._sides.addWidget(button, k + 1, column)
            button.show()

    def _row_clicked(self) -> None:
        sender = self.sender()
        if sender is not None:
            k, by = sender.property("row")
            self.row_wanted.emit(f"length:{k}", by)

    def _hide_others(self, keys: set[str], sheet: Sheet) -> None:
        for key, cell in self.cells.items():
            if key not in keys:
                cell.hide()
        count = len(sheet.sides)
        own = {f"side:{k}" for k in range(count)}
        own |= {f"diagonal-name:{k}" for k in range(len(sheet.diagonals))}
        own |= {f"opening:{k}:{n}" for k, side in enumerate(sheet.sides) for n in range(len(side.openings))}
        for name, shown in self._labels.items():
            shown.setVisible(name in own)
        for key, button in self._buttons.items():
            button.setVisible(int(key.partition(":")[2]) < count)
        any_opening = any(side.openings for side in sheet.sides)
        self.openings_head.setVisible(any_opening)
        for item in self._opening_heads:
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.setVisible(any_opening)

    def _show_names(self, sheet: Sheet) -> None:
        names, feet = side_names(sheet), sheet.unit == "ft"
        for k, name in enumerate(names):
            self._labels[f"side:{k}"].setText(name)
            self.cells[f"turn:{k}"].setPlaceholderText("R" if sheet.clockwise else "L")
            self.cells[f"along:{k}"].setPlaceholderText(tr("none"))
            for part in _SIDE_PARTS:
                self.cells[f"{part}:{k}"].setAccessibleName(tr(_SPOKEN[part], side=name))
            for n in range(len(sheet.sides[k].openings)):
                self._labels[f"opening:{k}:{n}"].setText(f"{name} {n + 1}")
                kind = self._show_assumed(f"{k}:{n}", opening_cells(sheet.sides[k], n), feet)
                for part in _OPENING_PARTS:
                    spoken = tr(_SPOKEN[part], number=n + 1, side=name, kind=kind)
                    self.cells[f"{part}:{k}:{n}"].setAccessibleName(spoken)
        for k in range(len(sheet.diagonals)):
            self._labels[f"diagonal-name:{k}"].setText(tr("From–to"))
            self.cells[f"corners:{k}"].setPlaceholderText("AC")
            for part in ("corners", "diagonal"):
                self.cells[f"{part}:{k}"].setAccessibleName(tr(_SPOKEN[part], number=k + 1))

    def _show_assumed(self, key: str, cells: OpeningCells, feet: bool) -> str:
        """Grey in empty cells: what is assumed."""
        kind = kind_known(cells.kind) or USUAL_KIND
        self.cells[f"kind:{key}"].setPlaceholderText(kind_word(""))
        self.cells[f"sill:{key}"].setPlaceholderText(assumed_text(kind, "sill", feet))
        self.cells[f"head:{key}"].setPlaceholderText(assumed_text(kind, "head", feet))
        self.cells[f"reveal:{key}"].setPlaceholderText(assumed_text(kind, "reveal", feet))
        return kind_word(cells.kind)


def _texts(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """(key, text) of every cell of the tables."""
    for k, side in enumerate(sheet.sides):
        for part in _SIDE_PARTS:
            yield f"{part}:{k}", getattr(side, part)
        for n, opening in enumerate(side.openings):
            for part in _OPENING_PARTS:
                yield f"{part}:{k}:{n}", getattr(opening, part)
    for k, one in enumerate(sheet.diagonals):
        yield f"corners:{k}", one.corners
        yield f"diagonal:{k}", one.length


def _head(text: str, right: bool) -> QLabel:
    """As wide as the cells under it, and whole in its tip."""
    made = Elided()
    if right:
        made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    made.setContentsMargins(6, 0, 6, 0)
    made.say(text)
    return made
