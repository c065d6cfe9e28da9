"""Right: what the readings of a room give, and the rooms of the job that were read on site."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.form_fields import Roomy, small_button
from takeoff.ui.panels.page_parts import empty, fill, label, scrolled, set_text
from takeoff.ui.panels.table import Head, Row, Table
from takeoff.views.site_said import closing_words, differences, headline, site_rooms
from takeoff.views.site_sheet import Read

_PARTS = {"plain": "dims", "good": "name", "urgent": "urgent"}


class ReadingsPage(QWidget):
    """Area, closing, and what became of each reading; beside the tables in which they are keyed."""

    afresh = Signal()

    def __init__(self) -> None:
        super().__init__()
        down = scrolled(self)
        self.title, self.area = label(tr("Outline"), "title"), label("", "headline", right=True)
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.area)
        down.addLayout(head)
        self._sentences, self._rows = QVBoxLayout(), QGridLayout()
        self._sentences.setSpacing(6)
        self._rows.setHorizontalSpacing(10)
        self._rows.setVerticalSpacing(4)
        self._rows.setColumnStretch(0, 1)
        down.addLayout(self._sentences)
        down.addSpacing(6)
        self.rows_head = label(tr("Result of the survey"), "heading")
        fill(down, self.rows_head, self._rows, 10)
        self.afresh_button = small_button(tr("Clear all cells"), tr("Clear what is entered here and start again"))
        self.afresh_button.clicked.connect(self.afresh)
        row = QHBoxLayout()
        row.addWidget(self.afresh_button)
        row.addStretch(1)
        down.addLayout(row)
        down.addStretch(1)
        self._shown: object = None
        self.said: tuple[str, ...] = ()
        """What is said, line by line."""

    def show_read(self, read: Read) -> None:
        """Say what these readings give."""
        set_text(self.area, headline(read))
        said, rows = closing_words(read), differences(read)
        if (said, rows) == self._shown:
            return
        self._shown = (said, rows)
        self.said = tuple(text for text, _ in said)
        empty(self._sentences)
        for text, mood in said:
            self._sentences.addWidget(label(text, _PARTS[mood], wrap=True))
        empty(self._rows)
        self.rows_head.setVisible(bool(rows))
        for column, text in enumerate(("", tr("measured"), tr("used"), "") if rows else ()):
            self._rows.addWidget(label(text, "grey", right=True), 0, column)
        for number, row in enumerate(rows, 1):
            part = "urgent" if row.marked else "name"
            self._rows.addWidget(label(row.what + (" ?" if row.marked else ""), part), number, 0)
            for column, text in enumerate((row.read, row.became, row.off), 1):
                self._rows.addWidget(label(text, part, right=True), number, column)


_BUTTONS = (
    ("site-room", mark("New surveyed room…")),
    ("budget-room", mark("New estimate room…")),
    ("set-together", mark("Assemble surveyed rooms…")),
    ("site-form", mark("Blank form to print…")),
)


class SitePage(QWidget):
    """Rooms that were read on site; a click chooses one, twice opens its readings."""

    wanted = Signal(str)
    """The id of the action whose button was pressed."""
    picked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        down = scrolled(self)
        down.addWidget(label(tr("Survey"), "title"))
        down.addWidget(
            label(
                tr("Rooms without a drawing: surveyed by tape and laser, or estimated from length, width and height."),
                "dims",
                wrap=True,
            )
        )
        down.addSpacing(4)
        self.buttons: dict[str, QPushButton] = {}
        for action, words in _BUTTONS:
            self._button(down, action, tr(words))
        down.addSpacing(8)
        self.head = label(tr("Measured on site"), "heading")
        down.addWidget(self.head)
        self.table = Table((Head(tr("Room"), stretch=True), Head("", stretch=True)), tr("Rooms measured on site"))
        self.table.setMinimumHeight(160)
        self.table.picked.connect(self._pick)
        down.addWidget(self.table, 1)
        self._button(down, "site-anew", tr("Change its survey…"))
        down.addStretch()
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.chosen_changed.connect(self.refresh)
        self.refresh()

    def _button(self, down: QVBoxLayout, action: str, words: str) -> None:
        button = self.buttons[action] = Roomy(words)
        button.setObjectName(action)
        button.clicked.connect(self._pressed)
        down.addWidget(button)

    def refresh(self) -> None:
        """Show the rooms as they are."""
        rooms = site_rooms(self._document.job)
        rows = tuple(Row(room.id, (room.name, room.says), Ref("room", room.id)) for room in rooms)
        self.table.rows.show_rows(rows)
        choice = self._document.choice
        chosen = choice[-1].room_id if choice else ""
        self.buttons["site-anew"].setEnabled(any(room.id == chosen for room in rooms))
        for widget in (self.head, self.table, self.buttons["site-anew"]):
            widget.setVisible(bool(rooms))

    def _pick(self, ref: object) -> None:
        self.picked.emit(ref)

    def _pressed(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.wanted.emit(sender.objectName())
