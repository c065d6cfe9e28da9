"""Pages of a heading and a table: rooms, openings, order; and every edit by name, to go back to."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent, QUndoStack
from PySide6.QtWidgets import QUndoView, QVBoxLayout, QWidget

from takeoff.language import tr
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.page_parts import label, set_text
from takeoff.ui.panels.table import Head, Row, Table
from takeoff.views.table_lines import Line, opening_lines, order_lines, room_lines


class TablePage(QWidget):
    """A heading, a word under it, a table. Subclasses say which rows there are."""

    picked = Signal(object)

    def __init__(self, document: Document, title: str, heads: Sequence[Head]) -> None:
        super().__init__()
        self.document, self._stale = document, True
        self.setProperty("part", "page")
        self.note = label("", "grey", wrap=True)
        self.table = Table(heads, title)
        self.table.picked.connect(self.picked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 10, 12)
        layout.addWidget(label(title, "title"))
        layout.addWidget(self.note)
        layout.addWidget(self.table, 1)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)

    def lines(self) -> tuple[Row, ...]:
        """The rows as they are now."""
        raise NotImplementedError

    def empty_words(self) -> str:
        """What is said where there is no row."""
        return ""

    def refresh(self) -> None:
        """Show the rows as they are; only what differs is set. Nothing is worked out while nobody sees it."""
        self._stale = not self.isVisible()
        if self._stale:
            return
        rows = self.lines()
        set_text(self.note, "" if rows else self.empty_words())
        self.note.setVisible(not rows)
        self.table.rows.show_rows(rows)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Take in what has changed meanwhile."""
        super().showEvent(event)
        if self._stale:
            self.refresh()


def _rows(lines: Sequence[Line], ref: Callable[[Line], Ref | None]) -> tuple[Row, ...]:
    return tuple(Row(f"{number}:{line.id}", line.cells, ref(line), line.strong) for number, line in enumerate(lines))


class RoomsPage(TablePage):
    """Every room with its walls, ceiling and what there is to coat."""

    def __init__(self, document: Document) -> None:
        super().__init__(
            document,
            tr("Rooms, m²"),
            (
                Head(tr("Room"), stretch=True),
                Head(tr("Walls"), True),
                Head(tr("Ceiling"), True),
                Head(tr("To coat"), True),
            ),
        )
        self.refresh()

    def lines(self) -> tuple[Row, ...]:
        return _rows(room_lines(self.document.state), lambda line: Ref("room", line.id) if line.id else None)

    def empty_words(self) -> str:
        return tr("No room yet. Open a drawing, or draw a room from your own measurements.")


class OpeningsPage(TablePage):
    """Every opening with its size."""

    def __init__(self, document: Document) -> None:
        super().__init__(
            document,
            tr("Openings"),
            (Head(tr("Mark")), Head(tr("Kind")), Head(tr("Size, m"), True), Head(tr("Room"), stretch=True)),
        )
        self.refresh()

    def lines(self) -> tuple[Row, ...]:
        return _rows(opening_lines(self.document.state), self._ref)

    def _ref(self, line: Line) -> Ref:
        return Ref("rooflight" if line.cells[1] == "rooflight" else "opening", line.id, line.room)

    def empty_words(self) -> str:
        return tr("No opening yet. Place windows and doors on the walls of the plan.")


class OrderPage(TablePage):
    """What to order, in whole packs."""

    def __init__(self, document: Document) -> None:
        super().__init__(
            document,
            tr("Order"),
            (Head(tr("Item, packs"), stretch=True), Head(tr("Need"), True), Head(tr("Cost"), True)),
        )
        self.refresh()

    def lines(self) -> tuple[Row, ...]:
        return _rows(order_lines(self.document.considered), lambda line: None)

    def empty_words(self) -> str:
        considered = self.document.considered
        if considered is None:
            return tr("The order is being worked out.")
        return considered.failure or tr("There is nothing to order: nothing is coated yet.")


class HistoryPage(QWidget):
    """Qt's own view of the undo stack, which knows no limit."""

    def __init__(self, stack: QUndoStack) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.view = QUndoView(stack)
        self.view.setEmptyLabel(tr("As it was opened"))
        self.view.setAccessibleName(tr("Edits, the latest last"))
        self.view.setToolTip(tr("Click an edit to see the job as it was after it"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 10, 12)
        layout.addWidget(label(tr("History"), "title"))
        layout.addWidget(
            label(tr("Click an edit to go back to it; those after it stay until you make another."), "grey", wrap=True)
        )
        layout.addWidget(self.view, 1)
