"""Right: a page of what comes after the order: fields in a form, buttons, and the tables of the sheets below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from takeoff.language import tr
from takeoff.sheets.sheet_values import Table
from takeoff.ui.panels.form_fields import ChoiceField, Form, buttons, small_button
from takeoff.ui.panels.page_parts import label, scrolled, set_text
from takeoff.ui.panels.shown_table import ShownTable, show_below


class WorkField(NamedTuple):
    """A field: its key, the word before it, its whole name. ``choices`` None: text is typed."""

    key: str
    word: str
    name: str
    choices: tuple[tuple[str, str], ...] | None = None
    hint: str = ""


class WorkButton(NamedTuple):
    """A button: its key, what is on it, what its tip says."""

    key: str
    word: str
    tip: str


class Group(NamedTuple):
    """Fields that belong together under a heading, "" for none, with the buttons that use them."""

    heading: str
    fields: tuple[WorkField, ...]
    buttons: tuple[WorkButton, ...]


class WorkPage(QWidget):
    """``wanted``: the key of a button that was pressed."""

    wanted = Signal(str)

    def __init__(self, title: str, groups: Sequence[Group]) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.typed: dict[str, QLineEdit] = {}
        self.chosen: dict[str, ChoiceField] = {}
        self.pushed: dict[str, QWidget] = {}
        self.blocks: list[ShownTable] = []
        self.said = label("", "grey", wrap=True)
        self._down = scrolled(self)
        self._down.addWidget(label(title, "title"))
        for group in groups:
            self._add(group)
        self._down.addWidget(self.said)
        self._down.addStretch(1)

    def _add(self, group: Group) -> None:
        if group.heading:
            self._down.addWidget(label(group.heading, "group"))
        form = Form()
        for field in group.fields:
            form.pair((field.word, self._field(field)))
        self._down.addLayout(form)
        made = []
        for one in group.buttons:
            button = small_button(one.word, one.tip)
            button.clicked.connect(lambda _=False, key=one.key: self.wanted.emit(key))
            self.pushed[one.key] = button
            made.append(button)
        if made:
            self._down.addWidget(buttons(*made))

    def _field(self, field: WorkField) -> QWidget:
        if field.choices is not None:
            self.chosen[field.key] = ChoiceField(field.name, field.choices)
            return self.chosen[field.key]
        line = self.typed[field.key] = QLineEdit()
        line.setAccessibleName(field.name)
        line.setToolTip(field.name)
        line.setPlaceholderText(field.hint)
        return line

    def text(self, key: str) -> str:
        """What is typed or chosen in a field; "" for nothing."""
        if key in self.chosen:
            return str(self.chosen[key].currentData() or "")
        return self.typed[key].text().strip()

    def offer(self, key: str, choices: Sequence[tuple[str, str]]) -> None:
        """These choices in a field from now on; what was chosen stays where it is still there. Of none nothing can be
        chosen, and the field says so."""
        before = self.text(key)
        self.chosen[key].setEnabled(bool(choices))
        choices = choices or [("", tr("none yet"))]
        self.chosen[key].offer(choices)
        keys = [one for one, _ in choices]
        self.chosen[key].show_key(before if before in keys else keys[0] if keys else None)

    def clear(self, *keys: str) -> None:
        """Empty these fields: what was typed is in the job."""
        for key in keys:
            self.typed[key].clear()

    def show_tables(self, tables: Sequence[Table], said: str = "") -> None:
        """What the job says now."""
        set_text(self.said, said)
        self.said.setVisible(bool(said))
        show_below(self._down, self.blocks, tables)
