"""Crews beside the team: each with its people and what it alone does, and a form for another."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QLineEdit, QWidget

from takeoff.language import listed, tr, tr_count
from takeoff.plan.price_terms import WORK_ITEMS, WorkItem
from takeoff.plan.programme_terms import Crew
from takeoff.programme.activities import WORK_NAMES
from takeoff.ui.panels.form_fields import Form, buttons, small_button
from takeoff.ui.panels.page_parts import empty, label, stacked


class CrewFields(QWidget):
    """``added`` tells name, people as typed and works of a new crew; ``taken_out`` the number of one."""

    added = Signal(str, str, list)
    taken_out = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.rows = QWidget()
        self._rows = stacked(self.rows, spacing=2)
        self.name = _line(tr("Name of the crew"), "")
        self.people = _line(tr("How many people it has"), "1")
        self.works = {item: QCheckBox() for item in WORK_ITEMS}
        self.add = small_button(tr("Add crew"), tr("Add these people, who alone do what is ticked"))
        self.add.clicked.connect(self._add)
        form = Form()
        form.pair((tr("Name"), self.name), (tr("People"), self.people))
        ticks = QWidget()
        below = stacked(ticks, spacing=2)
        for item, box in self.works.items():
            below.addWidget(_ticked(box, tr(WORK_NAMES[item])))
        down = stacked(self, spacing=4)
        down.addWidget(self.rows)
        down.addLayout(form)
        down.addWidget(ticks)
        down.addWidget(buttons(self.add))

    def _add(self) -> None:
        works = [item for item, box in self.works.items() if box.isChecked()]
        self.added.emit(self.name.text().strip(), self.people.text().strip(), works)

    def clear(self) -> None:
        """Empty the form: what was typed is in the job."""
        self.name.clear()
        self.people.setText("1")
        for box in self.works.values():
            box.setChecked(False)

    def show_crews(self, crews: Sequence[Crew]) -> None:
        """The crews of the job, each with a button that takes it out."""
        empty(self._rows)
        for number, crew in enumerate(crews):
            self._rows.addWidget(self._row(number, crew))
        self.rows.setVisible(bool(crews))

    def _row(self, number: int, crew: Crew) -> QWidget:
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(label(crew_words(crew), "dims", wrap=True), 1)
        out = small_button(tr("Remove"), tr("Remove: {item}", item=crew.name))
        out.clicked.connect(lambda: self.taken_out.emit(number))
        across.addWidget(out)
        return row


def crew_words(crew: Crew) -> str:
    """ "Sanders, 2 people: Sand and Finish edges and seal"."""
    works: list[WorkItem] = [item for item in WORK_ITEMS if item in crew.works]
    people = tr_count("{count} person", "{count} people", crew.people)
    return tr(
        "{crew}, {people}: {work}", crew=crew.name, people=people, work=listed([tr(WORK_NAMES[w]) for w in works])
    )


class _Words(QLabel):
    """What a box is ticked for, over as many lines as it takes; a click on it ticks the box."""

    def __init__(self, box: QCheckBox, words: str) -> None:
        super().__init__(words)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self._box = box

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """As a click on the box."""
        super().mouseReleaseEvent(event)
        if event.button() == Qt.MouseButton.LeftButton:
            self._box.click()


def _ticked(box: QCheckBox, words: str) -> QWidget:
    box.setAccessibleName(words)
    row = QWidget()
    across = QHBoxLayout(row)
    across.setContentsMargins(0, 0, 0, 0)
    across.addWidget(box)
    across.addWidget(_Words(box, words), 1)
    return row


def _line(name: str, text: str) -> QLineEdit:
    line = QLineEdit(text)
    line.setAccessibleName(name)
    line.setToolTip(name)
    return line
