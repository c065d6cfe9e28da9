"""What says all the time how the job stands. Left: its steps, each with what it says now; top: its name, revision and
storey, whether it is saved, find, sheets; foot: the running totals.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from takeoff.language import tr, tr_count
from takeoff.ui.document import Document
from takeoff.ui.panels.page_parts import Elided, label, restyle, set_text, stacked
from takeoff.views.job_steps import Step, running_totals, steps
from takeoff.views.naming import storey_name
from takeoff.views.table_lines import order_sentence

WIDTH_PX, LEFT_PX = 176, 6


class StepButton(QPushButton):
    """A step: its title, and under it what it says."""

    def __init__(self, step: Step) -> None:
        super().__init__()
        self.step_id = step.id
        self.setProperty("part", "step")
        self.setCheckable(True)
        self._title, self._says = label(step.title, "name"), label(step.says, "grey", wrap=True)
        self._down = layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 6, 8, 6)
        layout.setSpacing(1)
        layout.addWidget(self._title)
        layout.addWidget(self._says)
        self.show_step(step)

    def show_step(self, step: Step) -> None:
        """Say what the step says now."""
        set_text(self._says, step.says)
        restyle(self._says, "urgent" if step.urgent else "grey")
        self.setAccessibleName(f"{step.title}: {step.says}")
        self._make_room()

    def _make_room(self) -> None:
        """As high as its words are where they take more than a line."""
        self.setMinimumHeight(self._down.totalHeightForWidth(WIDTH_PX - LEFT_PX))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Its letters have their size only now."""
        super().showEvent(event)
        self._make_room()

    def set_chosen(self, chosen: bool) -> None:
        """The title of the chosen step is strong."""
        restyle(self._title, "heading" if chosen else "name")
        self._make_room()


class StepsPanel(QWidget):
    """All steps. ``chosen`` carries the id of the step that was clicked."""

    chosen = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "steps")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedWidth(WIDTH_PX)
        self._group = QButtonGroup(self)
        self._group.buttonToggled.connect(self._toggled)
        self._buttons: dict[str, StepButton] = {}
        self._layout = stacked(self, (LEFT_PX, 12, 0, 12), 4)
        self._layout.addStretch(1)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what every step says now."""
        document = self._document
        for step in steps(document.state, document.considered, document.findings, source_of(document)):
            button = self._buttons.get(step.id)
            if button is None:
                button = self._buttons[step.id] = StepButton(step)
                self._group.addButton(button)
                button.clicked.connect(self._clicked)
                self._layout.insertWidget(self._layout.count() - 1, button)
            else:
                button.show_step(step)

    def show_step(self, step_id: str) -> None:
        """Mark a step as the chosen one without telling anybody."""
        button = self._buttons.get(step_id)
        if button is not None:
            button.setChecked(True)

    def button(self, step_id: str) -> StepButton:
        """The button of a step."""
        return self._buttons[step_id]

    def _clicked(self) -> None:
        button = self._group.checkedButton()
        if isinstance(button, StepButton):
            self.chosen.emit(button.step_id)

    def _toggled(self, button: QAbstractButton, checked: bool) -> None:
        if isinstance(button, StepButton):
            button.set_chosen(checked)


def source_of(document: Document) -> str:
    """What a job was measured from: the drawing's number and revision, or its name."""
    drawings = document.job.drawings
    if not drawings:
        return tr("typed") if document.job.storeys else ""
    if len(drawings) > 1:
        return tr_count("{count} drawing", "{count} drawings", len(drawings))
    name = drawings[0].number or drawings[0].name
    if not drawings[0].revision:
        return name
    return tr("{drawing} rev {revision}", drawing=name, revision=drawings[0].revision)


TOP_PX = 42
_ROOMY_PX = 720
"""A bar narrower than this leaves the revision out."""


