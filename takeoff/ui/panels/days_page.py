"""Right: how many days the job takes, by which terms, with the bars of its rooms."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from takeoff.language import tr
from takeoff.plan.edits.programme_edits import air_text
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.services.offered.days_said import DaysSaid
from takeoff.ui.panels.chart_picture import ChartPicture
from takeoff.ui.panels.crew_fields import CrewFields
from takeoff.ui.panels.form_fields import Form, TextField, buttons, small_button
from takeoff.ui.panels.page_parts import empty, label, scrolled, set_text, stacked
from takeoff.ui.panels.shown_table import ShownTable

_LEAST_FIELD_PX = 48
"""Two to a row have room beside their words in the narrowest window."""


class DaysPage(QWidget):
    """``typed`` tells a field's key and text; ``lived_in`` a room's id and whether people live in it."""

    typed = Signal(str, str)
    lived_in = Signal(str, bool)
    calendar_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.fields: dict[str, TextField] = {}
        self.rooms: dict[str, QCheckBox] = {}
        self.instead, self.lines = label("", "grey", wrap=True), label("", "urgent", wrap=True)
        self.water = label("", "dims", wrap=True)
        self.chart = ChartPicture()
        self.blocks = (ShownTable(), ShownTable(), ShownTable())
        self.calendar = small_button(tr("Calendar file…"), tr("Save the days as a file for a calendar"))
        self.calendar.clicked.connect(self.calendar_wanted)
        self.crews = CrewFields()
        self._lived = QWidget()
        self._lived_down = stacked(self._lived, spacing=2)
        down = scrolled(self)
        down.addWidget(label(tr("Days on site"), "title"))
        down.addLayout(self._form())
        down.addWidget(label(tr("Crews beside the team"), "group"))
        down.addWidget(self.crews)
        down.addWidget(label(tr("Lived in, given back by night"), "group"))
        down.addWidget(self._lived)
        for widget in (self.instead, self.lines, self.chart, buttons(self.calendar), *self.blocks, self.water):
            down.addWidget(widget)
        down.addStretch(1)

    def _form(self) -> Form:
        form = Form()
        holds = tr("The day by which holds are cleared")
        together = tr("How many of a crew work together in one room")
        dryer = tr("What the hired dehumidifier takes in a day, litres.")
        for words, key, tip, example in (
            (tr("First day"), "start", tr("First day, such as 2031-05-20"), tr("not set")),
            (tr("People"), "people", tr("How many people work"), "1"),
            (tr("In one room"), "together", together, "1"),
            (tr("From"), "begins", tr("When work begins, such as 08:00"), "08:00"),
            (tr("To"), "ends", tr("When work ends, such as 16:00"), "16:00"),
            (tr("Holidays of"), "country", tr("Country of public holidays, such as GB or DE-BY"), ""),
            (tr("Holds until"), "holds_until", holds, tr("not set")),
            (tr("m² an hour"), "rate", tr("How many m² one person coats in an hour."), "6"),
            (tr("Minutes"), "working", tr("How many minutes the coat can be worked."), "20"),
            (tr("Inside"), "inside", tr("Air inside, to dry out: 20/60."), "20/60"),
            (tr("Outside"), "outside", tr("Air outside, to dry out: 5/80."), "5/80"),
            (tr("Air changes"), "changes", tr("Air changes an hour."), "0.5"),
            (tr("Dryer L a day"), "dryer", dryer, tr("none")),
        ):
            # one field to a row: two beside each other show neither a date nor an hour whole
            form.pair((words, self._field(key, tip, example)))
        return form

    def _field(self, key: str, name: str, placeholder: str) -> TextField:
        field = self.fields[key] = TextField(key, name, placeholder=placeholder)
        field.typed.connect(self.typed)
        field.setMinimumWidth(_LEAST_FIELD_PX)
        return field

    def show_terms(self, terms: ProgrammeTerms, rooms: Sequence[tuple[str, str]]) -> None:
        """The terms as the job has them; ``rooms``: (id, name)."""
        air = terms.airing
        texts = {"start": terms.start, "people": str(terms.people), "begins": terms.begins, "ends": terms.ends}
        texts |= {"country": f"{terms.country}-{terms.part}" if terms.part else terms.country}
        texts |= {"holds_until": terms.holds_until, "together": str(terms.together)}
        texts |= {"inside": air_text(air.inside_c, air.inside_percent), "changes": f"{air.changes_h:g}"}
        texts |= {"outside": air_text(air.outside_c, air.outside_percent)}
        amounts = {"rate": terms.rate_m2_h, "working": terms.working_min, "dryer": terms.dryer_l_day}
        texts |= {key: f"{value:g}" if value else "" for key, value in amounts.items()}
        for key, text in texts.items():
            self.fields[key].show_text(text)
        self.crews.show_crews(terms.crews)
        self._show_rooms(terms, rooms)

    def _show_rooms(self, terms: ProgrammeTerms, rooms: Sequence[tuple[str, str]]) -> None:
        if [(room, box.text()) for room, box in self.rooms.items()] != list(rooms):
            empty(self._lived_down)
            self.rooms = {}
            for room, name in rooms:
                box = self.rooms[room] = QCheckBox(name)
                box.clicked.connect(lambda on=False, own=room: self.lived_in.emit(own, on))
                self._lived_down.addWidget(box)
        for room, box in self.rooms.items():
            box.setChecked(room in terms.lived_in)

    def show_days(self, said: DaysSaid | None, instead: str) -> None:
        """What the terms come to; or why it cannot be said."""
        set_text(self.instead, instead)
        self.instead.setVisible(bool(instead))
        lines = said.lines if said else ()
        for shown, urgent in ((self.lines, True), (self.water, False)):
            set_text(shown, "\n".join(f"{one.label}: {one.text}" for one in lines if one.urgent is urgent))
            shown.setVisible(bool(shown.text()))
        self.chart.show_chart(said.chart if said else None)
        tables = (said.rooms, said.closing, said.days) if said else ()
        for number, block in enumerate(self.blocks):
            block.setVisible(number < len(tables))
            if number < len(tables):
                block.show_table(tables[number])
