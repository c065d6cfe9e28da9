"""A figure of a card with its dims. A click lights up where it comes from, on a single line of it too."""

from __future__ import annotations

from decimal import Decimal

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from takeoff.measure.takeoff import Dim
from takeoff.sheets.figures import Working
from takeoff.ui.panels.words import empty, hair, label, restyle, set_text
from takeoff.views.cards import FigureLine

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class Asked(msgspec.Struct, frozen=True):
    """A figure, or one line of its dims (``line`` is its number), whose places are wanted."""

    key: str
    name: str
    figure: str
    dims: tuple[Dim, ...]
    line: int = -1


class DimsLine(QWidget):
    """One line: what is typed into a calculator, what it gives, and under it where it is."""

    asked = Signal(int)

    def __init__(self, number: int, work: Working) -> None:
        super().__init__()
        self._number = number
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        grid = QGridLayout(self)
        grid.setContentsMargins(6, 2, 0, 2)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(0, 1)
        result = f"{work.result}".replace("-", "−")
        grid.addWidget(label(work.text, "dims", wrap=True), 0, 0)
        grid.addWidget(label(result, "figure", right=True), 0, 1)
        if work.what:
            grid.addWidget(label(work.what, "dims", wrap=True), 1, 0, 1, 2)
        self.setAccessibleName(f"{work.text} = {result}, {work.what}")
        if work.of is not None:
            self.setToolTip("Click to see on the plan and on the walls where this is")
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def show_lit(self, lit: bool) -> None:
        """Mark the line whose places are lit."""
        restyle(self, "lit" if lit else "lightable")

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Ask for the places of this line; the figure above hears nothing of it."""
        event.accept()
        if event.button() == Qt.MouseButton.LeftButton:
            self.asked.emit(self._number)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter and the space bar do what a click does."""
        if event.key() in _ENTER:
            self.asked.emit(self._number)
        else:
            super().keyPressEvent(event)


class FigureRow(QWidget):
    """A figure: name and amount, its working, and on a click every line of its dims."""

    asked = Signal(object)
    """Asked, of the whole figure or of a line; None where the dims were closed again."""

    def __init__(self) -> None:
        super().__init__()
        self._name, self._figure = label("", "name"), label("", "figure", right=True)
        self._working = label("", "dims", wrap=True)
        self._all = QWidget()
        self._down = QVBoxLayout(self._all)
        self._down.setContentsMargins(0, 0, 0, 4)
        self._down.setSpacing(0)
        self._all.hide()
        self._line: FigureLine | None = None
        self._dims_lines: list[DimsLine] = []
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        head = QHBoxLayout()
        head.addWidget(self._name, 1)
        head.addWidget(self._figure)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 4, 0, 0)
        layout.setSpacing(4)
        layout.addLayout(head)
        layout.addWidget(self._working)
        layout.addWidget(self._all)
        layout.addWidget(hair())

    @property
    def texts(self) -> tuple[str, str, str]:
        """(name, figure with unit, working) as shown."""
        return self._name.text(), self._figure.text(), self._working.text()

    @property
    def key(self) -> str:
        """The quantity that is shown."""
        return self._line.key if self._line else ""

    def dims_lines(self) -> tuple[DimsLine, ...]:
        """The widgets of the dims' lines, while they are shown."""
        return tuple(self._dims_lines) if self._all.isVisibleTo(self) else ()

    def lines(self) -> tuple[tuple[str, Decimal], ...]:
        """(what is typed into a calculator, what it gives) of every line, when they are shown."""
        shown = self._line.lines if self._line and self._all.isVisibleTo(self) else ()
        return tuple((work.text, work.result) for work in shown)

    def show_line(self, line: FigureLine) -> None:
        """Show a figure; what is the same stays untouched."""
        if line == self._line:
            return
        self._line = line
        set_text(self._name, line.name)
        set_text(self._figure, f"{line.figure} {line.unit}")
        set_text(self._working, line.working)
        self.setAccessibleName(f"{line.name} {line.figure} {line.unit}")
        self.setToolTip("Click to see every dimension of it, and where it comes from")
        if self._all.isVisibleTo(self):
            self._show_all()

    def show_lit(self, asked: Asked | None) -> None:
        """Mark what of this figure is lit; None or another figure's marks nothing."""
        mine = asked is not None and asked.key == self.key
        restyle(self, "lit" if mine and asked is not None and asked.line < 0 else "lightable")
        for number, shown in enumerate(self._dims_lines):
            shown.show_lit(mine and asked is not None and asked.line == number)

    def toggle(self) -> None:
        """Show every line of the dims and ask for their places, or the short working again."""
        self.open(not self._all.isVisibleTo(self))
        if self._line is not None:
            self.asked.emit(self.asking() if self._all.isVisibleTo(self) else None)

    def open(self, showing: bool) -> None:
        """Show the lines of the dims, or the short working."""
        if showing and not self._all.isVisibleTo(self):
            self._show_all()
        self._all.setVisible(showing)
        self._working.setVisible(not showing)

    def asking(self, number: int = -1) -> Asked:
        """What is asked for: the whole figure, or one line of it."""
        line = self._line
        if line is None:
            return Asked("", "", "", ())
        chosen = line.lines if number < 0 else line.lines[number : number + 1]
        dims = tuple(work.of for work in chosen if work.of is not None)
        figure = f"{line.figure}" if number < 0 else f"{line.lines[number].result}".replace("-", "−")
        return Asked(line.key, line.name, f"{figure} {line.unit}", dims, number)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click opens or closes the dims."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.toggle()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter and the space bar do what a click does."""
        if event.key() in _ENTER:
            self.toggle()
        else:
            super().keyPressEvent(event)

    def _show_all(self) -> None:
        empty(self._down)
        self._dims_lines = []
        for number, work in enumerate(self._line.lines if self._line else ()):
            shown = DimsLine(number, work)
            shown.asked.connect(self._ask_line)
            self._dims_lines.append(shown)
            self._down.addWidget(shown)

    def _ask_line(self, number: int) -> None:
        self.asked.emit(self.asking(number))
