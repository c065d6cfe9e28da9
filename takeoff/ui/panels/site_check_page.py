"""Right: may we coat? Readings of the site, what was looked at, and the holds that follow."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from takeoff.language import mark, tr
from takeoff.plan.site_check import Face, Looked, Quantity, SiteCheck, Stage
from takeoff.sheets.sheet_values import Table
from takeoff.sitecheck.holds import QUANTITY_NAMES, Hold
from takeoff.sitecheck.usual_limits import usual
from takeoff.ui.panels.form_fields import ChoiceField, Form, TextField, buttons, small_button
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


class TypedReading(msgspec.Struct, frozen=True):
    """A reading as it is typed. ``at`` "": now."""

    quantity: str
    text: str
    room: str
    place: str
    scale: str
    instrument: str
    person: str
    at: str


LIMIT_FIELDS: tuple[tuple[tuple[str, str, str], ...], ...] = (
    (("surface", "low", mark("Surface from °C")), ("margin", "low", mark("Over dew K"))),
    (("air", "low", mark("Air from °C")), ("air", "high", mark("to °C"))),
    (("humidity", "high", mark("Humidity to %")), ("gap", "high", mark("Gap to mm"))),
)
"""Fields of limits, two to a row: what of, which end, its word."""

FACE_NAMES: dict[Face, str] = {
    "": mark("Walls and ceiling"), "walls": mark("Walls alone"), "ceiling": mark("Ceiling alone"),
}  # fmt: skip


class SiteCheckPage(QWidget):
    """``stage_picked``, ``reading_wanted`` (TypedReading), ``looked`` (what, answer, room, face), ``taken_out`` (number
    of a reading), ``clear_wanted`` (id of a hold, name, what was done), ``again_wanted`` (id), ``limit_typed`` (what,
    which end, text), ``moisture_limit_typed`` (scale, text)."""

    stage_picked = Signal(str)
    reading_wanted = Signal(object)
    looked = Signal(str, str, str, str)
    taken_out = Signal(int)
    clear_wanted = Signal(str, str, str)
    limit_typed = Signal(str, str, str)
    moisture_limit_typed = Signal(str, str)
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
        self.instrument = _line(tr("What it was measured with"), tr("instrument"))
        self.at = _line(tr("When it was measured, such as 2031-05-20T07:40; now if empty"), tr("now"))
        self.add = small_button(tr("Add reading"), tr("Add the reading"))
        self.person = _line(tr("Your name, for readings, answers and holds that you clear"), tr("your name"))
        self.because = _line(tr("What was done about the hold"), tr("what was done"))
        self.face = ChoiceField(tr("On which surfaces"), [(key, tr(name)) for key, name in FACE_NAMES.items()])
        self.limits = {(of, end): self._limit(of, end) for row in LIMIT_FIELDS for of, end, _ in row}
        self.most = TextField(
            "most", tr("Highest moisture that is allowed on this scale"), placeholder=tr("none known")
        )
        self.most.typed.connect(lambda _, text: self.moisture_limit_typed.emit(self.scale.text(), text))
        self.looks: dict[Looked, dict[str, QPushButton]] = {}
        self.table = ShownTable()
        self.readings, self.holds = QWidget(), QWidget()
        self._readings, self._holds = stacked(self.readings, spacing=2), stacked(self.holds, spacing=2)
        self.verdict = label("", "urgent", wrap=True)
        self.add.clicked.connect(self._add)
        for field in (self.value, self.place):
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
        form.pair((tr("By"), self.person))
        down.addLayout(form)
        down.addWidget(self.verdict)
        down.addWidget(label(tr("Measured"), "group"))
        fields = Form()
        fields.pair((tr("What"), self.quantity))
        fields.pair((tr("Reading"), self.value))
        fields.pair((tr("Place"), self.place))
        fields.pair((tr("With"), self.instrument), (tr("When"), self.at))
        fields.pair((tr("Scale"), self.scale), (tr("At most"), self.most))
        down.addLayout(fields)
        down.addWidget(buttons(self.add))
        down.addWidget(self.readings)
        down.addWidget(label(tr("Looked at"), "group"))
        where = Form()
        where.pair((tr("On"), self.face))
        down.addLayout(where)
        for what, name in LOOK_NAMES.items():
            down.addWidget(self._look(what, tr(name)))
        down.addWidget(self.table)
        down.addWidget(label(tr("Clear a hold"), "group"))
        down.addWidget(self.because)
        down.addWidget(self.holds)
        down.addWidget(label(tr("Limits of this job"), "group"))
        limits = Form()
        for row in LIMIT_FIELDS:
            limits.pair(*((tr(words), self.limits[of, end]) for of, end, words in row))
        down.addLayout(limits)
        down.addStretch(1)

    def _limit(self, of: str, end: str) -> TextField:
        """A field for an end of a limit; where the usual one comes from is its tip."""
        usual_one = next(one for one in usual().limits if one.id == of)
        value = usual_one.low if end == "low" else usual_one.high
        shows = shown_short(value, 1) if value is not None else ""
        field = TextField(f"{of}:{end}", tr("Usual: {value}; {source}", value=shows, source=tr(usual_one.source)))
        field.setPlaceholderText(shows)
        field.typed.connect(lambda _, text: self.limit_typed.emit(of, end, text))
        return field

    def _look(self, what: Looked, words: str) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label(words, "name", wrap=True), 1)
        made = self.looks[what] = {}
        for answer, word in (("yes", tr("Yes")), ("no", tr("No"))):
            button = made[answer] = small_button(word, tr("{what}: {answer}", what=words, answer=word))
            button.setCheckable(True)
            button.clicked.connect(
                lambda _=False, a=answer: self.looked.emit(what, a, self.chosen_room, self.chosen_face)
            )
            across.addWidget(button)
        return row

    @property
    def chosen_room(self) -> str:
        """The room that readings and answers are of; "" for every room."""
        return str(self.room.currentData() or EVERY_ROOM)

    @property
    def chosen_face(self) -> str:
        """The surfaces that answers are of; "" for all."""
        return str(self.face.currentData() or "")

    def _add(self) -> None:
        quantity = str(self.quantity.currentData())
        scale = self.scale.text() if quantity == "moisture" else ""
        self.reading_wanted.emit(
            TypedReading(
                quantity,
                self.value.text(),
                self.chosen_room,
                self.place.text(),
                scale,
                self.instrument.text(),
                self.person.text(),
                self.at.text(),
            )
        )

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
                told = (names.get(reading.room or "", ""), reading.place, reading.instrument, reading.person)
                where = ", ".join(part for part in told if part)
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
        own = {("low", of): value for of, value in check.limits.low}
        own |= {("high", of): value for of, value in check.limits.high}
        for (of, end), field in self.limits.items():
            value = own.get((end, of))
            field.show_text("" if value is None else shown_short(value, 1))
        most = dict(check.limits.moisture).get(self.scale.text().strip())
        self.most.show_text("" if most is None else shown_short(most, 1))

    def _show_looks(self, check: SiteCheck) -> None:
        room = self.chosen_room or None
        for what, made in self.looks.items():
            found = [t for t in check.ticks if t.what == what and t.stage == check.stage and t.room in (room, None)]
            found = [t for t in found if self.chosen_face in ("", t.face) or not t.face]
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
            clear.clicked.connect(lambda: self.clear_wanted.emit(hold.id, self.person.text(), self.because.text()))
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
