"""Fields of the pages: lengths, angles and texts typed as people write them, choices, buttons, rows of a form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import (
    QAction,
    QFocusEvent,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
    QVBoxLayout,
    QWidget,
)

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.language.regions import decimal_mark
from takeoff.ui.canvas.view import PlanView
from takeoff.ui.panels.page_parts import broken, label, set_text
from takeoff.ui.themes import SMALL_PX, TEXT_PX, Weight, font
from takeoff.ui.tools.entry import degrees
from takeoff.units.lengths import LENGTH, Size, size_mm
from takeoff.units.printing import dim3, shown_short

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
LENGTH_PX = 72
FORM_WIDE_PX, _WORD_PX = 271, 110
"""Width of a form in a page as it is at first, beside the bar that scrolls it, and of a word in one line of it."""

_UNIT_PX = 14
"""What the unit behind a length takes of its field."""

_MIXED = mark("mixed")
_NONE = mark("none")

Key = TypeVar("Key", bound=str)
Shown = TypeVar("Shown", bound=QWidget)


def said(choices: Iterable[tuple[Key, str]]) -> tuple[tuple[Key, str], ...]:
    """The choices of a table whose words are marked for the catalogue, in the user's language."""
    return tuple((key, tr(words)) for key, words in choices)


def length_text(mm: float | None) -> str:
    """ "0.55", "1.205": a length in m as a field shows it, two places at least; "" for none. The region's decimal
    mark, and never one for thousands: a field must read again what it shows."""
    if mm is None:
        return ""
    text = dim3(mm / 1000.0).replace(".", decimal_mark())
    return text[:-1] if text.endswith("0") else text


