"""Right: what is chosen, its total, its figures with their dims (a click lights up where they come from), findings."""

from __future__ import annotations

from decimal import Decimal

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget
from shiboken6 import isValid

from takeoff.errors import Finding
from takeoff.language import number as shown_number
from takeoff.language import tr
from takeoff.measure.takeoff import Dim
from takeoff.plan import edits
from takeoff.sheets.printed_figures import Working
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.editor import Editor, Editors
from takeoff.ui.panels.form_fields import LENGTH_PX, TextField
from takeoff.ui.panels.page_parts import PAGE_PX, empty, fill, hair, label, restyle, scroll_frame, set_text, stacked
from takeoff.views.cards import Card, FigureLine, opening_card, room_card, side_card
from takeoff.views.naming import place_of

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class Asked(msgspec.Struct, frozen=True):
    """A figure, or one line of its dims (``line`` is its number), whose places are wanted."""

    key: str
    name: str
    figure: str
    dims: tuple[Dim, ...]
    line: int = -1


class DimsLine(QWidget):
    """One line: what is typed into a calculator, what it gives, and under it where it is."""

    asked = Signal(int)

    def __init__(self, number: int, work: Working) -> None:
        super().__init__()
        self._number = number
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        grid = QGridLayout(self)
        grid.setContentsMargins(6, 2, 0, 2)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(0, 1)
        result = shown_number(work.result)
        grid.addWidget(label(work.text, "dims", wrap=True), 0, 0)
        grid.addWidget(label(result, "figure", right=True), 0, 1)
        if work.what:
            grid.addWidget(label(work.what, "dims", wrap=True), 1, 0, 1, 2)
        self.setAccessibleName(f"{work.text} = {result}, {work.what}" if work.what else f"{work.text} = {result}")
        if work.of is not None:
            self.setToolTip(tr("Click to show where this is, on the plan and on the walls"))
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def show_lit(self, lit: bool) -> None:
        """Mark the line whose places are lit."""
        restyle(self, "lit" if lit else "lightable")

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Ask for the places of this line; the figure above hears nothing of it."""
        event.accept()
        if event.button() == Qt.MouseButton.LeftButton:
            self.asked.emit(self._number)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter and the space bar do what a click does."""
        if event.key() in _ENTER:
            self.asked.emit(self._number)
        else:
            super().keyPressEvent(event)


class FigureRow(QWidget):
    """A figure: name and amount, its working, and on a click every line of its dims."""

    asked = Signal(object)
    """Asked, of the whole figure or of a line; None where the dims were closed again."""

    def __init__(self) -> None:
        super().__init__()
        self._name, self._figure = label("", "name", wrap=True), label("", "figure", right=True)
        self._working = label("", "dims", wrap=True)
        self._all = QWidget()
        self._down = stacked(self._all, (0, 0, 0, 4), 0)
        self._all.hide()
        self._line: FigureLine | None = None
        self._dims_lines: list[DimsLine] = []
        self.setProperty("part", "lightable")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        head = QHBoxLayout()
        head.addWidget(self._name, 1)
        head.addWidget(self._figure)
        layout = stacked(self, (0, 4, 0, 0), 4)
        fill(layout, head, self._working, self._all, hair())

    @property
    def texts(self) -> tuple[str, str, str]:
        """(name, figure with unit, working) as shown."""
        return self._name.text(), self._figure.text(), self._working.text()

    @property
    def key(self) -> str:
        """The quantity that is shown."""
        return self._line.key if self._line else ""

    def dims_lines(self) -> tuple[DimsLine, ...]:
        """The widgets of the dims' lines, while they are shown."""
        return tuple(self._dims_lines) if self._all.isVisibleTo(self) else ()

    def lines(self) -> tuple[tuple[str, Decimal], ...]:
        """(what is typed into a calculator, what it gives) of every line, when they are shown."""
        shown = self._line.lines if self._line and self._all.isVisibleTo(self) else ()
        return tuple((work.text, work.result) for work in shown)

    def show_line(self, line: FigureLine) -> None:
        """Show a figure; what is the same stays untouched."""
        if line == self._line:
            return
        self._line = line
        set_text(self._name, line.name)
        set_text(self._figure, f"{line.figure} {line.unit}")
        set_text(self._working, line.working)
        self.setAccessibleName(f"{line.name} {line.figure} {line.unit}")
        self.setToolTip(tr("Click for every dimension and where it comes from"))
        if self._all.isVisibleTo(self):
            self._show_all()

    def show_lit(self, asked: Asked | None) -> None:
        """Mark what of this figure is lit; None or another figure's marks nothing."""
        mine = asked is not None and asked.key == self.key
        restyle(self, "lit" if mine and asked is not None and asked.line < 0 else "lightable")
        for number, shown in enumerate(self._dims_lines):
            shown.show_lit(mine and asked is not None and asked.line == number)

    def toggle(self) -> None:
        """Show every line of the dims and ask for their places, or the short working again."""
        self.open(not self._all.isVisibleTo(self))
        if self._line is not None:
            self.asked.emit(self.asking() if self._all.isVisibleTo(self) else None)

    def open(self, showing: bool) -> None:
        """Show the lines of the dims, or the short working."""
        if showing and not self._all.isVisibleTo(self):
            self._show_all()
        self._all.setVisible(showing)
        self._working.setVisible(not showing)

    def asking(self, number: int = -1) -> Asked:
        """What is asked for: the whole figure, or one line of it."""
        line = self._line
        if line is None:
            return Asked("", "", "", ())
        chosen = line.lines if number < 0 else line.lines[number : number + 1]
        dims = tuple(work.of for work in chosen if work.of is not None)
        figure = line.figure if number < 0 else shown_number(line.lines[number].result)
        return Asked(line.key, line.name, f"{figure} {line.unit}", dims, number)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click opens or closes the dims."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.toggle()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter and the space bar do what a click does."""
        if event.key() in _ENTER:
            self.toggle()
        else:
            super().keyPressEvent(event)

    def _show_all(self) -> None:
        empty(self._down)
        self._dims_lines = []
        for number, work in enumerate(self._line.lines if self._line else ()):
            shown = DimsLine(number, work)
            shown.asked.connect(self._ask_line)
            self._dims_lines.append(shown)
            self._down.addWidget(shown)

    def _ask_line(self, number: int) -> None:
        self.asked.emit(self.asking(number))


