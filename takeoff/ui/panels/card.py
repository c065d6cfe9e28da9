"""Right: the chosen room, its total, its figures with their dims, and what is to settle about it."""

from __future__ import annotations

from decimal import Decimal

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from takeoff.errors import Finding
from takeoff.services.cards import Card, FigureLine, room_card
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.words import empty, hair, label, set_text


class FigureRow(QWidget):
    """A figure: name and amount, its working, and on a click every line of its dims."""

    def __init__(self) -> None:
        super().__init__()
        self._name, self._figure = label("", "name"), label("", "figure", right=True)
        self._working = label("", "dims", wrap=True)
        self._all = QWidget()
        self._grid = QGridLayout(self._all)
        self._grid.setContentsMargins(0, 0, 0, 4)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        self._all.hide()
        self._line: FigureLine | None = None
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        head = QHBoxLayout()
        head.addWidget(self._name, 1)
        head.addWidget(self._figure)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 4, 0, 0)
        layout.setSpacing(4)
        layout.addLayout(head)
        layout.addWidget(self._working)
        layout.addWidget(self._all)
        layout.addWidget(hair())

    @property
    def texts(self) -> tuple[str, str, str]:
        """(name, figure with unit, working) as shown."""
        return self._name.text(), self._figure.text(), self._working.text()

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
        self.setToolTip(f"Click for every dimension of it ({len(line.lines)})")
        if self._all.isVisible():
            self._show_all()

    def toggle(self) -> None:
        """Show every line of the dims, or the short working again."""
        showing = not self._all.isVisibleTo(self)
        if showing:
            self._show_all()
        self._all.setVisible(showing)
        self._working.setVisible(not showing)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click opens or closes the dims."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.toggle()

    def _show_all(self) -> None:
        empty(self._grid)
        for number, work in enumerate(self._line.lines if self._line else ()):
            self._grid.addWidget(label(work.text, "dims"), 2 * number, 0)
            result = f"{work.result}".replace("-", "−")
            self._grid.addWidget(label(result, "figure", right=True), 2 * number, 2)
            self._grid.addWidget(label(work.what, "dims", wrap=True), 2 * number + 1, 0, 1, 3)


class CardPanel(QWidget):
    """The card of what is chosen. ``finding_clicked`` carries a Finding to go to."""

    finding_clicked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.title, self.total = label("", "title", wrap=True), label("", "headline", right=True)
        self.about = label("", "grey", wrap=True)
        self.rows: list[FigureRow] = []
        self._lines, self._settle = QVBoxLayout(), QVBoxLayout()
        self._findings: tuple[Finding, ...] = ()
        self._build()
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        document.considered_changed.connect(self.refresh)
        self.refresh()

    def _build(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.total)
        inner = QWidget()
        inner.setProperty("part", "page")
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(4)
        layout.addLayout(head)
        layout.addWidget(self.about)
        self._lines.setSpacing(0)
        self._settle.setSpacing(4)
        layout.addLayout(self._lines)
        layout.addSpacing(8)
        layout.addLayout(self._settle)
        layout.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(inner)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)

    def refresh(self) -> None:
        """Show the card of the last chosen room, or say what to do."""
        choice = self._document.choice
        card = None
        if choice:
            card = room_card(self._document.state, choice[-1].room_id, self._document.findings)
        if card is None:
            self._show_nothing()
        else:
            self._show(card)

    def figures(self) -> dict[str, str]:
        """What is shown, by name: {"Walls": "20.64 m²", …}."""
        return {row.texts[0]: row.texts[1] for row in self.rows if row.isVisibleTo(self)}

    def _show(self, card: Card) -> None:
        set_text(self.title, card.title)
        set_text(self.total, card.total)
        set_text(self.about, card.about)
        while len(self.rows) < len(card.lines):
            self.rows.append(FigureRow())
            self._lines.addWidget(self.rows[-1])
        for number, row in enumerate(self.rows):
            row.setVisible(number < len(card.lines))
            if number < len(card.lines):
                row.show_line(card.lines[number])
        self._show_findings(card.to_settle)

    def _show_nothing(self) -> None:
        has_rooms = any(storey.rooms for storey in self._document.job.storeys)
        set_text(self.title, "Nothing chosen" if has_rooms else "No room yet")
        set_text(self.total, "")
        set_text(self.about, "Click a room on the plan to see its figures and where each comes from."
                 if has_rooms else "Open a drawing, drop one on the window, or draw a room.")
        for row in self.rows:
            row.hide()
        self._show_findings(())

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        if findings == self._findings:
            return
        self._findings = findings
        empty(self._settle)
        if findings:
            self._settle.addWidget(label("To settle", "heading"))
        for finding in findings:
            self._settle.addWidget(FindingLine(finding, self))

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()


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