class TopBar(QWidget):
    """``sheets`` says that the sheets are wanted; the field belongs to ``finder.Finder``."""

    sheets = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "top")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedHeight(TOP_PX)
        self.job, self.revision, self.saved = Elided("job"), label("", "grey"), label("", "grey")
        self.storeys = QComboBox()
        self.storeys.setAccessibleName(tr("Storey"))
        self.storeys.setToolTip(tr("Storey shown on the plan"))
        self.storeys.activated.connect(self._storey_picked)
        self.field = QLineEdit()
        self.field.setPlaceholderText(tr("Find"))
        self.field.setAccessibleName(tr("Find a room, a figure or an action"))
        self.field.setMaximumWidth(190)
        self.field.setMinimumWidth(96)
        self.button = QPushButton(tr("Sheets"))
        self.button.setProperty("part", "main")
        self.button.clicked.connect(self.sheets)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(10, 0, 18, 0)
        layout.setSpacing(12)
        layout.addWidget(self.job, 1)
        for widget in (self.revision, self.storeys, self.saved, self.field, self.button):
            layout.addWidget(widget)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.storey_changed.connect(self._storey_shown)
        document.saved_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the job's name, its storeys and whether it is saved."""
        job = self._document.job
        self.job.say(job.name or tr("Unnamed job"))
        ref = self._document.ref
        revision = tr("Revision {revision}", revision=ref.revision) if ref is not None and ref.revision else ""
        single = storey_name(job.storeys[0]) if len(job.storeys) == 1 else ""
        set_text(self.revision, " · ".join(p for p in (revision, single) if p))
        names = [(storey_name(s), str(s.id)) for s in job.storeys]
        shown = [(self.storeys.itemText(k), self.storeys.itemData(k)) for k in range(self.storeys.count())]
        if names != shown:
            self.storeys.clear()
            for name, storey_id in names:
                self.storeys.addItem(name, storey_id)
        self.storeys.setVisible(len(names) > 1)
        storey = self._document.storey
        self._storey_shown(str(storey.id) if storey else "")
        self.button.setEnabled(any(s.rooms for s in job.storeys))
        set_text(self.saved, self._saved_words())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """In a narrow window the job's name has the room of its revision."""
        super().resizeEvent(event)
        self.revision.setVisible(self.width() >= _ROOMY_PX)

    def _saved_words(self) -> str:
        if not self._document.stack.isClean():
            return tr("Not saved")
        return tr("Saved") if self._document.path else ""

    def _storey_shown(self, storey_id: str) -> None:
        self.storeys.setCurrentIndex(self.storeys.findData(storey_id))

    def _storey_picked(self, index: int) -> None:
        self._document.show_storey(str(self.storeys.itemData(index)))


FOOT_PX, TALL_PX, _BETWEEN_PX = 18, 36, 26
"""Beside the totals, what two lines of a sentence take, and between two totals."""


class TotalsPanel(QWidget):
    """What there is to coat, bead, inner corners and packs, and what is on hold; at the right what the last edit
    changed. ``holds_asked``: the line of holds was clicked."""

    holds_asked = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "foot")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFixedHeight(TALL_PX + 2)
        self.figures: list[QLabel] = [label("", "total") for _ in range(4)]
        self.holds = QPushButton()
        self.holds.setProperty("part", "holds")
        self.holds.setToolTip(tr("Show what is on hold and clear it"))
        self.holds.setVisible(False)
        self.holds.clicked.connect(self.holds_asked)
        self.note = label("", "grey", wrap=True, right=True)
        # a long sentence takes what room there is and never widens the window
        self.note.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(FOOT_PX, 0, FOOT_PX, 0)
        layout.setSpacing(_BETWEEN_PX)
        for figure in self.figures:
            layout.addWidget(figure)
        layout.addWidget(self.holds)
        layout.addWidget(self.note, 1)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the totals as they are."""
        said = running_totals(self._document.state, self._document.considered)
        for number, figure in enumerate(self.figures):
            set_text(figure, said[number] if number < len(said) else "")
        self._fit()
        self.figures[-1].setToolTip(order_sentence(self._document.considered).replace(", ", "\n"))

    def show_holds(self, text: str) -> None:
        """The line of holds; none for ""."""
        self.holds.setText(text)
        self.holds.setAccessibleName(text)
        self.holds.setVisible(bool(text))

    def say(self, text: str) -> None:
        """A short word at the right: coordinates, what a tool wants next, why an edit was refused."""
        set_text(self.note, text)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another width has room for more or fewer totals."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Totals give way to a sentence that has no room beside them, the last first; the area stays."""
        room = self.width() - 2 * FOOT_PX - _BETWEEN_PX * len(self.figures)
        for count in range(len(self.figures), 0, -1):
            beside = room - sum(figure.sizeHint().width() for figure in self.figures[:count])
            if count == 1 or not self.note.text() or self._tall(beside) <= TALL_PX:
                for number, figure in enumerate(self.figures):
                    figure.setVisible(number < count)
                return

    def _tall(self, wide_px: int) -> int:
        return self.note.heightForWidth(wide_px) if wide_px > 0 else TALL_PX + 1
