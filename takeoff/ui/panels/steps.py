"""Left: the job's own steps, each with what it says now."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QPushButton, QVBoxLayout, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.page_parts import label, restyle, set_text, stacked
from takeoff.views.job_steps import Step, steps

WIDTH_PX = 176


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
        self.setMinimumHeight(self._down.sizeHint().height())

    def set_chosen(self, chosen: bool) -> None:
        """The title of the chosen step is strong."""
        restyle(self._title, "heading" if chosen else "name")


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
        self._layout = stacked(self, (6, 12, 0, 12), 4)
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
        return "typed" if document.job.storeys else ""
    if len(drawings) > 1:
        return f"{len(drawings)} drawings"
    revision = f" rev {drawings[0].revision}" if drawings[0].revision else ""
    return (drawings[0].number or drawings[0].name) + revision
