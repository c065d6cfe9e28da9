"""What is coated in the chosen rooms: walls, ceiling, reveals, and what stays on."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QVBoxLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId
from takeoff.ui.document import Document
from takeoff.ui.panels.fields import Form, LengthField
from takeoff.ui.panels.outline_lines import OutlineLine
from takeoff.ui.panels.words import empty, label, set_text
from takeoff.ui.tools.entry import THICK_MM_FROM
from takeoff.views.faces import Outline, RoomsView, reveals_of, rooms_view


class RoomCoats(QWidget):
    """What is coated in the chosen rooms: walls, ceiling, reveals, and what stays on."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.title, self.hint = label("", "heading"), label("", "grey", wrap=True)
        self.walls, self.ceiling, self.reveals = (
            QCheckBox(words) for words in ("Walls", "Ceiling", "Reveals, jambs and head")
        )
        self.skirting, self.coving, self.band = (
            LengthField(name, True, THICK_MM_FROM)
            for name in (
                "Skirting that stays on, its height",
                "Coving that stays on, down the wall and out",
                "Ceiling coated only so far from the walls",
            )
        )
        form = Form()
        self._words: tuple[QLabel, ...] = (
            *form.pair(("Skirting", self.skirting), ("Coving", self.coving)),
            *form.pair(("Band", self.band)),
        )
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 2, 0, 2)
        down.setSpacing(5)
        for widget in (self.title, self.hint):
            down.addWidget(widget)
        for box in (self.walls, self.ceiling, self.reveals):
            # no wider than its word, so that a click anywhere on it counts
            down.addWidget(box, 0, Qt.AlignmentFlag.AlignLeft)
        down.addLayout(form)
        self.outlines = QVBoxLayout()
        self.outlines.setSpacing(2)
        down.addLayout(self.outlines)
        self._shown: tuple[Outline, ...] = ()
        self.walls.clicked.connect(self._set_walls)
        self.ceiling.clicked.connect(self._set_ceiling)
        self.reveals.clicked.connect(self._set_reveals)
        self.skirting.typed.connect(self._set_skirting)
        self.coving.typed.connect(self._set_coving)
        self.band.typed.connect(self._set_band)
        for field in (self.skirting, self.coving, self.band):
            field.refused.connect(document.refused)
        for box in (self.walls, self.ceiling, self.reveals):
            box.setAccessibleName(f"{box.text()} coated")

    def refresh(self) -> None:
        """Show the chosen rooms as they are."""
        view = rooms_view(self._document.state, chosen_rooms(self._document))
        set_text(self.title, view.title if view else "Room by room")
        set_text(self.hint, "" if view else "Choose one or several rooms on the plan to set what of them is coated.")
        self.hint.setVisible(view is None)
        for widget in (self.walls, self.ceiling, self.reveals, self.skirting, self.coving, self.band, *self._words):
            widget.setVisible(view is not None)
        outlines = view.outlines if view is not None else ()
        if outlines != self._shown:
            self._shown = outlines
            empty(self.outlines)
            for outline in outlines:
                self.outlines.addWidget(OutlineLine(outline, self._document))
        if view is not None:
            self._show(view)

    def _show(self, view: RoomsView) -> None:
        for box, state in ((self.walls, view.walls), (self.ceiling, view.ceiling), (self.reveals, view.reveals)):
            box.setTristate(state is None)
            box.setCheckState(
                Qt.CheckState.PartiallyChecked
                if state is None
                else Qt.CheckState.Checked
                if state
                else Qt.CheckState.Unchecked
            )
        self.reveals.setEnabled(view.has_reveals)
        for field, value in ((self.skirting, view.skirting), (self.coving, view.coving), (self.band, view.band)):
            field.show_mm(value.mm, value.mixed)

    # -- what the user does

    def _rooms(self) -> tuple[RoomId, ...]:
        return tuple(RoomId(name) for name in chosen_rooms(self._document))

    def _edit(self, name: str, edit: Callable[[Job, Collection[RoomId]], Job]) -> None:
        rooms = self._rooms()
        if not self._document.apply(name, lambda job: edit(job, rooms)):
            self.refresh()

    def _set_walls(self) -> None:
        coat = self.walls.checkState() != Qt.CheckState.Unchecked
        self._edit(
            "Coat the walls" if coat else "Leave the walls out",
            lambda job, rooms: edits.coat_sides(
                job, {name: edits.all_sides(edits.room_of(job, name)) for name in rooms}, coat
            ),
        )

    def _set_ceiling(self) -> None:
        coat = self.ceiling.checkState() != Qt.CheckState.Unchecked
        self._edit(
            "Coat the ceiling" if coat else "Leave the ceiling out",
            lambda job, rooms: edits.coat_ceilings(job, rooms, coat),
        )

    def _set_reveals(self) -> None:
        coat, state = self.reveals.checkState() != Qt.CheckState.Unchecked, self._document.state
        self._edit(
            "Coat the reveals" if coat else "Leave the reveals out",
            lambda job, rooms: edits.coat_reveals(job, reveals_of(state, rooms), coat),
        )

    def _set_skirting(self, mm: float | None) -> None:
        self._edit(
            "Leave the skirting on",
            lambda job, rooms: edits.set_band(
                job, {name: edits.all_sides(edits.room_of(job, name)) for name in rooms}, "bottom", mm
            ),
        )

    def _set_coving(self, mm: float | None) -> None:
        self._edit("Leave the coving on", lambda job, rooms: edits.set_coving(job, rooms, mm))

    def _set_band(self, mm: float | None) -> None:
        def banded(job: Job, rooms: Collection[RoomId]) -> Job:
            if mm is None:
                return edits.coat_ceilings(job, rooms, True)
            for name in rooms:
                job = edits.set_ceiling_band(job, name, mm)
            return job

        self._edit("Coat a band of the ceiling" if mm else "Coat the whole ceiling", banded)


def chosen_rooms(document: Document) -> tuple[str, ...]:
    """The rooms of what is chosen, each once."""
    return tuple(dict.fromkeys(ref.room_id for ref in document.choice if ref.room_id))