class RoomNames(Editor):
    """Name and number of the chosen room: Enter or leaving keeps what is typed, Escape takes it back."""

    kind = "room"
    _left = Signal(str, str, str)
    """(room, field, text) where a field was left with something typed: perhaps because another thing is chosen,
    and nothing is changed while that is being told."""

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._room = ""
        self._back: QWidget | None = None
        self.name = TextField(
            "name", tr("Name of the room"), tr("What the room is called, on the plan and on the sheets"), tr("Name")
        )
        self.number = TextField("number", tr("Number of the room"), tr("Its number, as on the drawing"), tr("No."))
        self.number.setFixedWidth(LENGTH_PX)
        # in the order in which they are read: the short number before the name, which has the width
        row = QHBoxLayout()
        row.setSpacing(6)
        fill(row, label(tr("Room"), "name"), self.number, self.name)
        self.down.addLayout(row)
        for field in (self.name, self.number):
            field.typed.connect(self._typed)
            field.done.connect(self._give_back)
        self._left.connect(self._rename, Qt.ConnectionType.QueuedConnection)
        self.refresh()

    def begin(self) -> None:
        """Ready to type the name; afterwards the keys go to where they went before."""
        self._back = QApplication.focusWidget()
        self.name.setFocus()
        self.name.selectAll()

    def show_refs(self) -> None:
        """The names of a single room; of several there is nothing to type."""
        place = place_of(self.document.job, self.refs[-1].id) if len(self.refs) == 1 else None
        if place is None:
            self.hide()
            return
        room = place[1]
        for field, text in ((self.name, room.name), (self.number, room.number)):
            if self._room != room.id and field.isModified():
                self._left.emit(self._room, field.key, field.text())
                field.setModified(False)
            field.show_text(text)
        self._room = str(room.id)

    def _typed(self, key: str, text: str) -> None:
        if self.name.hasFocus() or self.number.hasFocus():
            self._rename(self._room, key, text)
        else:
            self._left.emit(self._room, key, text)

    def _rename(self, room_id: str, key: str, text: str) -> None:
        place = place_of(self.document.job, room_id)
        if place is None:
            return
        room, said = place[1], " ".join(text.split())
        name, number = (said, room.number) if key == "name" else (room.name, said)
        if (name, number) == (room.name, room.number):
            self.refresh()
        else:
            self.apply(tr("Rename {room}", room=room.title), lambda job: edits.rename_room(job, room.id, name, number))

    def _give_back(self) -> None:
        back, self._back = self._back, None
        if back is not None and isValid(back):
            back.setFocus()