class TypedField(QLineEdit):
    """A line that is told when Enter is pressed or the field is left; Escape takes back what was typed, and the
    keys are the plan's again. A click into it marks all that stands there.

    Subclasses say what they show (``put_back``) and what becomes of a text (``take``). What is refused stays as it
    was typed, with the reason beside it, until it is typed over, taken back or another thing is shown.
    """

    refused = Signal(str)
    """Why what was typed cannot be taken."""
    done = Signal()
    """Enter was pressed, and what was typed is taken; or Escape, and it is put back."""

    def __init__(self, name: str, tip: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setToolTip(tip)
        self.refusal = ""
        """Why what stands in the field was not taken; "" where nothing was refused."""
        self._beside: QLabel | None = None
        self._fresh = False
        self.editingFinished.connect(self._finish)
        self.textEdited.connect(self._forgive)

    @property
    def is_typed_into(self) -> bool:
        """Whether something is just being typed, which nothing may write over."""
        return self.hasFocus() and self.isModified() and not self.refusal

    def put_back(self) -> None:
        """Show what the job has again."""
        raise NotImplementedError

    def take(self, text: str) -> None:
        """A text was typed. Raises InputError for one that cannot be taken: it is refused."""
        raise NotImplementedError

    def setText(self, text: str | None) -> None:  # noqa: N802 - Qt's name
        """Show a text: what was refused before is forgotten."""
        self._forgive()
        super().setText(text)

    def refuse(self, reason: str) -> None:
        """Say beside the field why it cannot be; "" for nothing."""
        self.refusal = reason
        if self.property("refused") != bool(reason):
            self.setProperty("refused", bool(reason))
            self.style().unpolish(self)
            self.style().polish(self)
        holder = self.parentWidget()
        if reason and self._beside is None and holder is not None:
            self._beside = label("", "refusal", wrap=True)
            self._beside.setParent(holder)
        if self._beside is None:
            return
        set_text(self._beside, reason)
        self._beside.setVisible(bool(reason))
        if reason and holder is not None:
            wide = min(_REFUSAL_PX, holder.width())
            self._beside.setFixedSize(wide, self._beside.heightForWidth(wide))
            below = self.geometry().bottom() + 3
            above = self.y() - 3 - self._beside.height()
            fits = below + self._beside.height() <= holder.height() or above < 0
            self._beside.move(max(0, min(self.x(), holder.width() - wide)), below if fits else above)
            self._beside.raise_()

    def _forgive(self, text: str = "") -> None:
        del text
        if self.refusal:
            self.refuse("")

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape takes back what was typed; the keys are the plan's again."""
        if event.key() == Qt.Key.Key_Escape and (self.isModified() or self.refusal):
            self._forgive()
            self.put_back()
            self.done.emit()
            to_plan(self)
            return
        super().keyPressEvent(event)
        if event.key() in (Qt.Key.Key_Escape, *ENTER):
            self.done.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """A click that brings the keys here marks everything."""
        self._fresh = event.reason() == Qt.FocusReason.MouseFocusReason
        super().focusInEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Mark everything at the first click, unless a part was marked with the mouse."""
        super().mouseReleaseEvent(event)
        if self._fresh and not self.hasSelectedText():
            self.selectAll()
        self._fresh = False

    def narrow(self) -> None:
        """As wide as a length, and figures at the right."""
        self.setProperty("part", "length")
        self.setFixedWidth(LENGTH_PX)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)

    def _finish(self) -> None:
        if not self.isModified() or self.refusal:
            return
        typed = self.text()
        _taking.append(self)
        try:
            self.take(typed)
        except InputError as error:
            self.refused.emit(str(error))
            self._keep(typed, str(error))
        finally:
            reason = _reasons.pop(_taking.pop(), "")
        if reason and not self.refusal:
            self._keep(typed, reason)

    def _keep(self, typed: str, reason: str) -> None:
        """What was typed stays, with the reason beside it."""
        self.setText(typed)
        self.setModified(True)
        self.refuse(reason)


_REFUSAL_PX = 232
"""Width of the words beside a field."""

_taking: list[TypedField] = []
_reasons: dict[TypedField, str] = {}


def refused_beside(reason: str) -> None:
    """An edit was refused: the field that has asked for it, if one has, says so beside what was typed."""
    if _taking:
        _reasons[_taking[-1]] = reason


def to_plan(widget: QWidget) -> None:
    """Give the keys to the plan of a widget's window, where it is on screen."""
    plan = widget.window().findChild(PlanView)
    if plan is not None and plan.isVisible():
        plan.setFocus()


class LengthField(TypedField):
    """A length: typed in m, mm or feet and inches. ``optional``: it may be emptied, which tells None.
    ``size``: what it can be; anything else is refused."""

    typed = Signal(object)
    """mm, or None for an emptied optional field."""

    def __init__(self, name: str, optional: bool = False, size: Size = LENGTH) -> None:
        super().__init__(
            name,
            tr(
                "{name}: metres, or with a unit, such as {example}, 900 mm or 2'11\"",
                name=name,
                example=shown_short(0.9),
            ),
        )
        self._optional, self._size = optional, size
        self._mm: float | None = None
        self._mixed = False
        self.narrow()
        self.textChanged.connect(self._make_room)
        if optional:
            self.setPlaceholderText(tr(_NONE))

    def _make_room(self) -> None:
        """The unit has its place where there is one."""
        self.setTextMargins(0, 0, _UNIT_PX if self.unit else 0, 0)

    @property
    def unit(self) -> str:
        """The unit that stands behind what is shown: "m", unless one was typed."""
        text = self.text()
        return "m" if text and not any(letter.isalpha() or letter in "'\"′″" for letter in text) else ""

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """The text, and its unit in grey behind it."""
        super().paintEvent(event)
        if self.unit:
            painter = QPainter(self)
            painter.setPen(self.palette().placeholderText().color())
            box = self.rect().adjusted(0, 0, -7, 0)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.unit)
            painter.end()

    @property
    def mm(self) -> float | None:
        """The length that stands in the field, mm; None for none."""
        return self._mm

    def show_mm(self, mm: float | None, mixed: bool = False) -> None:
        """Show a length; ``mixed``: what is chosen has several. Never over what is being typed."""
        if mixed != self._mixed:
            self._mixed = mixed
            self.setPlaceholderText(tr(_MIXED) if mixed else tr(_NONE) if self._optional else "")
        self._mm = None if mixed else mm
        if not self.is_typed_into:
            self.put_back()

    def show_all(self, lengths: Sequence[float | None]) -> None:
        """Show what several things have in common."""
        several = len({None if mm is None else round(mm, 3) for mm in lengths}) > 1
        self.show_mm(lengths[0] if lengths and not several else None, several)

    def put_back(self) -> None:
        """Show the length again."""
        text = length_text(self._mm)
        if self.text() != text:
            self.setText(text)
        self.setModified(False)

    def take(self, text: str) -> None:
        """Tell the length; an emptied field that must have one shows its own again."""
        mm = size_mm(text.strip(), self._size) if text.strip() else None
        if mm is not None or self._optional:
            self._mm, self._mixed = mm, False
        self.put_back()
        if mm is not None or self._optional:
            self.typed.emit(mm)


