"""Right: the chosen room, its total, its figures with their dims, and what is to settle about it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from takeoff.errors import Finding
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.figure_rows import Asked, FigureRow
from takeoff.ui.panels.words import empty, label, set_text
from takeoff.views.cards import Card, room_card
from takeoff.views.part_cards import opening_card, side_card


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
        layout.addLayout(self._editors)
        self._lines.setSpacing(0)
        self._settle.setSpacing(4)
        layout.addLayout(self._lines)
        layout.addSpacing(8)
        layout.addLayout(self._settle)
        layout.addLayout(self._below)
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
        """Show the card of what was chosen last, or say what to do."""
        choice = self._document.choice
        card = card_of(self._document, choice[-1]) if choice else None
        if card is None:
            self._show_nothing()
        else:
            self._show(card)

    def add_editor(self, editor: QWidget) -> None:
        """A part above the figures in which what is chosen is set; it shows and hides itself."""
        self._editors.addWidget(editor)

    def add_below(self, widget: QWidget) -> None:
        """A part under the figures; it shows and hides itself."""
        self._below.addWidget(widget)

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
        has_rooms = any(storey.rooms for storey in self._document.job.storeys)
        set_text(self.title, "Nothing chosen" if has_rooms else "No room yet")
        set_text(self.total, "")
        words = "Click a room on the plan to see its figures and where each comes from."
        if not has_rooms:
            words = (
                "Fill a room by a click inside its walls, draw one over the lines, or say what the layers are for."
                if self._document.drawing is not None
                else "Open a drawing, drop one on the window, or draw a room."
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
            self._settle.addWidget(label("To settle", "heading"))
        for finding in findings:
            self._settle.addWidget(FindingLine(finding, self))

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()


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
