"""Right: may we coat? Readings of the site, what was looked at, and the holds that follow."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from takeoff.language import mark, tr
from takeoff.plan.site_check import Looked, Quantity, SiteCheck, Stage
from takeoff.sheets.sheet_values import Table
from takeoff.sitecheck.holds import QUANTITY_NAMES, Hold
from takeoff.ui.panels.form_fields import ChoiceField, Form, buttons, small_button
from takeoff.ui.panels.page_parts import empty, label, scrolled, set_text, stacked
from takeoff.ui.panels.shown_table import ShownTable
from takeoff.units.printing import shown_short

STAGE_NAMES: dict[Stage, str] = {
    "quote": mark("Quote"),
    "start": mark("Start on site"),
    "coating": mark("A coating day"),
    "sanding": mark("Before sanding"),
    "decoration": mark("Before decoration"),
}
LOOK_NAMES: dict[Looked, str] = {
    "lining": mark("Lining or paper on the surface"),
    "loose-paint": mark("Loose paint"),
    "old-paint": mark("Paint old enough to hold lead"),
    "textured": mark("Textured coating"),
    "mould": mark("Mould"),
    "damp": mark("Damp"),
    "water-ingress": mark("Water coming in"),
    "porous": mark("A drop of water soaks in at once"),
    "base-dry": mark("Base coat dry"),
    "vents-free": mark("All vents free"),
}
_UNITS: dict[Quantity, str] = {"moisture": "", "surface": "°C", "air": "°C", "humidity": "%", "gap": "mm"}
EVERY_ROOM = ""
_MOST_HOLDS = 12


class SiteCheckPage(QWidget):
    """``stage_picked``, ``reading_wanted`` (quantity, text, room, place, scale), ``looked`` (what, answer, room),
    ``taken_out`` (number of a reading), ``clear_wanted`` (id of a hold), ``again_wanted`` (id)."""

    stage_picked = Signal(str)
    reading_wanted = Signal(str, str, str, str, str)
    looked = Signal(str, str, str)
    taken_out = Signal(int)
    clear_wanted = Signal(str, str)
    again_wanted = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.stage = ChoiceField(tr("What is done next"), [(key, tr(name)) for key, name in STAGE_NAMES.items()])
        self.stage.picked.connect(self.stage_picked)
        self.room = ChoiceField(tr("Room"), ())
        self.quantity = ChoiceField(tr("What was measured"), [(key, tr(name)) for key, name in QUANTITY_NAMES.items()])
        self.value = _line(tr("The reading"), tr("the reading"))
        self.place = _line(tr("Where in the room"), tr("coldest reveal or corner"))
        self.scale = _line(tr("Scale of the moisture meter"), tr("scale of the meter"))
        self.add = small_button(tr("Add reading"), tr("Add the reading with the time that it is now"))
        self.person = _line(tr("Your name, to clear a hold"), tr("your name"))
        self.looks: dict[Looked, dict[str, QPushButton]] = {}
        self.table = ShownTable()
        self.readings, self.holds = QWidget(), QWidget()
        self._readings, self._holds = stacked(self.readings, spacing=2), stacked(self.holds, spacing=2)
        self.verdict = label("", "urgent", wrap=True)
        self.add.clicked.connect(self._add)
        for field in (self.value, self.place, self.scale):
            field.returnPressed.connect(self._add)
        self.quantity.picked.connect(lambda _: self._fit())
        self._build()
        self._fit()

    def _build(self) -> None:
        down = scrolled(self)
        down.addWidget(label(tr("Site check"), "title"))
        form = Form()
        form.pair((tr("Next"), self.stage))
        form.pair((tr("Room"), self.room))
        down.addLayout(form)
        down.addWidget(self.verdict)
        down.addWidget(label(tr("Measured"), "group"))
        fields = Form()
        fields.pair((tr("What"), self.quantity))
        fields.pair((tr("Reading"), self.value))
        fields.pair((tr("Place"), self.place))
        fields.pair((tr("Scale"), self.scale))
        down.addLayout(fields)
        down.addWidget(buttons(self.add))
        down.addWidget(self.readings)
        down.addWidget(label(tr("Looked at"), "group"))
        for what, name in LOOK_NAMES.items():
            down.addWidget(self._look(what, tr(name)))
        down.addWidget(self.table)
        down.addWidget(label(tr("Clear a hold"), "group"))
        down.addWidget(self.person)
        down.addWidget(self.holds)
        down.addStretch(1)

    def _look(self, what: Looked, words: str) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label(words, "name", wrap=True), 1)
        made = self.looks[what] = {}
        for answer, word in (("yes", tr("Yes")), ("no", tr("No"))):
            button = made[answer] = small_button(word, tr("{what}: {answer}", what=words, answer=word))
            button.setCheckable(True)
            button.clicked.connect(lambda _=False, a=answer: self.looked.emit(what, a, self.chosen_room))
            across.addWidget(button)
        return row

    @property
    def chosen_room(self) -> str:
        """The room that readings and answers are of; "" for every room."""
        return str(self.room.currentData() or EVERY_ROOM)

    def _add(self) -> None:
        quantity = str(self.quantity.currentData())
        scale = self.scale.text() if quantity == "moisture" else ""
        self.reading_wanted.emit(quantity, self.value.text(), self.chosen_room, self.place.text(), scale)

    def _fit(self) -> None:
        self.scale.setEnabled(self.quantity.currentData() == "moisture")

    # -- what is shown

    def show_check(self, check: SiteCheck, rooms: Sequence[tuple[str, str]]) -> None:
        """What was read and looked at at the job's stage; ``rooms``: (id, name)."""
        self.stage.show_key(check.stage)
        before = self.chosen_room
        self.room.offer([(EVERY_ROOM, tr("Every room")), *rooms])
        self.room.show_key(before if before in dict(rooms) else EVERY_ROOM)
        empty(self._readings)
        names = dict(rooms)
        for number, reading in enumerate(check.readings):
            if reading.stage == check.stage:
                where = ", ".join(part for part in (names.get(reading.room or "", ""), reading.place) if part)
                unit = reading.scale or _UNITS[reading.quantity]
                text = tr(
                    "{what}: {value} {unit}  {where}  {when}",
                    what=tr(QUANTITY_NAMES[reading.quantity]),
                    value=shown_short(reading.value, 1),
                    unit=unit,
                    where=where,
                    when=reading.at.replace("T", " "),
                )
                self._readings.addWidget(self._reading_row(number, text))
        self._show_looks(check)

    def _show_looks(self, check: SiteCheck) -> None:
        room = self.chosen_room or None
        for what, made in self.looks.items():
            found = [t for t in check.ticks if t.what == what and t.stage == check.stage and t.room in (room, None)]
            answer = found[-1].answer if found else ""
            for key, button in made.items():
                button.setChecked(key == answer)

    def _reading_row(self, number: int, text: str) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label(text, "dims", wrap=True), 1)
        out = small_button(tr("Remove"), tr("Remove this reading"))
        out.clicked.connect(lambda: self.taken_out.emit(number))
        across.addWidget(out)
        return row

    def show_holds(self, found: Sequence[Hold], table: Table, rooms: Sequence[tuple[str, str]]) -> None:
        """What is held, and a button for each hold to be cleared by name."""
        held = [hold for hold in found if hold.state == "hold"]
        set_text(self.verdict, tr("On hold: do not start until each hold is cleared.") if held else "")
        self.verdict.setVisible(bool(held))
        self.table.show_table(table)
        empty(self._holds)
        names = dict(rooms)
        for hold in [hold for hold in found if hold.state != "confirm"][:_MOST_HOLDS]:
            self._holds.addWidget(self._hold_row(hold, names.get(hold.room, "")))

    def _hold_row(self, hold: Hold, room: str) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        text = label(f"{room}: {hold.reason}" if room else hold.reason, "dims", wrap=True)
        text.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        across.addWidget(text, 1)
        if hold.state == "cleared":
            again = small_button(
                tr("Hold again"), tr("Cleared by {person}, {day}", person=hold.cleared_by, day=hold.cleared_on)
            )
            again.clicked.connect(lambda: self.again_wanted.emit(hold.id))
            across.addWidget(again)
        else:
            clear = small_button(tr("Clear"), tr("Clear this hold by name and date"))
            clear.clicked.connect(lambda: self.clear_wanted.emit(hold.id, self.person.text()))
            across.addWidget(clear)
        return row

    def reading_taken(self) -> None:
        """The reading is in the job: the field is free for the next."""
        self.value.clear()


def _line(name: str, placeholder: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(name)
    field.setToolTip(name)
    field.setPlaceholderText(placeholder)
    return field
