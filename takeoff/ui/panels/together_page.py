"""Right: rooms read on site set together through shared walls and openings, with check dimensions."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import SetTogether
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import ChoiceField, length_text, small_button
from takeoff.ui.panels.page_parts import empty, fill, label, scrolled, set_text
from takeoff.ui.panels.site_sketch import SiteSketch
from takeoff.ui.themes import Theme
from takeoff.views import site_joins
from takeoff.views.site_sheet import read, sheet_of

_SKETCH_PX = 124


class TogetherPage(QWidget):
    """Keeps joins and checks of the shown storey until they are applied. ``put`` carries them."""

    put = Signal(object)

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self._joined = SetTogether()
        self._storey = ""
        self.rooms = ChoiceField(tr("First room"), ()), ChoiceField(tr("Second room"), ())
        self.places = (
            ChoiceField(tr("What the first room shares"), ()),
            ChoiceField(tr("What the second room shares"), ()),
        )
        self.sketches = SiteSketch(theme), SiteSketch(theme)
        self.thickness = _field(tr("Thickness of the wall between"), length_text(100.0))
        self.corners = (
            _field(tr("Corner of the first room"), "A", 32),
            _field(tr("Corner of the second room"), "A", 32),
        )
        self.across = _field(tr("Length from corner to corner"), length_text(5020.0), 60)
        self.join_button = QPushButton(tr("Link these"))
        self.check_button = QPushButton(tr("Add the check dimension"))
        self.put_button = QPushButton(tr("Assemble the rooms"))
        self.put_button.setProperty("part", "main")
        self.says = label("", "dims", wrap=True)
        self._list = QVBoxLayout()
        self._fits = QGridLayout()
        self._build()
        self._connect()
        self.refresh()

    @property
    def joined(self) -> SetTogether:
        """The joins and checks that are listed."""
        return self._joined

    def _build(self) -> None:
        down = scrolled(self)
        down.addWidget(label(tr("Assemble surveyed rooms"), "title", wrap=True))
        down.addWidget(
            label(
                tr("Pick a shared door (fixes both rooms) or a shared wall (then add one diagonal across both)."),
                "dims",
                wrap=True,
            )
        )
        grid = QGridLayout()
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        named = zip(
            (tr("Room"), tr("shares"), tr("with room"), tr("which has")),
            (self.rooms[0], self.places[0], self.rooms[1], self.places[1]),
            strict=True,
        )
        for row, (text, field) in enumerate(named):
            _pair(grid, row + row // 2, text, field)
        for number, sketch in enumerate(self.sketches):
            sketch.setFixedHeight(_SKETCH_PX)
            sketch.setAccessibleName(tr("Corners of the second room") if number else tr("Corners of the first room"))
            grid.addWidget(sketch, 2 + 3 * number, 0, 1, 2)
        _pair(grid, 6, tr("Wall, m"), self.thickness)
        fill(down, grid, self.join_button, 6)
        # the corners in one line, the length between them in the next
        between, across = QHBoxLayout(), QHBoxLayout()
        for line, text, cell in (
            (between, tr("Corner"), self.corners[0]),
            (between, tr("to"), self.corners[1]),
            (across, tr("is, m"), self.across),
        ):
            line.addWidget(label(text, "name"))
            line.addWidget(cell)
        for line in (between, across):
            line.setSpacing(5)
            line.addStretch(1)
        fill(
            down,
            label(tr("Check between these two rooms"), "heading", wrap=True),
            between,
            across,
            self.check_button,
            6,
            label(tr("Linked"), "heading"),
        )
        self._list.setSpacing(4)
        down.addLayout(self._list)
        down.addWidget(self.says)
        self._fits.setColumnStretch(0, 1)
        down.addLayout(self._fits)
        down.addWidget(self.put_button)
        down.addStretch(1)

    def _connect(self) -> None:
        self.rooms[0].picked.connect(self._first_room)
        self.rooms[1].picked.connect(self._second_room)
        self.places[0].picked.connect(self._first_place)
        self.places[1].picked.connect(self._mark_sides)
        self.join_button.clicked.connect(self._join)
        self.check_button.clicked.connect(self._check)
        self.thickness.returnPressed.connect(self._join)
        self.across.returnPressed.connect(self._check)
        self.put_button.clicked.connect(self._put)
        document = self._document
        document.opened.connect(self._anew)
        document.changed.connect(self._listen)
        document.storey_changed.connect(self._anew)

    # -- what is shown

    def refresh(self) -> None:
        """Show the storey's joins; what was not applied stays while it is the same storey."""
        storey = self._document.storey
        name = str(storey.id) if storey is not None else ""
        if name != self._storey:
            self._storey = name
            self._joined = (storey.set_together if storey is not None else None) or SetTogether()
        rooms = site_joins.rooms_to_join(storey)
        for number, field in enumerate(self.rooms):
            _fill(field, rooms, min(number, max(len(rooms) - 1, 0)))
        for number in (0, 1):
            self._show_places(number)
        self._mark_sides()
        self._show_list()

    def _show_places(self, number: int) -> None:
        storey, room = self._document.storey, None
        key = self.rooms[number].currentData()
        if storey is not None and isinstance(key, str):
            room = site_joins.room_named(storey, key)
        _fill(self.places[number], [(p.key, p.words) for p in site_joins.places(room)] if room else [], 0)

    def _suggest(self) -> None:
        """Show in the second room what most likely is the same thing seen from there."""
        storey = self._document.storey
        ids = [field.currentData() for field in self.rooms]
        if storey is None or not all(isinstance(one, str) for one in ids):
            return
        first, second = (site_joins.room_named(storey, one) for one in ids)
        if first is None or second is None:
            return
        chosen = next((p for p in site_joins.places(first) if p.key == self.places[0].currentData()), None)
        if chosen is not None:
            self.places[1].show_key(site_joins.partner(chosen, site_joins.places(second)))

    def _show_list(self) -> None:
        empty(self._list)
        empty(self._fits)
        storey = self._document.storey
        if storey is None:
            set_text(self.says, "")
            return
        for number, join in enumerate(self._joined.joins):
            self._list.addWidget(self._line(site_joins.join_words(storey, join), "join", number))
        for number, check in enumerate(self._joined.checks):
            self._list.addWidget(self._line(site_joins.check_words(storey, check), "check", number))
        fit = site_joins.fit(storey, self._joined)
        set_text(self.says, fit.fault or tr("Misclosure with all rooms assembled:"))
        for row, (what, off) in enumerate(fit.lines):
            self._fits.addWidget(label(what[:1].upper() + what[1:], "name", wrap=True), row, 0)
            self._fits.addWidget(label(off, "figure", right=True), row, 1)
        apart = not self._joined.joins and storey.set_together is not None
        self.put_button.setEnabled(not fit.fault or apart)
        self.put_button.setText(tr("Take them apart") if apart else tr("Assemble the rooms"))

    def _line(self, text: str, what: str, number: int) -> QWidget:
        line = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(label(text, "name", wrap=True), 1)
        button = small_button(tr("Remove"), tr("Remove: {part}", part=text))
        button.setProperty("line", (what, number))
        button.clicked.connect(self._remove)
        row.addWidget(button)
        return line

    def _mark_sides(self) -> None:
        """Show both rooms with their corners' letters, what they share marked."""
        for field, place, sketch in zip(self.rooms, self.places, self.sketches, strict=True):
            sheet = sheet_of(self._document.job, self._key(field))
            sketch.setVisible(sheet is not None)
            if sheet is not None:
                sketch.show_read(read(sheet))
                ids = [side.id for side in sheet.sides]
                side = self._key(place).partition(":")[0]
                sketch.show_side(ids.index(side) if side in ids else -1)

    # -- what the user does

    def _first_place(self) -> None:
        self._suggest()
        self._mark_sides()

    def _first_room(self) -> None:
        self._show_places(0)
        self._first_place()

    def _second_room(self) -> None:
        self._show_places(1)
        self._first_place()

    def _join(self) -> None:
        def change() -> SetTogether:
            return site_joins.with_join(
                self._joined,
                site_joins.join_of(
                    self._key(self.rooms[0]),
                    self._key(self.places[0]),
                    self._key(self.rooms[1]),
                    self._key(self.places[1]),
                    self.thickness.text(),
                ),
            )

        self._change(change)

    def _check(self) -> None:
        def change() -> SetTogether:
            return site_joins.with_check(
                self._joined,
                site_joins.check_of(
                    self._key(self.rooms[0]),
                    self.corners[0].text(),
                    self._key(self.rooms[1]),
                    self.corners[1].text(),
                    self.across.text(),
                ),
            )

        if self._change(change):
            self.across.clear()

    def _change(self, change: Callable[[], SetTogether]) -> bool:
        try:
            joined = change()
        except InputError as error:
            set_text(self.says, str(error))
            return False
        self._joined = joined
        self._show_list()
        return True

    def _remove(self) -> None:
        sender = self.sender()
        if sender is None:
            return
        what, number = sender.property("line")
        without = site_joins.without_join if what == "join" else site_joins.without_check
        self._joined = without(self._joined, number)
        self._show_list()

    def _put(self) -> None:
        self.put.emit(self._joined)

    def _key(self, field: ChoiceField) -> str:
        key = field.currentData()
        return key if isinstance(key, str) else ""

    # -- listeners

    def _anew(self) -> None:
        self._storey = ""
        self.refresh()

    def _listen(self, before: object, after: object) -> None:
        """Undo brings joins back that were there; what is not applied yet gives way to them."""
        storey_before, storey_after = (_together_of(state, self._storey) for state in (before, after))
        if storey_before != storey_after:
            self._storey = ""
        self.refresh()


def _together_of(state: object, storey_id: str) -> object:
    job = getattr(state, "job", None)
    storeys = job.storeys if job is not None else ()
    return next((storey.set_together for storey in storeys if storey.id == storey_id), None)


def _fill(field: ChoiceField, choices: object, otherwise: int) -> None:
    """Offer these; what was chosen stays chosen where it is still there."""
    wanted = list(choices) if isinstance(choices, list | tuple) else []
    there = [(field.itemData(k), field.itemText(k)) for k in range(field.count())]
    if wanted == there:
        return
    before = field.currentData()
    field.clear()
    for key, text in wanted:
        field.addItem(text, key)
    found = field.findData(before) if before is not None else -1
    field.setCurrentIndex(found if found >= 0 else otherwise if wanted else -1)


def _pair(grid: QGridLayout, row: int, text: str, field: QWidget) -> QLabel:
    named = label(text, "name")
    named.setBuddy(field)
    grid.addWidget(named, row, 0)
    grid.addWidget(field, row, 1)
    return named


def _field(name: str, example: str, wide: int = 0) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setToolTip(name)
    made.setPlaceholderText(example)
    made.setProperty("part", "cell")
    if wide:
        made.setFixedWidth(wide)
    return made
