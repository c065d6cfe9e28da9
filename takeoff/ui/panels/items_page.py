"""Right: what is counted in a room beside the coat, and who sees to it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from takeoff.language import mark, tr
from takeoff.plan.counted_items import HANDLED, ITEM_KINDS, USUAL_WHO, WHO, ItemKind
from takeoff.sheets.site_work_tables import DONE_NAMES, KIND_NAMES, WHO_NAMES
from takeoff.ui.panels.form_fields import ChoiceField, Form, buttons, small_button
from takeoff.ui.panels.page_parts import empty, label, scrolled, set_text, stacked

NO_WALL = ""
_HINT = mark("Radiators that stay leave the wall behind them bare: name the wall, and the scope says so.")


class ItemsPage(QWidget):
    """``room_picked`` (id), ``add_wanted`` (kind, count as typed, done, who, wall), ``taken_out`` (number)."""

    room_picked = Signal(str)
    add_wanted = Signal(str, str, str, str, str)
    taken_out = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.room = ChoiceField(tr("Room"), ())
        self.kind = ChoiceField(tr("What is counted"), [(key, tr(KIND_NAMES[key])) for key in ITEM_KINDS])
        self.count = QLineEdit("1")
        self.count.setAccessibleName(tr("How many"))
        self.count.setToolTip(tr("How many"))
        self.done = ChoiceField(tr("What is done"), ())
        self.who = ChoiceField(tr("By whom"), [(key, tr(WHO_NAMES[key])) for key in WHO])
        self.wall = ChoiceField(tr("On which wall"), ())
        self.add = small_button(tr("Add"), tr("Count these in the room"))
        self.rows = QWidget()
        self._rows = stacked(self.rows, spacing=2)
        self.bare = label("", "dims", wrap=True)
        self.room.picked.connect(self.room_picked)
        self.kind.picked.connect(lambda _: self._fit())
        self.add.clicked.connect(self._add)
        self.count.returnPressed.connect(self._add)
        self._build()
        self._fit()

    def _build(self) -> None:
        down = scrolled(self)
        down.addWidget(label(tr("Counted items"), "title"))
        form = Form()
        form.pair((tr("Room"), self.room))
        form.pair((tr("What"), self.kind))
        form.pair((tr("Count"), self.count), (tr("Wall"), self.wall))
        form.pair((tr("Done"), self.done))
        form.pair((tr("By"), self.who))
        down.addLayout(form)
        down.addWidget(buttons(self.add))
        down.addWidget(label(tr(_HINT), "grey", wrap=True))
        down.addWidget(self.rows)
        down.addWidget(self.bare)
        down.addStretch(1)

    def _fit(self) -> None:
        """What may be done with the kind, and who usually does it."""
        kind: ItemKind = self.kind.currentData()
        self.done.offer([(done, tr(DONE_NAMES[done])) for done in HANDLED[kind]])
        self.done.show_key(HANDLED[kind][0])
        self.who.show_key(USUAL_WHO[kind])

    def _add(self) -> None:
        self.add_wanted.emit(
            str(self.kind.currentData()),
            self.count.text(),
            str(self.done.currentData()),
            str(self.who.currentData()),
            str(self.wall.currentData() or NO_WALL),
        )

    def show_room(self, room: str, rooms: Sequence[tuple[str, str]], walls: Sequence[tuple[str, str]]) -> None:
        """The room whose items these are; ``rooms`` (id, name), ``walls`` (id, letter)."""
        self.room.offer(rooms)
        self.room.show_key(room)
        before = self.wall.currentData()
        self.wall.offer([(NO_WALL, tr("not said")), *walls])
        self.wall.show_key(before if before in dict(walls) else NO_WALL)

    def show_items(self, lines: Sequence[str], bare: str) -> None:
        """Its items in words, each with a button, and what stays bare in the job."""
        empty(self._rows)
        for number, line in enumerate(lines):
            self._rows.addWidget(self._row(number, line))
        set_text(self.bare, bare)

    def _row(self, number: int, line: str) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label(line, "dims", wrap=True), 1)
        out = small_button(tr("Remove"), tr("Remove: {item}", item=line))
        out.clicked.connect(lambda: self.taken_out.emit(number))
        across.addWidget(out)
        return row