class Choice(QComboBox):
    """A box of words: what has no room ends in "…", and is whole in the tip and in the list."""

    def __init__(self, name: str, tip: str = "") -> None:
        super().__init__()
        self._tip = tip or name
        self.setAccessibleName(name)
        self.setToolTip(self._tip)
        self.setMinimumContentsLength(4)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)

    @property
    def widest_px(self) -> int:
        """What the field takes to show the longest of its choices whole."""
        letters = QFontMetrics(font(TEXT_PX))
        return _CHOICE_PX + max((letters.horizontalAdvance(self.itemText(at)) for at in range(self.count())), default=0)

    def showPopup(self) -> None:  # noqa: N802 - Qt's name
        """The list is as wide as its longest choice, also under a narrow field."""
        self.view().setMinimumWidth(max(self.width(), self.widest_px))
        super().showPopup()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """What is picked, ending in "…" where it has no room."""
        del event
        painter, option = QStylePainter(self), QStyleOptionComboBox()
        self.initStyleOption(option)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        if self.currentIndex() < 0 and self.placeholderText():
            option.palette.setBrush(option.palette.ColorRole.ButtonText, option.palette.placeholderText())
            option.currentText = self.placeholderText()
        box = self.style().subControlRect(
            QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, self
        )
        said = self.fontMetrics().elidedText(option.currentText, Qt.TextElideMode.ElideRight, box.width())
        self.setToolTip(self._tip if said == option.currentText else f"{self._tip}: {option.currentText}")
        option.currentText = said
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)


