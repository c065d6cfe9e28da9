"""What each layer is for, as guessed, remembered or said; and walls of which nobody can tell whether they
stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.services.layers import TO_CHOOSE, WORDS, LayerRow, WallQuestion
from takeoff.ui.canvas.linework import LayerShow
from takeoff.ui.panels.fields import ChoiceField
from takeoff.ui.panels.words import empty, hair, label

_SHOW_PX = 120
_GUESSED = "What each is for is a guess: say otherwise, and the rooms are proposed again."
_MODEL = "The model itself says what its parts are."
_SHOWS: tuple[tuple[str, str], ...] = (("on", "shown"), ("dimmed", "dimmed"), ("off", "hidden"))


class WallsSection(QWidget):
    """One question for each line type or colour, until it is answered."""

    answered = Signal(object, str)
    """(layers, "demolished" or "wall")"""
    shown_at = Signal(object)
    """A place to look at: (x, y) in plan mm."""

    def __init__(self) -> None:
        super().__init__()
        self._down = QVBoxLayout(self)
        self._down.setContentsMargins(0, 0, 0, 0)
        self._down.setSpacing(6)
        self.buttons: dict[str, tuple[QPushButton, QPushButton, QPushButton]] = {}

    def show_questions(self, questions: Sequence[WallQuestion]) -> None:
        """Ask these; none hides all of it."""
        empty(self._down)
        self.buttons.clear()
        self.setVisible(bool(questions))
        if questions:
            self._down.addWidget(label("Which walls stand?", "heading"))
        for asked in questions:
            self._down.addWidget(label(asked.text, "name", wrap=True))
            self._down.addWidget(label(asked.taken, "grey", wrap=True))
            down, stand, look = QPushButton("They come down"), QPushButton("They stand"), QPushButton("Show")
            down.setToolTip("These walls bound no room")
            stand.setToolTip("These walls bound rooms like all others")
            look.setToolTip("Look at the first of them on the plan")
            down.clicked.connect(partial(self.answered.emit, asked.layers, "demolished"))
            stand.clicked.connect(partial(self.answered.emit, asked.layers, "wall"))
            look.clicked.connect(partial(self.shown_at.emit, (asked.x_mm, asked.y_mm)))
            row = QHBoxLayout()
            row.addWidget(down)
            row.addWidget(stand)
            held = QWidget()
            held.setLayout(row)
            row.setContentsMargins(0, 0, 0, 0)
            self._down.addWidget(held)
            self._down.addWidget(look)
            self.buttons[asked.way] = (down, stand, look)


class LayersSection(QWidget):
    """A block for each layer: its name, how it is shown, what it is for, and why."""

    role_chosen = Signal(str, str)
    show_changed = Signal(int, str)
    anew = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._down = QVBoxLayout(self)
        self._down.setContentsMargins(0, 0, 0, 0)
        self._down.setSpacing(2)
        self._shown: tuple[tuple[LayerRow, ...], bool, bool] = ((), False, True)
        self.forget: QPushButton | None = None
        self.roles: dict[str, ChoiceField] = {}
        self.shows: dict[int, ChoiceField] = {}

    def show_rows(
        self,
        rows: Sequence[LayerRow],
        numbers: Mapping[str, int],
        shows: Mapping[int, LayerShow],
        remembered: bool,
        sortable: bool = True,
    ) -> None:
        """List the layers. ``numbers``: a layer's index in the drawing; ``remembered``: some roles are
        those of an earlier drawing; not ``sortable``: a model says itself what its parts are."""
        shown = (tuple(rows), remembered, sortable)
        if shown == self._shown and self.shows:
            return
        self._shown = shown
        empty(self._down)
        self.roles.clear()
        self.shows.clear()
        self.forget = None
        self.setVisible(bool(rows))
        self._down.addWidget(label("Layers", "heading"))
        about = _GUESSED if sortable else _MODEL
        self._down.addWidget(label(about, "grey", wrap=True))
        if remembered:
            self.forget = QPushButton("Forget what was said before")
            self.forget.setToolTip("Guess anew what the layers are for, and remember nothing for this office")
            self.forget.clicked.connect(self.anew)
            self._down.addWidget(self.forget)
        for row in rows:
            self._add(row, numbers[row.name], shows.get(numbers[row.name], "on"), sortable)

    def _add(self, row: LayerRow, number: int, show: LayerShow, sortable: bool) -> None:
        choices = [(role, WORDS[role]) for role in TO_CHOOSE]
        if row.role not in TO_CHOOSE:
            choices.insert(0, (row.role, WORDS[row.role]))
        role = ChoiceField(f"What the layer {row.name} is for", choices)
        role.show_key(row.role)
        role.picked.connect(partial(self.role_chosen.emit, row.name))
        shown = ChoiceField(f"How the layer {row.name} is shown", _SHOWS)
        shown.show_key(show)
        shown.setFixedWidth(_SHOW_PX)
        shown.picked.connect(partial(self.show_changed.emit, number))
        name = label(row.name, "figure", wrap=True)
        name.setToolTip(f"{row.things} things are drawn on it")
        words = "do its walls stand?" if row.asks else row.why
        why = label(words, "urgent" if row.asks else "grey", wrap=True)
        head = QHBoxLayout()
        head.setSpacing(4)
        head.addWidget(name, 1)
        head.addWidget(shown)
        block = QWidget()
        down = QVBoxLayout(block)
        down.setContentsMargins(0, 4, 0, 0)
        down.setSpacing(2)
        down.addLayout(head)
        if sortable:
            down.addWidget(role)
        if sortable and words:
            down.addWidget(why)
        down.addWidget(hair())
        self._down.addWidget(block)
        self.shows[number] = shown
        if sortable:
            self.roles[row.name] = role
