"""Right: which rooms are worked and delivered together, what each lot buys, what is in the van."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.plan.lot_records import Lot
from takeoff.sheets.sheet_values import Table
from takeoff.ui.panels.form_fields import ChoiceField, Form, TextField, buttons, small_button
from takeoff.ui.panels.page_parts import label, scrolled
from takeoff.ui.panels.shown_table import ShownTable, show_or_say

NEW_LOT, NO_LOT = "\0new", ""


class LotsPage(QWidget):
    """``shared`` tells how all rooms are shared out ("plot", "storey", "none"); ``put`` a room and the lot that it is
    to be in; ``typed`` "name", "date" or "van" and the text."""

    shared = Signal(str)
    put = Signal(str, str)
    typed = Signal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.by_plot = small_button(tr("By plot"), tr("One lot for each time that the storeys are built"))
        self.by_storey = small_button(tr("By storey"), tr("One lot for each storey"))
        self.none = small_button(tr("No lots"), tr("One order for the whole job"))
        for button, how in ((self.by_plot, "plot"), (self.by_storey, "storey"), (self.none, "none")):
            button.clicked.connect(lambda _=False, own=how: self.shared.emit(own))
        self.room = ChoiceField(tr("Room"), ())
        self.into = ChoiceField(tr("The lot that it is worked in"), ())
        self.lot = ChoiceField(tr("Lot"), ())
        self.item = ChoiceField(tr("What is in the van"), ())
        self.name = TextField("name", tr("What the lot is called"))
        self.date = TextField("date", tr("The day on which the lot is needed, such as 2031-05-20"))
        self.van = TextField("van", tr("How much of it is in the van"))
        self.into.picked.connect(lambda lot: self.put.emit(str(self.room.currentData() or ""), lot))
        for choice in (self.room, self.lot, self.item):
            choice.picked.connect(lambda _: self._show_own())
        for field in (self.name, self.date, self.van):
            field.typed.connect(self.typed)
        self.instead = label("", "grey", wrap=True)
        self.blocks: list[ShownTable] = []
        self._lots: tuple[Lot, ...] = ()
        self._in_van: dict[str, str] = {}
        self._where: dict[str, str] = {}
        self._build()

    def _build(self) -> None:
        self._down = down = scrolled(self)
        down.addWidget(label(tr("Lots and plots"), "title"))
        down.addWidget(buttons(self.by_plot, self.by_storey, self.none))
        rooms, lots, van = Form(), Form(), Form()
        rooms.pair((tr("Room"), self.room))
        rooms.pair((tr("In lot"), self.into))
        lots.pair((tr("Lot"), self.lot))
        lots.pair((tr("Name"), self.name))
        lots.pair((tr("Date"), self.date))
        van.pair((tr("In the van"), self.item))
        van.pair((tr("Quantity"), self.van))
        for form in (rooms, lots, van):
            down.addLayout(form)
        down.addWidget(self.instead)
        down.addStretch(1)

    @property
    def chosen_lot(self) -> str:
        """The lot whose name and date are shown."""
        return str(self.lot.currentData() or "")

    @property
    def chosen_item(self) -> str:
        """The item whose quantity in the van is shown."""
        return str(self.item.currentData() or "")

    def show_lots(
        self, lots: Sequence[Lot], rooms: Sequence[tuple[str, str, str]], items: Sequence[tuple[str, str, str]]
    ) -> None:
        """``rooms``: (key, name, lot that it is in); ``items``: (id, name, how much is in the van)."""
        self._lots = tuple(lots)
        names = [(lot.id, lot.name or lot.id) for lot in lots]
        kept = [str(choice.currentData() or "") for choice in (self.room, self.lot, self.item)]
        self.room.offer([(key, name) for key, name, _ in rooms])
        self.into.offer([(NO_LOT, tr("in no lot")), *names, (NEW_LOT, tr("a new lot"))])
        self.lot.offer(names)
        self.item.offer([(key, name) for key, name, _ in items])
        for choice, key in zip((self.room, self.lot, self.item), kept, strict=True):
            if choice.findData(key) >= 0:
                choice.show_key(key)
        self._where = {key: lot for key, _, lot in rooms}
        self._in_van = {key: text for key, _, text in items}
        self._show_own()

    def _show_own(self) -> None:
        self.into.show_key(self._where.get(str(self.room.currentData() or ""), NO_LOT))
        own = next((lot for lot in self._lots if lot.id == self.chosen_lot), None)
        self.name.show_text(own.name if own else "")
        self.date.show_text(own.date if own else "")
        self.van.show_text(self._in_van.get(self.chosen_item, ""))
        for field in (self.lot, self.name, self.date):
            field.setEnabled(own is not None)

    def show_tables(self, tables: Sequence[Table], instead: str) -> None:
        """What the lots buy; or why it cannot be said."""
        show_or_say(self.instead, instead, self._down, self.blocks, tables)
