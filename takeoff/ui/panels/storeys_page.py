"""Right: the storeys of the job, the highest at the top, and what is set of the one that is shown."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QGridLayout, QListWidget, QListWidgetItem, QWidget

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.model import Job, Storey
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import ActionButton, Form, LengthField, TextField
from takeoff.ui.panels.page_parts import label, stacked
from takeoff.units.lengths import STOREY_HEIGHT
from takeoff.views.storey_heights import storey_lines

MOST_TIMES = 999

_SHORT = 5
"""So many buttons have a short word."""


class StoreysPage(QWidget):
    """Follows the document; ``actions``: what is done with storeys, as buttons under the list."""

    picked = Signal(str)
    """The id of the storey that is to be shown."""

    def __init__(self, document: Document, actions: tuple[tuple[QAction, str], ...]) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "page")
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Storeys, the highest first"))
        self.list.setToolTip(tr("Click a storey to show it"))
        self.list.currentItemChanged.connect(self._chosen)
        self.name = TextField("name", tr("Name"), tr("What the storey is called"))
        self.level = LengthField(tr("Finished floor level above datum"))
        self.high = LengthField(tr("Height of its rooms"), size=STOREY_HEIGHT)
        self.times = TextField(
            "times",
            tr("How often it is repeated"),
            tr("How often this storey is repeated: all its figures count as often"),
        )
        self.times.narrow()
        self.name.typed.connect(self._rename)
        self.level.typed.connect(self._set_level)
        self.high.typed.connect(self._set_height)
        for field in (self.level, self.high):
            field.refused.connect(document.refused)
        self.times.typed.connect(self._set_times)
        self._build(actions)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.storey_changed.connect(self._storey_shown)
        self.refresh()

    def _build(self, actions: tuple[tuple[QAction, str], ...]) -> None:
        down = stacked(self, (14, 16, 10, 12))
        down.addWidget(label(tr("Storeys"), "title"))
        down.addWidget(self.list, 1)
        grid = QGridLayout()
        grid.setSpacing(6)
        for number, (action, word) in enumerate(actions):
            # three short words to a row; those that are longer stand below, in rows of their own
            row, column = divmod(number, 3) if number < _SHORT else (2 + number - _SHORT, 0)
            grid.addWidget(ActionButton(action, word), row, column, 1, 1 if number < _SHORT else 3)
        down.addLayout(grid)
        form = Form()
        form.pair((tr("Name"), self.name))
        form.pair((tr("Level"), self.level), (tr("Height"), self.high))
        form.pair((tr("Repeated ×"), self.times), ("", label("", "grey")))
        down.addSpacing(4)
        down.addLayout(form)

    def refresh(self) -> None:
        """Show the storeys as they are."""
        lines, shown = storey_lines(self._document.job), self._document.storey
        self.list.blockSignals(True)
        while self.list.count() > len(lines):
            self.list.takeItem(self.list.count() - 1)
        for number, line in enumerate(lines):
            item = self.list.item(number) or QListWidgetItem(self.list)
            item.setText(f"{line.name}\n{line.says}")
            item.setData(Qt.ItemDataRole.UserRole, line.id)
        self.list.blockSignals(False)
        self._storey_shown(str(shown.id) if shown else "")

    def _storey_shown(self, storey_id: str) -> None:
        for number in range(self.list.count()):
            item = self.list.item(number)
            if item.data(Qt.ItemDataRole.UserRole) == storey_id:
                self.list.blockSignals(True)
                self.list.setCurrentItem(item, QItemSelectionModel.SelectionFlag.ClearAndSelect)
                self.list.blockSignals(False)
        self._show_fields(self._document.storey)

    def _show_fields(self, storey: Storey | None) -> None:
        for field in (self.name, self.level, self.high, self.times):
            field.setEnabled(storey is not None)
        self.name.show_text(storey.name if storey else "")
        self.level.show_mm(storey.level_mm if storey else None)
        self.high.show_mm(storey.height_mm if storey else None)
        self.times.show_text(str(storey.times) if storey else "")

    # -- what the user does

    def _chosen(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.picked.emit(str(item.data(Qt.ItemDataRole.UserRole)))

    def _rename(self, key: str, text: str) -> None:
        del key
        self._apply(
            tr("Rename a storey"), lambda job, storey: edits.rename_storey(job, storey.id, " ".join(text.split()))
        )

    def _set_level(self, mm: object) -> None:
        if isinstance(mm, float):
            self._apply(tr("Set a storey's level"), lambda job, storey: edits.set_storey_level(job, storey.id, mm))

    def _set_height(self, mm: object) -> None:
        if isinstance(mm, float):
            self._apply(tr("Set a storey's height"), lambda job, storey: edits.set_storey_height(job, storey.id, mm))

    def _set_times(self, key: str, text: str) -> None:
        del key

        def built(job: Job, storey: Storey) -> Job:
            plain = text.strip()
            if not plain.isdecimal() or not 1 <= int(plain) <= MOST_TIMES:
                raise InputError(
                    tr("“{text}” is not a number of repeats: type 1 to {most}.", text=plain[:20], most=MOST_TIMES)
                )
            return edits.set_storey_times(job, storey.id, int(plain))

        self._apply(tr("Set how often a storey is repeated"), built)

    def _apply(self, name: str, edit: Callable[[Job, Storey], Job]) -> None:
        storey = self._document.storey
        if storey is not None and not self._document.apply(name, lambda job: edit(job, storey)):
            self.name.put_back()
            self.times.put_back()
            self.refresh()
