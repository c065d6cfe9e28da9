"""The head of a room survey: what is said of the room as a whole."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.ui.panels.form_fields import ChoiceField, said
from takeoff.ui.panels.page_parts import label
from takeoff.ui.panels.site_grid import Cell
from takeoff.views.site_said import HINTS
from takeoff.views.site_sheet import Sheet, replace

_UNITS = (("m", mark("metres")), ("ft", mark("feet")))
_WAYS = (("clockwise", mark("clockwise")), ("anticlockwise", mark("anticlockwise")))


class SiteHead(QWidget):
    """Its name and height, what a bare number means and which way it was walked. ``picked``: one of the two last
    is another now."""

    picked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.name, self.middle = Cell("name", False), Cell("middle")
        self.cells = {cell.key: cell for cell in (self.name, self.middle)}
        self.unit = _Choice(tr("What a bare number means"), said(_UNITS))
        self.way = _Choice(tr("Which way the room was walked"), said(_WAYS))
        for cell, name in ((self.name, tr("Name of the room")), (self.middle, tr("Height of the room"))):
            cell.setAccessibleName(name)
            cell.setAccessibleDescription(tr(HINTS[cell.key]))
        self.middle.setFixedWidth(84)
        self.name.setMinimumWidth(120)
        row = QHBoxLayout(self)
        row.setContentsMargins(18, 4, 18, 4)
        row.setSpacing(8)
        for words, field, stretch in (
            (tr("Room"), self.name, 1),
            (tr("Height"), self.middle, 0),
            (tr("in"), self.unit, 0),
            (tr("walked"), self.way, 0),
        ):
            named = label(words, "name")
            named.setBuddy(field)
            row.addWidget(named)
            row.addWidget(field, stretch)
        row.addStretch(1)
        for choice in (self.unit, self.way):
            choice.setMinimumWidth(choice.widest_px)
            choice.picked.connect(self._picked)

    def show_sheet(self, sheet: Sheet) -> None:
        """Show what a sheet says of the room."""
        self.name.show_text(sheet.name)
        self.middle.show_text(sheet.middle)
        self.unit.show_key(sheet.unit)
        self.way.show_key("clockwise" if sheet.clockwise else "anticlockwise")

    def sheet(self, sheet: Sheet) -> Sheet:
        """The sheet with what is typed and picked here."""
        return replace(
            sheet,
            name=self.name.text().strip(),
            middle=self.middle.text().strip(),
            unit="ft" if self.unit.currentData() == "ft" else "m",
            clockwise=self.way.currentData() == "clockwise",
        )

    def _picked(self, key: str) -> None:
        del key
        self.picked.emit()


class _Choice(ChoiceField):
    """A choice whose letters are no shortcuts of the plan."""

    def event(self, event: QEvent) -> bool:
        """Typing a letter looks for the word."""
        override = event.type() == QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and event.text().isalpha():
            event.accept()
            return True
        return super().event(event)