class ChoiceField(Choice):
    """One of a few words. ``picked`` tells the key, by the user's hand only."""

    picked = Signal(str)
    offered = Signal()
    """Other choices than before are offered."""

    def __init__(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__(name)
        for key, words in choices:
            self.addItem(words, key)
        self.activated.connect(self._tell)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """These choices from now on."""
        if [(self.itemData(at), self.itemText(at)) for at in range(self.count())] != list(choices):
            self.clear()
            for key, words in choices:
                self.addItem(words, key)
            self.offered.emit()

    def show_key(self, key: str | None) -> None:
        """Show a choice; None where what is chosen has several."""
        index = self.findData(key) if key is not None else -1
        self.setPlaceholderText("" if key is not None else tr(_MIXED))
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def wheelEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """The wheel scrolls the page and never changes a choice that it happens to pass over."""
        ignore = getattr(event, "ignore", None)
        if ignore is not None:
            ignore()

    def _tell(self, index: int) -> None:
        key = self.itemData(index)
        if isinstance(key, str):
            self.picked.emit(key)


class Form(QGridLayout):
    """Rows of words and fields, two pairs to a row where they are short; a field that has no room beside its word, in a
    language of longer ones, stands below it."""

    def __init__(self) -> None:
        super().__init__()
        self._rows: list[list[tuple[QLabel | None, QWidget]]] = []
        self._widest = 0
        self.setContentsMargins(0, 0, 0, 0)
        self.setHorizontalSpacing(6)
        self.setVerticalSpacing(5)
        self.setColumnStretch(1, 1)

    def pair(self, *parts: tuple[str, QWidget]) -> tuple[QLabel, ...]:
        """A row of one or two words with their fields; one field has the whole width. Two that have no room side by
        side, in a language of longer words, stand one below the other."""
        made: list[tuple[QLabel | None, QWidget]] = [(word_before(words, field), field) for words, field in parts]
        names = tuple(name for name, _ in made if name is not None)
        for field in (field for _, field in made if isinstance(field, ChoiceField)):
            field.offered.connect(self._lay)
        self._rows.append(made)
        self._widest = max(self._widest, _wide(names[0]))
        self._lay()
        return names

    def wide(self, widget: QWidget) -> None:
        """A row of one widget."""
        self._rows.append([(None, widget)])
        self._lay()

    def _wants(self, row: list[tuple[QLabel | None, QWidget]]) -> int:
        """The width that a row takes, px: the first words of all rows are as wide as the widest."""
        later = sum(_wide(name) for name, _ in row[1:] if name is not None)
        return self._widest + later + sum(_least(field) for _, field in row) + _GAP_PX * (2 * len(row) - 1)

    def _part(self) -> None:
        """Two pairs that have no room side by side stand one below the other."""
        at = 0
        while at < len(self._rows):
            row = self._rows[at]
            if len(row) > 1 and self._wants(row) > FORM_WIDE_PX:
                self._rows[at : at + 1] = [[pair] for pair in row]
                self._widest = max(self._widest, *(_wide(name) for name, _ in row if name is not None))
                at = 0  # a first word that is wider leaves less room in every row
            else:
                at += 1

    def _lay(self) -> None:
        """Every row in its place: a word more may leave less room beside all of them."""
        self._part()
        while self.takeAt(0) is not None:
            pass
        at = 0
        for row in self._rows:
            below = len(row) == 1 and self._wants(row) > FORM_WIDE_PX
            for number, (name, field) in enumerate(row):
                if name is None or below:
                    if name is not None:
                        _in_one_line(name)
                        self.addWidget(name, at, 0, 1, 4)
                        at += 1
                    self.addWidget(field, at, 0, 1, 4)
                    continue
                if isinstance(field, QLineEdit) and not field.minimumWidth():
                    field.setMinimumWidth(_least(field))
                    self.setColumnStretch(3, 1 if number else self.columnStretch(3))
                self.addWidget(name, at, 2 * number)
                self.addWidget(field, at, 2 * number + 1, 1, 3 if len(row) == 1 else 1)
            at += 1


_GAP_PX, _CHOICE_PX, _TEXT_LEAST_PX = 6, 38, 54
"""Between word and field; what a choice takes beside its words; the least of a field of text."""


def word_before(words: str, field: QWidget, most_px: int = _WORD_PX) -> QLabel:
    """The word before a field, broken into lines where it is long."""
    name = label(words, "name")
    # what the style sheet gives it, before it stands in a window
    name.setFont(font(SMALL_PX))
    if name.sizeHint().width() > most_px:
        name.setWordWrap(True)
        name.setFixedWidth(max(most_px, *(name.fontMetrics().horizontalAdvance(part) + 2 for part in words.split())))
    name.setBuddy(field)
    return name


def _in_one_line(name: QLabel) -> None:
    """A word over its field has the whole width."""
    name.setWordWrap(False)
    name.setMinimumWidth(0)
    name.setMaximumWidth(FORM_WIDE_PX)


def _wide(name: QLabel) -> int:
    return max(name.sizeHint().width(), name.minimumWidth()) if not name.wordWrap() else name.minimumWidth()


def _least(field: QWidget) -> int:
    """The width that a field takes at least, px, known before it stands in a window."""
    if isinstance(field, ChoiceField):
        return field.widest_px if field.count() else field.minimumSizeHint().width()
    if field.minimumWidth() or not isinstance(field, QLineEdit):
        return max(field.minimumSizeHint().width(), field.minimumWidth())
    asks = QFontMetrics(font(TEXT_PX)).horizontalAdvance(field.placeholderText())
    return max(_TEXT_LEAST_PX, asks + 30)


def in_lines(made: Sequence[Shown], wide_px: int, gap_px: int = 6) -> list[list[Shown]]:
    """Side by side as many as have room, the others in further lines."""
    lines: list[list[Shown]] = [[]]
    used = 0
    for widget in made:
        wants = button_px(widget) if isinstance(widget, QPushButton) else widget.sizeHint().width()
        if lines[-1] and used + gap_px + wants > wide_px:
            lines.append([])
            used = 0
        used += wants + (gap_px if lines[-1] else 0)
        lines[-1].append(widget)
    return lines


_PADDING_PX: dict[str, tuple[int, Weight, int]] = {
    "small": (SMALL_PX, "regular", 18),
    "chip": (SMALL_PX, "semibold", 14),
    "main": (TEXT_PX, "semibold", 30),
    "pass": (SMALL_PX, "regular", 8),
    "finding": (SMALL_PX, "regular", 2),
}
"""What the style sheet gives buttons by their part: letters, weight, and the width beside their words."""


def button_px(button: QPushButton, words: str | None = None) -> int:
    """The width that a button takes in one line, px, known before it stands in a window."""
    size, weight, beside = _PADDING_PX.get(str(button.property("part") or ""), (TEXT_PX, "regular", 30))
    letters = QFontMetrics(font(size, weight))
    return letters.horizontalAdvance(button.text() if words is None else words) + beside + 2


class Roomy(QPushButton):
    """A button that breaks its words into lines where it is narrower than they are."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self._words = words
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        longest = max(button_px(self, word) for word in self._words.split(" "))
        return QSize(longest, super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        return QSize(button_px(self, self._words), super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another width takes more lines or fewer."""
        super().resizeEvent(event)
        self._break()

    def setText(self, words: str) -> None:  # noqa: N802 - Qt's name
        """Say these words from now on."""
        if words != self._words:
            self._words = words
            self.updateGeometry()
            self._break()

    def _break(self) -> None:
        said = broken(self._words, self.width() - button_px(self, "") + 2, self.font())
        if said != self.text():
            super().setText(said)


def buttons(*made: QPushButton) -> QWidget:
    """Buttons side by side; those that have no room, in a language of longer words, in a line below."""
    held = QWidget()
    down = QVBoxLayout(held)
    down.setContentsMargins(0, 2, 0, 2)
    down.setSpacing(6)
    for line in in_lines(made, FORM_WIDE_PX):
        layout = QHBoxLayout()
        layout.setSpacing(6)
        for button in line:
            layout.addWidget(button)
        layout.addStretch(1)
        down.addLayout(layout)
    return held


def small_button(words: str, tip: str) -> QPushButton:
    """A button that takes no more room than its word."""
    made = Roomy(words)
    made.setProperty("part", "small")
    made.setToolTip(tip)
    made.setAccessibleName(tip)
    return made


class DegreesField(TypedField):
    """An angle that may be left empty."""

    typed = Signal(object)
    """Degrees, or None for an emptied field."""

    def __init__(self, name: str) -> None:
        super().__init__(name, tr("{name}: degrees, such as 45", name=name))
        self.degrees: float | None = None
        self.setPlaceholderText(tr(_NONE))
        self.narrow()

    def show_degrees(self, value: float | None) -> None:
        """Show an angle; None for none."""
        self.degrees = value
        self.put_back()

    def put_back(self) -> None:
        """Show the angle again."""
        self.setText("" if self.degrees is None else f"{self.degrees:g}°".replace(".", decimal_mark()))
        self.setModified(False)

    def take(self, text: str) -> None:
        """Tell the angle."""
        self.show_degrees(degrees(text.strip()) if text.strip() else None)
        self.typed.emit(self.degrees)


class TextField(TypedField):
    """Shows a text of the job and never changes what is just being typed."""

    typed = Signal(str, str)
    """(the field's key, its text)"""

    def __init__(self, key: str, name: str, tip: str = "", placeholder: str = "") -> None:
        super().__init__(name, tip or name)
        self.key = key
        self._text = ""
        self.setPlaceholderText(placeholder)

    def show_text(self, text: str) -> None:
        """Show what the job has."""
        self._text = text
        if not self.is_typed_into and self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)

    def put_back(self) -> None:
        """What was typed was refused, or taken back: the job's own text again."""
        self.setText(self._text)
        self.setModified(False)

    def take(self, text: str) -> None:
        """Tell the text."""
        self.setModified(False)
        self.typed.emit(self.key, text)


class ActionButton(Roomy):
    """Shows a word of its own; its tip and its shortcut are the action's."""

    def __init__(self, action: QAction, word: str) -> None:
        super().__init__(word)
        self._action = action
        self.setProperty("part", "small")
        self.setAccessibleName(action.text().rstrip("…"))
        keys = action.shortcut().toString()
        self.setToolTip(f"{action.toolTip()} ({keys})" if keys else action.toolTip())
        self.clicked.connect(action.trigger)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        self.setEnabled(self._action.isEnabled())
