"""The reveals of chosen openings, strip by strip: how deep, coated or not; on either side of the wall."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QGridLayout, QVBoxLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.edits.opening_edits import PARTS, Part
from takeoff.plan.model import Job, Opening, Reveal
from takeoff.ui.document import Document
from takeoff.ui.panels.fields import ChoiceField, LengthField
from takeoff.ui.panels.words import label, set_text
from takeoff.ui.tools.entry import THICK_MM_FROM

WORDS: dict[Part, str] = {"end": "Left jamb", "start": "Right jamb", "head": "Head", "sill": "Sill"}
"""As seen from the room, in which a side starts at the right."""


class StripRow:
    """One strip: its word, its depth, whether it is coated."""

    def __init__(self, form: RevealForm, part: Part, grid: QGridLayout, row: int) -> None:
        self._form, self._part = form, part
        self.word = label(WORDS[part], "name")
        self.depth = LengthField(f"Depth of the {WORDS[part].lower()}", mm_from=THICK_MM_FROM)
        self.coat = QCheckBox("coated")
        self.coat.setAccessibleName(f"{WORDS[part]} coated")
        self.coat.setToolTip(f"Whether the {WORDS[part].lower()} is coated")
        self.word.setBuddy(self.depth)
        for column, widget in enumerate((self.word, self.depth, self.coat)):
            grid.addWidget(widget, row, column)
        self.depth.typed.connect(self._deepen)
        self.depth.refused.connect(form.refuse)
        self.coat.clicked.connect(self._set_coat)

    def show_strips(self, reveals: Sequence[Reveal]) -> None:
        """Show what these reveals have in common."""
        strips = [getattr(reveal, self._part) for reveal in reveals]
        self.depth.show_all([strip.depth_mm for strip in strips])
        coats = {strip.coat for strip in strips}
        self.coat.setTristate(len(coats) > 1)
        state = (
            Qt.CheckState.PartiallyChecked
            if len(coats) > 1
            else (Qt.CheckState.Checked if coats == {True} else Qt.CheckState.Unchecked)
        )
        self.coat.setCheckState(state)

    def _deepen(self, mm: float) -> None:
        self._form.set_strips((self._part,), depth_mm=mm)

    def _set_coat(self) -> None:
        self._form.set_strips((self._part,), coat=self.coat.checkState() != Qt.CheckState.Unchecked)


class RevealForm(QWidget):
    """The four strips of the chosen openings; "all" sets every depth at once."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._openings: tuple[Opening, ...] = ()
        self.side = ChoiceField("On which side of the wall", (("here", "In this room"), ("beyond", "")))
        self.all = LengthField("Depth of every strip of the reveal", mm_from=THICK_MM_FROM)
        self.note = label("", "dims", wrap=True)
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(3, 1)
        grid.addWidget(label("Reveal", "heading"), 0, 0)
        grid.addWidget(self.all, 0, 1)
        grid.addWidget(label("deep, all", "name"), 0, 2)
        self.rows = {part: StripRow(self, part, grid, number + 1) for number, part in enumerate(WORDS)}
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 4, 0, 0)
        down.setSpacing(5)
        down.addWidget(self.side)
        down.addLayout(grid)
        down.addWidget(self.note)
        self.all.typed.connect(self._deepen)
        self.all.refused.connect(self.refuse)
        self.side.picked.connect(self._turn)

    @property
    def beyond(self) -> bool:
        """Whether the strips of the wall's other side are shown."""
        return self.side.isVisibleTo(self) and self.side.currentData() == "beyond"

    def show_openings(self, openings: Sequence[Opening], beyond: str) -> None:
        """Show the reveals of these; ``beyond`` names the room on the wall's other side."""
        self._openings = tuple(openings)
        doors = bool(beyond) and all(o.kind != "open" for o in openings)
        self.side.setVisible(doors)
        if doors:
            self.side.setItemText(1, f"In {beyond}")
        elif self.side.currentData() != "here":
            self.side.show_key("here")
        if self.side.currentIndex() < 0:
            self.side.show_key("here")
        through = any(o.kind == "open" for o in openings)
        set_text(self.note, "Depth 0 goes through the whole wall." if through else "")
        self.note.setVisible(through)
        reveals = [(o.reveal_beyond or Reveal()) if self.beyond else o.reveal for o in openings]
        for row in self.rows.values():
            row.show_strips(reveals)
        depths = [getattr(reveal, part).depth_mm for reveal in reveals for part in PARTS]
        self.all.show_all(depths)

    def set_strips(self, parts: Sequence[Part], depth_mm: float | None = None, coat: bool | None = None) -> None:
        """Set some strips of every chosen opening, undone together."""
        beyond, ids = self.beyond, [o.id for o in self._openings]

        def edited(job: Job) -> Job:
            for opening_id in ids:
                job = edits.set_strips(job, opening_id, parts, depth_mm, coat, beyond)
            return job

        words = "Set the depth of a reveal" if coat is None else ("Coat a reveal" if coat else "Leave a reveal out")
        if not self._document.apply(words, edited):
            self.show_openings(
                self._openings, "" if not self.side.isVisibleTo(self) else self.side.itemText(1).removeprefix("In ")
            )

    def refuse(self, sentence: str) -> None:
        """Say why something typed cannot be taken."""
        self._document.refused.emit(sentence)

    def _deepen(self, mm: float) -> None:
        self.set_strips(PARTS, depth_mm=mm)

    def _turn(self, side: str) -> None:
        del side
        self.show_openings(self._openings, self.side.itemText(1).removeprefix("In "))
