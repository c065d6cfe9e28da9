"""The page of what is to settle: filters, groups, rows that settle it on the spot."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QShowEvent
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from takeoff.errors import InputError
from takeoff.language import mark, tr, tr_count
from takeoff.plan.edits import answer_openings, answer_stair, remove_opening, remove_room
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Job, OpeningId, RoomId
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import FORM_WIDE_PX, in_lines, length_text
from takeoff.ui.panels.page_parts import fill, hair, label, scroll_frame, set_text, stacked
from takeoff.units.lengths import CEILING_HEIGHT, DEPTH, HEAD, LENGTH, OPENING_SIZE, SILL, STOREY_HEIGHT, Size, size_mm
from takeoff.units.printing import shown_short
from takeoff.views.settling import GROUPS, Row, counts, one_by_one, rows

_FIELD_PX = 72
_COUNTS_PX = 24
"""What the counts behind the words of three filters take."""


class Done(msgspec.Struct, frozen=True):
    """What the user did about a row: confirm, confirm-alike, accept, remove, each (show them one by one)
    again, or one of the row's own answers. Confirming carries a length where another was typed."""

    what: str
    row: Row
    value_mm: float | None = None


class SettleRow(QWidget):
    """``done`` carries a Done, ``picked`` the Row whose place is wanted."""

    done = Signal(object)
    picked = Signal(object)

    def __init__(self, row: Row, inner: bool = False) -> None:
        super().__init__()
        self.row = row
        self.field: QLineEdit | None = None
        self.buttons: dict[str, QPushButton] = {}
        self._wrong = label("", "urgent", wrap=True)
        self._wrong.hide()
        self._evidence = label(row.evidence, "dims", wrap=True)
        self._evidence.hide()
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName(f"{row.head}: {row.text}")
        self.setToolTip(tr("Click to see it on the plan"))
        down = QVBoxLayout(self)
        down.setContentsMargins(16 if inner else 6, 5, 0, 0)
        down.setSpacing(3)
        self._head = label(row.head, "heading", wrap=True)
        self._head.setVisible(bool(row.head) and not inner)
        down.addWidget(self._head)
        grave = row.group == "error"
        text = f"{row.text}, {row.head}" if inner and row.head else row.text
        down.addWidget(label(text, "urgent" if grave else "dims", wrap=True))
        for controls in self._controls(inner):
            down.addLayout(controls)
        fill(down, self._evidence, self._wrong, 3, hair())

    def show_head(self, shown: bool) -> None:
        """The place is said once above rows of the same place."""
        self._head.setVisible(shown and bool(self.row.head))

    def _controls(self, inner: bool) -> list[QHBoxLayout]:
        """What can be done, in one line or two; none where the place is all there is to see."""
        row, first, second = self.row, _line(), _line()
        if row.value_mm is not None:
            self._value_controls(first, row.value_mm)
            if row.alike:
                count = len(row.alike)
                words = (
                    tr("The same for all {count} like this", count=count + 1)
                    if inner
                    else tr("The same on every storey")
                )
                tip = tr_count(
                    "{count} more is assumed as {length} m",
                    "{count} more are assumed as {length} m",
                    count,
                    length=length_text(row.value_mm),
                )
                self._button(second, "confirm-alike", words, tip, self.confirm_alike)
        elif row.answers:
            for number, (key, words, tip) in enumerate(row.answers):
                self._button(first if number < 2 else second, key, words, tip, self._tell_answer)
            if row.members:
                self._button(first, "each", tr("Each…"), tr("Show them one by one, or as one again"), self._tell_each)
        elif row.accept:
            tips = {
                "finding": tr("It may stay as it is"),
                "room": tr("The room is right as it stands"),
                "opening": tr("It is an opening: measure it"),
            }
            self._button(first, "accept", tr("Accept"), tips[row.accept], self._tell_accept)
            removals = {"room": tr("There is no such room"), "opening": tr("There is no such opening")}
            if row.accept in removals:
                self._button(first, "remove", tr("Remove"), removals[row.accept], self._tell_remove)
        elif row.settled is not None:
            self._button(first, "again", tr("Open again"), tr("Put it back in the list of findings"), self._tell_again)
        if row.evidence:
            self._button(first, "why", tr("Why?"), tr("Show or hide why this is listed"), self._fold)
        lines = [line for line in (first, second) if line.count()]
        for line in lines:
            line.addStretch(1)
        return lines

    def _value_controls(self, across: QHBoxLayout, value_mm: float) -> None:
        self.field = QLineEdit(length_text(value_mm))
        self.field.setFixedWidth(_FIELD_PX)
        self.field.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.field.setAccessibleName(tr("{value}, metres", value=self.row.text))
        self.field.setToolTip(
            tr("Metres, or with a unit, such as {example}, 2400 mm or 7'10\"", example=shown_short(2.4))
        )
        self.field.returnPressed.connect(self.confirm)
        self.field.textEdited.connect(self._edited)
        across.addWidget(self.field)
        across.addWidget(label("m", "dims"))
        self._button(
            across, "confirm", tr("Confirm"), tr("This is right; it counts as typed from now on"), self.confirm
        )
        if len(self.row.values) > 1:
            self._button(across, "each", tr("Each…"), tr("Show them one by one, or as one again"), self._tell_each)

    def _button(self, across: QHBoxLayout, key: str, words: str, tip: str, do: Callable[[], None]) -> None:
        made = QPushButton(words)
        made.setProperty("part", "small")
        made.setToolTip(tip)
        made.setAccessibleName(f"{words}: {self.row.text}")
        made.clicked.connect(do)
        self.buttons[key] = made
        across.addWidget(made)

    def confirm(self) -> None:
        """Confirm the value, or correct it where it was typed over."""
        self._confirm("confirm")

    def confirm_alike(self) -> None:
        """The same for all that are like this one."""
        self._confirm("confirm-alike")

    def _confirm(self, what: str) -> None:
        if self.field is None or self.row.value_mm is None:
            return
        try:
            value = None if not self.field.isModified() else size_mm(self.field.text(), _size_of(self.row))
        except InputError as error:
            set_text(self._wrong, str(error))
            self._wrong.show()
            return
        self._wrong.hide()
        self.done.emit(Done(what, self.row, value))

    def _edited(self) -> None:
        self.buttons["confirm"].setText(tr("Correct") if self.field and self.field.isModified() else tr("Confirm"))

    def _fold(self) -> None:
        """The evidence of the row comes and goes."""
        self._evidence.setVisible(self._evidence.isHidden())

    def _tell_each(self) -> None:
        self.done.emit(Done("each", self.row))

    def _tell_accept(self) -> None:
        self.done.emit(Done("accept", self.row))

    def _tell_remove(self) -> None:
        self.done.emit(Done("remove", self.row))

    def _tell_answer(self) -> None:
        pressed = self.sender()
        answer = next((key for key, button in self.buttons.items() if button is pressed), "")
        self.done.emit(Done(answer, self.row))

    def _tell_again(self) -> None:
        self.done.emit(Done("again", self.row))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click beside the buttons goes to the place."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.picked.emit(self.row)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter goes to the place."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.picked.emit(self.row)
        else:
            super().keyPressEvent(event)


