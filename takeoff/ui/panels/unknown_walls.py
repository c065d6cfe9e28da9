"""Walls of which nobody knows what lies behind them: listed, shown by a click, answered one or many."""

from __future__ import annotations

from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QPushButton, QVBoxLayout, QWidget

from takeoff.plan.model import BehindClass
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.fields import buttons, small_button
from takeoff.ui.panels.table import ROW_PX, Head, Row, Table
from takeoff.ui.panels.words import label, set_text
from takeoff.units.printing import fmt2
from takeoff.views.behind import Unknown, answered, unknown_walls

ANSWERS: tuple[tuple[BehindClass, str, str], ...] = (
    ("outside", "Outside", "Open air lies behind"),
    ("same", "Heated", "A heated room lies behind"),
    ("neighbour", "Neighbour", "The neighbour's lies behind"),
)


_HEAD_PX, _ROWS = 32, 6
"""The list is as high as its rows, up to so many; more are scrolled."""


class UnknownWalls(QWidget):
    """Walls of which somebody must say what lies behind: click one to see it, answer one or many."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._walls: tuple[Unknown, ...] = ()
        self.heading, self.note = label("", "heading"), label("", "grey", wrap=True)
        self.table = Table((Head("Room", stretch=True), Head("Wall"), Head("m", True)), "Walls not known")
        self.table.keep_to_one_line()
        self.buttons: dict[str, QPushButton] = {}
        self._group = QButtonGroup(self)
        for cls, words, tip in ANSWERS:
            button = self.buttons[cls] = small_button(words, f"{tip} the walls that are marked in the list")
            self._group.addButton(button)
        self._group.buttonClicked.connect(self._answered)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 2, 0, 2)
        down.setSpacing(4)
        for widget in (self.heading, self.note, self.table, buttons(*self.buttons.values())):
            down.addWidget(widget)

    def refresh(self) -> None:
        """Show the walls that are not known now."""
        self._walls = unknown_walls(self._document.state)
        rows = tuple(
            Row(
                f"{wall.room}:{wall.side}",
                (wall.room_words, wall.wall_words, fmt2(wall.length_mm / 1000.0)),
                Ref("side", str(wall.side), str(wall.room)),
            )
            for wall in self._walls
        )
        marked = {
            self.table.rows.rows[i.row()].key
            for i in self.table.selectionModel().selectedRows()
            if i.row() < len(self.table.rows.rows)
        }
        if rows != self.table.rows.rows:
            self.table.rows.show_rows(rows)
            for number, row in enumerate(rows):
                if row.key in marked:
                    self.table.selectRow(number)
        count = len(rows)
        self.table.setFixedHeight(_HEAD_PX + ROW_PX * min(count, _ROWS) + 2)
        set_text(
            self.heading, f"Not known: {count} wall{'s' if count != 1 else ''}" if count else "Every wall is known"
        )
        set_text(self.note, "What lies behind? Until you say so they are not taken for outside walls." if count else "")
        for widget in (self.note, self.table, *self.buttons.values()):
            widget.setVisible(count > 0)

    def marked(self) -> tuple[Unknown, ...]:
        """The walls that are marked in the list."""
        rows = {index.row() for index in self.table.selectionModel().selectedRows()}
        return tuple(wall for number, wall in enumerate(self._walls) if number in rows)

    def answer(self, cls: BehindClass) -> None:
        """Say what lies behind the marked walls; the next one is marked and shown."""
        walls, state = self.marked(), self._document.state
        if not walls:
            self._document.refused.emit("Mark a wall in the list first: a click shows it on the plan.")
            return
        first = self._walls.index(walls[0])
        words = next(words for key, words, _ in ANSWERS if key == cls).lower()
        named = f"wall {walls[0].wall_words}" if len(walls) == 1 else f"{len(walls)} walls"
        if self._document.apply(f"Behind {named}: {words}", lambda job: answered(state, job, walls, cls)):
            self.refresh()
            if self._walls:
                at = min(first, len(self._walls) - 1)
                self.table.selectRow(at)
                self.table.picked.emit(self.table.rows.rows[at].ref)

    def _answered(self, button: QAbstractButton) -> None:
        for cls, _, _ in ANSWERS:
            if self.buttons[cls] is button:
                self.answer(cls)
