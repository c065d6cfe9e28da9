"""Right: treatments of the plan side by side, and the one that is taken."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from takeoff.language import tr
from takeoff.sheets.sheet_values import Table
from takeoff.ui.panels.form_fields import Form, TextField, buttons, small_button
from takeoff.ui.panels.page_parts import label, scrolled, set_text
from takeoff.ui.panels.shown_table import ShownTable

MOST_SHOWN = 4


class OptionsPage(QWidget):
    """``added`` tells an option as it is typed; ``kept`` the name for the coat as it is; ``take`` and ``remove`` an
    option's number, from 1 on."""

    added = Signal(str)
    kept = Signal(str)
    take = Signal(str)
    remove = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.typed = TextField("option", tr("An option, such as outside 600 or walls"), placeholder="outside 600")
        self.typed.typed.connect(lambda _key, text: self.added.emit(text))
        self.name = TextField("keep", tr("A name for the coat as it is"), placeholder=tr("Plan A"))
        self.name.typed.connect(lambda _key, text: self.kept.emit(text))
        self.instead = label("", "grey", wrap=True)
        self.table = ShownTable()
        down = scrolled(self)
        down.addWidget(label(tr("Options"), "title"))
        down.addWidget(
            label(tr("Up to four treatments side by side; the one that you take becomes the job."), "grey", wrap=True)
        )
        self.usual = {
            "outside 600": small_button(tr("Outside walls"), tr("Add outside walls with returns of 600 mm")),
            "walls": small_button(tr("All walls"), tr("Add all walls, without ceilings")),
            "walls and ceilings": small_button(tr("Walls and ceilings"), tr("Add all walls and all ceilings")),
        }
        for text, button in self.usual.items():
            button.clicked.connect(lambda _=False, text=text: self.added.emit(text))
        down.addWidget(buttons(*self.usual.values()))
        form = Form()
        form.pair((tr("Another"), self.typed))
        form.pair((tr("Keep this coat as"), self.name))
        down.addLayout(form)
        down.addWidget(self.instead)
        down.addWidget(self.table)
        self.takes: list[QPushButton] = []
        self.removes: list[QPushButton] = []
        self.lines: list[QWidget] = []
        for number in range(1, MOST_SHOWN + 1):
            self._line(number)
        for line in self.lines:
            down.addWidget(line)
        down.addStretch(1)

    def _line(self, number: int) -> None:
        take = small_button(tr("Take this one"), tr("Coat the job by this option; everything else stays"))
        remove = small_button(tr("Remove"), tr("Remove this option"))
        take.clicked.connect(lambda: self.take.emit(str(number)))
        remove.clicked.connect(lambda: self.remove.emit(str(number)))
        self.takes.append(take)
        self.removes.append(remove)
        self.lines.append(buttons(take, remove))

    def show_options(self, names: Sequence[str], chosen: Sequence[bool], table: Table | None, instead: str) -> None:
        """The options of the job, with what they come to where it is known; else why it is not."""
        set_text(self.instead, instead)
        self.instead.setVisible(bool(instead))
        self.table.setVisible(table is not None)
        if table is not None:
            self.table.show_table(table)
        for number, line in enumerate(self.lines):
            line.setVisible(number < len(names))
            if number < len(names):
                self.takes[number].setText(tr("Take {name}", name=names[number]))
                self.takes[number].setEnabled(not chosen[number])
        self.typed.show_text("")
        self.name.show_text("")
