"""The Drawing page: what was read, in which unit or at which scale it is, what it leaves open, its pages, and what its
layers are for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QIcon, QImage, QPixmap
from PySide6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QRadioButton,
    QSpinBox,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from takeoff.language import mark, tr, tr_count
from takeoff.language import number as shown_number
from takeoff.services.opened.layers import TO_CHOOSE, WORDS, LayerRow, WallQuestion
from takeoff.services.opened.opening import MOST_SHOWN, Thumbnail
from takeoff.ui.canvas.linework import LayerShow
from takeoff.ui.panels.drawing_picture import PictureSection
from takeoff.ui.panels.form_fields import ChoiceField, LengthField, said
from takeoff.ui.panels.page_parts import empty, fill, hair, label, restyle, scroll_frame, set_text, stacked
from takeoff.units.printing import shown
from takeoff.views.drawing_asks import Choice, Question


class ChoiceRow(QWidget):
    """A choice with what it would mean under it."""

    def __init__(self, choice: Choice, doubtful: bool) -> None:
        super().__init__()
        self.choice = choice
        taken = choice.taken and doubtful
        self.button = QRadioButton(tr("{choice}, assumed for now", choice=choice.words) if taken else choice.words)
        self.button.setChecked(choice.taken)
        self.button.setAccessibleName(f"{choice.words}: {choice.means}")
        self.means = label(choice.means, "grey", wrap=True)
        self.means.setContentsMargins(22, 0, 0, 0)
        self.means.setBuddy(self.button)
        down = stacked(self, (0, 2, 0, 4), 0)
        down.addWidget(self.button)
        down.addWidget(self.means)


class QuestionSection(QWidget):
    """Asks openly where the drawing does not settle it; else one line says what was taken, to be changed."""

    answered = Signal(str)
    """The key of the chosen unit or scale, or a scale as it was typed."""
    pick = Signal()
    """Two ends of a known length are wanted."""
    length_typed = Signal(object)
    """The known length between the ends that were picked, mm."""
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._question: Question | None = None
        self._opened = False
        self.title, self.note = label("", "heading", wrap=True), label("", "grey", wrap=True)
        self.change = QPushButton(tr("Change…"))
        self.change.clicked.connect(self._open)
        self.rows: list[ChoiceRow] = []
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(self._clicked)
        self._choices = QVBoxLayout()
        self._choices.setSpacing(0)
        self.keep = QPushButton("")
        self.keep.clicked.connect(self._keep)
        self.own = QLineEdit()
        self.own.setPlaceholderText(tr("another, such as 1:25"))
        self.own.setAccessibleName(tr("Another scale"))
        self.own.returnPressed.connect(self._typed)
        self.pick_button = QPushButton(tr("Pick its two ends"))
        self.pick_button.setToolTip(tr("Click both ends of a known length on the plan, then type it"))
        self.pick_button.clicked.connect(self.pick)
        self.length = LengthField(tr("Known length"))
        self.length.typed.connect(self.length_typed)
        self.length.refused.connect(self.refused)
        self._build()

    def _build(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.change)
        self.known = QWidget()
        known = QHBoxLayout()
        known.addWidget(self.pick_button, 1)
        known.addWidget(self.length)
        below = QVBoxLayout(self.known)
        below.setContentsMargins(0, 6, 0, 0)
        self.known_words = label("", "name", wrap=True)
        below.addWidget(self.known_words)
        below.addLayout(known)
        down = stacked(self, spacing=4)
        fill(down, head, self.note, self._choices, self.own, self.keep, self.known)

    def show_question(self, question: Question | None) -> None:
        """Show a question; None hides all of it."""
        self.setVisible(question is not None)
        if question is None or question == self._question:
            self._question = question
            return
        self._question, self._opened = question, False
        for button in self._group.buttons():
            self._group.removeButton(button)
        empty(self._choices)
        self.rows = [ChoiceRow(choice, question.doubtful) for choice in question.choices]
        for number, row in enumerate(self.rows):
            self._group.addButton(row.button, number)
            self._choices.addWidget(row)
        self.setToolTip(question.why)
        self.show_picked(None)
        self._arrange()

    def show_picked(self, drawn_mm: float | None) -> None:
        """Two ends were picked, or none are: the length waits to be typed."""
        self.length.setEnabled(drawn_mm is not None)
        self.length.show_mm(None)
        if drawn_mm is None:
            set_text(self.known_words, tr("Or give one known length, such as a written dimension:"))
            return
        read = shown(drawn_mm / 1000.0)
        set_text(self.known_words, tr("Read as {length} m now. Type its true length and press Enter:", length=read))
        self.length.setFocus()

    def _open(self) -> None:
        self._opened = True
        self._arrange()

    def _arrange(self) -> None:
        question = self._question
        if question is None:
            return
        scale, wide = question.kind == "scale", question.doubtful or self._opened
        taken = question.taken
        settled = tr("Drawn at {scale}", scale=taken) if scale else tr("Drawn in {unit}", unit=taken)
        set_text(self.title, question.title if wide else settled)
        self.change.setVisible(not wide)
        set_text(self.note, tr("The drawing leaves this open. Which of these is right?") if question.doubtful else "")
        self.note.setVisible(question.doubtful)
        self.keep.setText(tr("It is right at {scale}", scale=taken) if scale else tr("It is in {unit}", unit=taken))
        self.keep.setVisible(question.doubtful)
        for row in self.rows:
            row.setVisible(wide)
        self.own.setVisible(wide and scale)
        self.known.setVisible(wide)

    def _clicked(self, number: int) -> None:
        if not self.rows[number].choice.taken:
            self.answered.emit(self.rows[number].choice.key)

    def _keep(self) -> None:
        taken = next((row.choice for row in self.rows if row.choice.taken), None)
        if taken is not None:
            self.answered.emit(taken.key)

    def _typed(self) -> None:
        if self.own.text().strip():
            self.answered.emit(self.own.text().strip())


_SHOW_PX = 120
_GUESSED = mark("These uses are guesses: change one, and the rooms are proposed again.")
_MODEL = mark("The model states what its parts are.")
_SHOWS: tuple[tuple[str, str], ...] = (("on", mark("shown")), ("dimmed", mark("dimmed")), ("off", mark("hidden")))


class WallsSection(QWidget):
    """One question for each line type or colour, until it is answered."""

    answered = Signal(object, str)
    """(layers, "demolished" or "wall")"""
    shown_at = Signal(object)
    """A place to look at: (x, y) in plan mm."""

    def __init__(self) -> None:
        super().__init__()
        self._down = stacked(self)
        self.buttons: dict[str, tuple[QPushButton, QPushButton, QPushButton]] = {}

    def show_questions(self, questions: Sequence[WallQuestion]) -> None:
        """Ask these; none hides all of it."""
        empty(self._down)
        self.buttons.clear()
        self.setVisible(bool(questions))
        if questions:
            self._down.addWidget(label(tr("Which walls stand?"), "heading"))
        for asked in questions:
            self._down.addWidget(label(asked.text, "name", wrap=True))
            self._down.addWidget(label(asked.taken, "grey", wrap=True))
            down, stand, look = (
                QPushButton(tr("They come down")),
                QPushButton(tr("They stand")),
                QPushButton(tr("Show")),
            )
            down.setToolTip(tr("These walls bound no room"))
            stand.setToolTip(tr("These walls bound rooms like all others"))
            look.setToolTip(tr("Show the first of them on the plan"))
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
        self._down = stacked(self, spacing=2)
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
        self._down.addWidget(label(tr("Layers"), "heading"))
        about = _GUESSED if sortable else _MODEL
        self._down.addWidget(label(tr(about), "grey", wrap=True))
        if remembered:
            self.forget = QPushButton(tr("Forget earlier settings"))
            self.forget.setToolTip(tr("Guess again what the layers are for, and remember nothing for this office"))
            self.forget.clicked.connect(self.anew)
            self._down.addWidget(self.forget)
        for row in rows:
            self._add(row, numbers[row.name], shows.get(numbers[row.name], "on"), sortable)

    def _add(self, row: LayerRow, number: int, show: LayerShow, sortable: bool) -> None:
        choices = [(role, tr(WORDS[role])) for role in TO_CHOOSE]
        if row.role not in TO_CHOOSE:
            choices.insert(0, (row.role, tr(WORDS[row.role])))
        role = ChoiceField(tr("What the layer {layer} is for", layer=row.name), choices)
        role.show_key(row.role)
        role.picked.connect(partial(self.role_chosen.emit, row.name))
        shown = ChoiceField(tr("How the layer {layer} is shown", layer=row.name), said(_SHOWS))
        shown.show_key(show)
        shown.setFixedWidth(_SHOW_PX)
        shown.picked.connect(partial(self.show_changed.emit, number))
        name = label(row.name, "figure", wrap=True)
        name.setToolTip(tr_count("{count} thing is drawn on it", "{count} things are drawn on it", row.things))
        words = tr("do its walls stand?") if row.asks else row.why
        why = label(words, "urgent" if row.asks else "grey", wrap=True)
        head = QHBoxLayout()
        head.setSpacing(4)
        head.addWidget(name, 1)
        head.addWidget(shown)
        block = QWidget()
        down = stacked(block, (0, 4, 0, 0), 2)
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


_WIDE_PX, _TALL_PX = 118, 118
_ACROSS = 2


class PagesSection(QWidget):
    """Shown for a PDF of several pages only."""

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.title, self.note = label("", "heading"), label("", "grey", wrap=True)
        self.buttons: dict[int, QToolButton] = {}
        self._grid = QGridLayout()
        self._grid.setSpacing(6)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        fill(down, self.title, self.note, self._grid)
        self.number = QSpinBox()
        self.number.setPrefix(tr("Page") + " ")
        self.number.setAccessibleName(tr("Another page by its number"))
        self.number.setToolTip(tr("Type the number of another page and press Enter"))
        self.number.setKeyboardTracking(False)
        self.number.lineEdit().returnPressed.connect(self._typed)
        down.addWidget(self.number)
        self.hide()

    def show_pages(self, page: int, pages: int) -> None:
        """Say which page is read; the small pictures come a little later."""
        self.setVisible(pages > 1)
        self.number.setRange(1, max(1, pages))
        self.number.setValue(page)
        self.number.setVisible(pages > MOST_SHOWN)
        set_text(self.title, tr("Page {page} of {pages}", page=page, pages=pages))
        set_text(self.note, tr("Click another page to read it."))
        self.buttons.clear()
        empty(self._grid)

    def show_thumbnails(self, shown: Sequence[Thumbnail], page: int) -> None:
        """Show the pages; the one that is read is marked."""
        self.buttons.clear()
        empty(self._grid)
        for number, thumb in enumerate(shown):
            button = self._button(thumb, thumb.page == page)
            self.buttons[thumb.page] = button
            self._grid.addWidget(button, number // _ACROSS, number % _ACROSS)

    def _button(self, thumb: Thumbnail, read: bool) -> QToolButton:
        image = QImage(thumb.rgb, thumb.width_px, thumb.height_px, 3 * thumb.width_px, QImage.Format.Format_RGB888)
        button = QToolButton()
        button.setProperty("part", "page-button")
        button.setIcon(QIcon(QPixmap.fromImage(image)))
        button.setIconSize(QSize(_WIDE_PX - 8, _TALL_PX - 30))
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        lines = tr_count("{number} line", "{number} lines", thumb.lines, number=shown_number(thumb.lines))
        words = lines if thumb.lines else tr("no lines")
        tip = tr("Page {page}: {what}", page=thumb.page, what=words)
        button.setText(tr("{page} (this one)", page=thumb.page) if read else f"{thumb.page}")
        button.setToolTip(tip)
        button.setAccessibleName(tr("{page}, read now", page=tip) if read else tip)
        button.setFixedSize(_WIDE_PX, _TALL_PX)
        button.setCheckable(True)
        button.setChecked(read)
        button.setProperty("page", thumb.page)
        button.clicked.connect(self._clicked)
        return button

    def _typed(self) -> None:
        self.chosen.emit(self.number.value())

    def _clicked(self) -> None:
        button = self.sender()
        page = button.property("page") if button is not None else None
        if isinstance(page, int):
            self.chosen.emit(page)


class DrawingPage(QWidget):
    """Sections one under the other, those that ask first. Who fills them connects their signals."""

    undo = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.about = label("", "grey", wrap=True)
        self.notice, self.undo_button = label("", "urgent", wrap=True), QPushButton(tr("Undo that"))
        self.undo_button.clicked.connect(self.undo)
        self.question, self.pages, self.picture = QuestionSection(), PagesSection(), PictureSection()
        self.walls, self.layers = WallsSection(), LayersSection()
        self.area, down = scroll_frame((0, 0, 6, 12), 12, takes_keys=True)
        fill(down, self.notice, self.undo_button, self.question, self.pages, self.picture, self.walls, self.layers)
        down.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 4, 0)
        layout.addWidget(label(tr("Drawing"), "title"))
        layout.addWidget(self.about)
        layout.addWidget(self.area, 1)
        self.say("")

    @property
    def boxes(self) -> dict[int, ChoiceField]:
        """How each layer is shown, by its number in the drawing."""
        return self.layers.shows

    def say(self, sentence: str, can_undo: bool = False) -> None:
        """A sentence above everything: what was lost, and can be undone, or what was remembered; "" for
        nothing."""
        set_text(self.notice, sentence)
        restyle(self.notice, "urgent" if can_undo else "name")
        self.notice.setVisible(bool(sentence))
        self.undo_button.setVisible(bool(sentence) and can_undo)
