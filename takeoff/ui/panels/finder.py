"""The find field's list: rooms, openings and actions whose words hold what was typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec
from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QListWidget, QListWidgetItem

from takeoff.language import tr
from takeoff.sheets.wall_names import wall_letters
from takeoff.ui.actions import Actions
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.form_fields import to_plan
from takeoff.views.naming import labels
from takeoff.views.table_lines import opening_lines

_MOST = 12
"""Lines that are listed."""


class Found(msgspec.Struct, frozen=True):
    """Something that was found: what it is called, and what it is."""

    words: str
    ref: Ref | None = None
    action: str = ""


def find(words: str, document: Document, acts: Actions) -> tuple[Found, ...]:
    """Rooms first, then openings and walls, then what can be done now, then what could be; nothing for no words."""
    wanted = words.casefold().split()
    if not wanted:
        return ()
    return tuple(found for found in _all(document, acts) if _holds(found.words, wanted))[:_MOST]


def _holds(text: str, wanted: list[str]) -> bool:
    """Whether every wanted word is the beginning of a word of the text."""
    own = text.casefold().replace(",", " ").replace(":", " ").split()
    return all(any(word.startswith(part) for word in own) for part in wanted)


def _all(document: Document, acts: Actions) -> Iterator[Found]:
    for (_, room), name in labels(document.job).items():
        yield Found(name, Ref("room", room))
    for line in opening_lines(document.state):
        mark, kind, size, room = line.cells
        ref = Ref("rooflight" if kind == "rooflight" else "opening", line.id, line.room)
        # a fact is put in as it is: each kind begins a line of its own
        said = f"{kind[:1].upper()}{kind[1:]}"
        words = (
            tr("{kind} {mark}, {size} m, {room}", kind=said, mark=mark, size=size, room=room)
            if size
            else tr("{kind} {mark}, {room}", kind=said, mark=mark, room=room)
        )
        yield Found(words, ref)
    names = labels(document.job)
    for storey in document.job.storeys:
        for own in storey.rooms:
            for side, letter in wall_letters(own).items():
                words = tr("Wall {letter}, {room}", letter=letter, room=names[str(storey.id), str(own.id)])
                yield Found(words, Ref("side", side, str(own.id)))
    for possible in (True, False):
        for row in acts.rows():
            if acts.q(row.id).isEnabled() is possible:
                words = f"{row.menu}: {row.text.rstrip('…')}"
                yield Found(words if possible else tr("{action} (not now)", action=words), action=row.id)


class Finder(QListWidget):
    """Hangs under the field while something is typed; arrows move, Enter takes, Escape closes."""

    taken = Signal(object)
    """The Found that was taken."""

    def __init__(self, field: QLineEdit, find_in: Callable[[str], tuple[Found, ...]]) -> None:
        super().__init__(field.window())
        self._field, self._find = field, find_in
        self._found: tuple[Found, ...] = ()
        self.setAccessibleName(tr("What was found"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setProperty("part", "finder")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.itemClicked.connect(self._take_item)
        field.textChanged.connect(self.refresh)
        field.returnPressed.connect(self.take)
        field.installEventFilter(self)
        self.hide()

    def refresh(self, words: str) -> None:
        """List what the words find."""
        self._found = self._find(words)
        self.clear()
        for found in self._found:
            self.addItem(QListWidgetItem(found.words))
        self.setVisible(bool(self._found))
        if self._found:
            self.setCurrentRow(0)
            corner = self._field.mapTo(self._field.window(), QPoint(0, self._field.height() + 4))
            wide = max(self._field.width(), 320)
            self.setGeometry(
                corner.x() + self._field.width() - wide,
                corner.y(),
                wide,
                self.sizeHintForRow(0) * len(self._found) + 10,
            )
            self.raise_()

    def take(self) -> None:
        """Take the marked line."""
        row = self.currentRow()
        if 0 <= row < len(self._found):
            found = self._found[row]
            self._field.clear()
            self.taken.emit(found)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Up and down move in the list, Escape closes it, while the field keeps the keys."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None and self.count():
                self.setCurrentRow((self.currentRow() + step) % self.count())
                return True
            if event.key() == Qt.Key.Key_Escape and self._field.text():
                self._field.clear()
                to_plan(self._field)
                return True
        return super().eventFilter(watched, event)

    def _take_item(self, item: QListWidgetItem) -> None:
        self.setCurrentItem(item)
        self.take()