class CardPanel(QWidget):
    """The card of what is chosen: a room, a wall face or an opening."""

    finding_clicked = Signal(object)
    """The Finding to go to."""
    figure_asked = Signal(object)
    """The Asked whose places are wanted; None: of nothing any more."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.title, self.total = label("", "title", wrap=True), label("", "headline", right=True)
        self.about = label("", "grey", wrap=True)
        self.rows: list[FigureRow] = []
        self._lines, self._settle, self._editors = QVBoxLayout(), QVBoxLayout(), QVBoxLayout()
        self._below = QVBoxLayout()
        self._findings: tuple[Finding, ...] = ()
        self.names = RoomNames(document)
        self.editors = Editors(self._editors, self.names)
        self._build()
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.chosen_changed.connect(self.refresh)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def _build(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.total)
        self._scroll, layout = scroll_frame(PAGE_PX, 4, takes_keys=True)
        stacked(self).addWidget(self._scroll)
        fill(layout, head, self.about, self.names, self._editors)
        self._lines.setSpacing(0)
        self._settle.setSpacing(4)
        fill(layout, self._lines, 8, self._settle, self._below)
        layout.addStretch(1)

    def refresh(self) -> None:
        """Show the card of what was chosen last, or say what to do."""
        choice = self._document.choice
        if choice and self.editors.has(choice[-1].kind):
            self.editors.of(choice[-1].kind)
        card = card_of(self._document, choice[-1]) if choice else None
        if card is None:
            self._show_nothing()
        else:
            self._show(card)

    def add_below(self, widget: QWidget) -> None:
        """A part under the figures; it shows and hides itself."""
        self._below.addWidget(widget)

    def can_rename(self) -> bool:
        """Whether a room is chosen, or something of one."""
        choice = self._document.choice
        return bool(choice and choice[-1].room_id)

    def choose_room(self) -> None:
        """Choose the room of what is chosen, its names in sight."""
        self._document.choose((Ref("room", self._document.choice[-1].room_id),))
        self._scroll.ensureWidgetVisible(self.names.name)

    def figures(self) -> dict[str, str]:
        """What is shown, by name: {"Walls": "20.64 m²", …}."""
        return {row.texts[0]: row.texts[1] for row in self.rows if row.isVisibleTo(self)}

    def show_lit(self, asked: Asked | None) -> None:
        """Mark the figure or the line whose places are lit."""
        for row in self.rows:
            row.show_lit(asked)

    def _show(self, card: Card) -> None:
        set_text(self.title, card.title)
        set_text(self.total, card.total)
        set_text(self.about, card.about)
        while len(self.rows) < len(card.lines):
            self.rows.append(FigureRow())
            self.rows[-1].asked.connect(self.figure_asked)
            self._lines.addWidget(self.rows[-1])
        for number, row in enumerate(self.rows):
            row.setVisible(number < len(card.lines))
            if number < len(card.lines):
                row.show_line(card.lines[number])
        self._show_findings(card.to_settle)

    def _show_nothing(self) -> None:
        has_rooms = self._document.job.has_rooms
        set_text(self.title, tr("Nothing selected") if has_rooms else tr("No room yet"))
        set_text(self.total, "")
        words = tr("Click a room on the plan to see its figures and where each comes from.")
        if not has_rooms:
            words = (
                tr("Click inside its walls to fill a room, draw one over the lines, or set what the layers are for.")
                if self._document.drawing is not None
                else tr("Open a drawing, drop one on the window, or draw a room.")
            )
        set_text(self.about, words)
        for row in self.rows:
            row.hide()
        self._show_findings(())

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        if findings == self._findings:
            return
        self._findings = findings
        empty(self._settle)
        if findings:
            self._settle.addWidget(label(tr("Findings"), "heading"))
        for finding in findings:
            self._settle.addWidget(FindingLine(finding, self))


def card_of(document: Document, ref: Ref) -> Card | None:
    """The card of a chosen thing; of its room where it has none of its own."""
    card = None
    if ref.kind == "side":
        card = side_card(document.state, ref.room, ref.id, document.findings)
    elif ref.kind == "opening":
        card = opening_card(document.state, ref.id, document.findings)
    return card or room_card(document.state, ref.room_id, document.findings)


class FindingLine(QLabel):
    """A finding's sentence; a click goes to its place."""

    def __init__(self, finding: Finding, panel: CardPanel) -> None:
        super().__init__(finding.text)
        self._finding, self._panel = finding, panel
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("part", "urgent" if finding.severity == "error" else "dims")
        self.setWordWrap(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Go to the finding's place."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._panel.finding_clicked.emit(self._finding)


def ref_of(finding: Finding) -> Ref | None:
    """What a finding speaks of; None where it is about the whole."""
    where = finding.where
    if where.opening and where.room:
        return Ref("opening", where.opening, where.room)
    return Ref("room", where.room) if where.room else None