_SIZES = {"height": STOREY_HEIGHT, "ceiling": CEILING_HEIGHT, "sill": SILL, "head": HEAD, "width": OPENING_SIZE,
          "reveal": DEPTH}  # fmt: skip


def _size_of(row: Row) -> Size:
    """What the row's value can be."""
    return _SIZES.get(row.values[0].kind.rpartition("-")[2], LENGTH)


def _line() -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(6)
    return line


_AT_FIRST = 40
"""Rows of a group that are shown until more are asked for: widgets are slow to make."""

OPEN = "open"
"""The filter for all that is still open."""

_SHORT = {
    "open": mark("All open"),
    "error": mark("To fix"),
    "check": mark("To check"),
    "assumed": mark("Assumed"),
    "note": mark("Notes"),
    "settled": mark("Done"),
}


class SettlePage(QWidget):
    """``picked`` carries the Row whose place is wanted."""

    picked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._filter = OPEN
        self._open_each: set[str] = set()
        self._most: dict[str, int] = {}
        self._shown: dict[str, SettleRow] = {}
        self._stale = True
        self.rows: tuple[Row, ...] = ()
        self.filters: dict[str, QPushButton] = {}
        self.setProperty("part", "page")
        self.note = label("", "grey", wrap=True)
        self._build()
        document.opened.connect(self._start_anew)
        document.changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def widgets(self) -> tuple[SettleRow, ...]:
        """The rows that are on the page now, from above to below."""
        return tuple(self._shown.values())

    def show_filter(self, name: str) -> None:
        """Show one group only, or all that is open."""
        self._filter = name
        self.filters[name].setChecked(True)
        self.refresh()

    def refresh(self) -> None:
        """Show what there is; put off while nobody sees the page."""
        if not self.isVisible() and self._shown:
            self._stale = True
            return
        self._stale = False
        self.rows = rows(self._document.state, self._document.findings)
        told = counts(self.rows)
        for name, button in self.filters.items():
            count = sum(told.values()) - told["settled"] if name == OPEN else told[name]  # type: ignore[index]
            button.setText(f"{tr(_SHORT[name])} {count}")
            button.setEnabled(bool(count) or name in (OPEN, self._filter))
        self._lay_out()

    # -- making

    def _build(self) -> None:
        chips = QGridLayout()
        chips.setSpacing(4)
        group = QButtonGroup(self)
        for name in _SHORT:
            button = QPushButton(tr(_SHORT[name]))
            button.setProperty("part", "chip")
            button.setCheckable(True)
            button.setChecked(name == OPEN)
            button.setObjectName(name)
            button.clicked.connect(self._filtered)
            group.addButton(button)
            self.filters[name] = button
        fits = len(in_lines([*self.filters.values()][:3], FORM_WIDE_PX - _COUNTS_PX, 4)) == 1
        across = 3 if fits else 2
        for number, button in enumerate(self.filters.values()):
            chips.addWidget(button, number // across, number % across)
        scroll, self._down = scroll_frame((0, 0, 6, 0), 0, takes_keys=True)
        layout = stacked(self, (14, 16, 8, 8), 8)
        fill(layout, label(tr("Findings"), "title"), chips, self.note)
        layout.addWidget(scroll, 1)

    def _lay_out(self) -> None:
        """Put the widgets of the wanted rows in their order; equal rows keep theirs."""
        while self._down.count():
            taken = self._down.takeAt(0)
            widget = taken.widget() if taken else None
            if widget is not None and not isinstance(widget, SettleRow):
                widget.hide()
                widget.deleteLater()
        before, self._shown = self._shown, {}
        wanted = [
            (g, words) for g, words in GROUPS if g == self._filter or (self._filter == OPEN != g and g != "settled")
        ]
        for group, words in wanted:
            own = [row for row in self.rows if row.group == group]
            if not own:
                continue
            heading = label(tr(words), "group")
            self._down.addWidget(heading)
            most, head = self._most.get(group, _AT_FIRST), ""
            for row in own[:most]:
                self._put(row, before).show_head(row.head != head)
                head = row.head
                if row.key in self._open_each:
                    for one in one_by_one(row, self._document.state):
                        self._put(one, before, inner=True)
            if len(own) > most:
                self._down.addWidget(self._more(group, len(own) - most))
        self._down.addStretch(1)
        for widget in before.values():
            widget.hide()
            widget.deleteLater()
        set_text(self.note, "" if self._shown else self._empty_words())
        self.note.setVisible(not self._shown)

    def _put(self, row: Row, before: dict[str, SettleRow], inner: bool = False) -> SettleRow:
        known = before.get(row.key)
        if known is not None and known.row == row:
            del before[row.key]
        else:
            known = SettleRow(row, inner)
            known.done.connect(self._do)
            known.picked.connect(self.picked)
        self._shown[row.key] = known
        self._down.addWidget(known)
        known.show()
        return known

    def _more(self, group: str, count: int) -> QPushButton:
        button = QPushButton(tr("{count} more", count=count))
        button.setProperty("part", "small")
        button.setObjectName(group)
        button.clicked.connect(self._show_more)
        return button

    def _empty_words(self) -> str:
        if self._filter == "settled":
            return tr("Nothing is done yet: what you confirm or accept is kept here.")
        if not self._document.job.has_rooms:
            return tr("No room yet: draw one, or open a drawing. What is assumed or doubtful is listed here.")
        return tr("Nothing is left here.")

    # -- what the user does

    def _filtered(self) -> None:
        sender = self.sender()
        self.show_filter(sender.objectName() if sender else OPEN)

    def _show_more(self) -> None:
        sender = self.sender()
        if sender is not None:
            group = sender.objectName()
            self._most[group] = self._most.get(group, _AT_FIRST) + 4 * _AT_FIRST
            self.refresh()

    def _do(self, done: Done) -> None:
        row = done.row
        if done.what == "each":
            self._open_each ^= {row.key}
            self.refresh()
            return
        at = next((k for k, widget in enumerate(self.widgets()) if widget.row == row), 0)
        name, edit = _edit_of(done)
        if self._document.apply(name, edit):
            self._document.consider_now()
            self._focus_near(at)

    def _focus_near(self, at: int) -> None:
        """The row that took the place of the settled one gets the keys, so that one can go on."""
        widgets = self.widgets()
        if widgets:
            near = widgets[min(at, len(widgets) - 1)]
            (near.field or next(iter(near.buttons.values()), near)).setFocus()

    # -- listening

    def _start_anew(self) -> None:
        self._open_each, self._most = set(), {}
        self._filter = OPEN
        self.filters[OPEN].setChecked(True)
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what changed while nobody looked."""
        super().showEvent(event)
        if self._stale:
            self.refresh()


def _edit_of(done: Done) -> tuple[str, Callable[[Job], Job]]:
    """The name of an edit in the trade's words, and the edit."""
    row = done.row
    if done.what in ("confirm", "confirm-alike"):
        values = (*row.values, *row.alike) if done.what == "confirm-alike" else row.values
        text = row.text.split(";")[0]
        name = tr("Confirm: {value}", value=text) if done.value_mm is None else tr("Correct: {value}", value=text)
        return name, lambda job: settling.confirm(job, values, done.value_mm)
    if done.what == "remove":
        if row.accept == "room":
            return tr("Remove room"), lambda job: remove_room(job, RoomId(row.thing))
        return tr("Remove opening"), lambda job: remove_opening(job, OpeningId(row.thing))
    if done.what == "again" and row.settled is not None:
        settled = row.settled
        return tr("Open again"), lambda job: settling.open_again(job, settled)
    words = next((words for key, words, _ in row.answers if key == done.what), "")
    if words and row.accept == "stair":
        return tr("Ceiling above the stair: {answer}", answer=words), partial(
            answer_stair,
            room_id=RoomId(row.thing),
            answer=done.what,  # type: ignore[arg-type]
        )
    if words:
        ids = [OpeningId(name) for name, _ in row.members]
        name = tr_count("{count} opening: {answer}", "{count} openings: {answer}", len(ids), answer=words)
        return name, partial(
            answer_openings,
            opening_ids=ids,
            answer=done.what,  # type: ignore[arg-type]
        )
    if row.accept == "room":
        return tr("Accept room"), lambda job: settling.accept_room(job, RoomId(row.thing), row.findings)
    if row.accept == "opening":
        return tr("Accept opening"), lambda job: settling.accept_opening(job, OpeningId(row.thing), row.findings)
    return tr("Accept what was found"), lambda job: settling.accept_findings(job, row.findings)
