"""Below the plan: the walls of the chosen room, seen from inside, with coat, openings and what stays."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.model import Job, OpeningId
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.strip_faces import LEAST_HEIGHT_PX, Faces
from takeoff.ui.panels.words import label, set_text
from takeoff.ui.themes import Theme
from takeoff.views.board import State
from takeoff.views.cards import place_of
from takeoff.views.strip import wall_strip


class WallStrip(QWidget):
    """The strip with its heading; scrolls along when the walls are longer than the window."""

    coat_clicked = Signal(object)
    """The Ref of a face whose coat is to be switched."""

    def __init__(self, document: Document, theme: Theme) -> None:
        super().__init__()
        self._document = document
        self.setProperty("part", "strip")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.heading = label("", "grey")
        self.faces = Faces(theme)
        self.faces.clicked.connect(self._clicked)
        self.faces.ticked.connect(self.coat_clicked)
        self.faces.slid.connect(self._slide)
        scroll = QScrollArea()
        scroll.setAccessibleName("Walls of the chosen room")
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidget(self.faces)
        scroll.setWidgetResizable(True)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.viewport().setAutoFillBackground(False)
        self.faces.setAutoFillBackground(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 4)
        layout.setSpacing(2)
        self.heading.setContentsMargins(18, 0, 18, 0)
        layout.addWidget(self.heading)
        layout.addWidget(scroll, 1)
        self.setMinimumHeight(LEAST_HEIGHT_PX)
        document.opened.connect(self.refresh)
        document.changed.connect(self._changed)
        document.chosen_changed.connect(self._listen)
        self.refresh()

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self.faces.set_theme(theme)

    def refresh(self) -> None:
        """Show the walls of the last chosen room."""
        choice = self._document.choice
        strip = wall_strip(self._document.state, choice[-1].room_id) if choice else None
        has_rooms = any(storey.rooms for storey in self._document.job.storeys)
        nothing = (
            "Click a room to see its walls from inside."
            if has_rooms
            else "The walls of a chosen room stand here, seen from inside."
        )
        set_text(self.heading, strip.title if strip else nothing)
        self.faces.show_strip(strip, choice)

    def _changed(self, before: State, after: State) -> None:
        """Only a change in the storey of the chosen room, or in the kinds of wall, changes its walls."""
        choice = self._document.choice
        place = place_of(after.job, choice[-1].room_id) if choice else None
        if (
            place is None
            or before.job.wall_types is not after.job.wall_types
            or not any(storey is place[0] for storey in before.job.storeys)
        ):
            self.refresh()

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _clicked(self, ref: Ref, add: bool) -> None:
        document = self._document
        rest = tuple(other for other in document.choice if other != ref) if add else ()
        document.choose((*rest, ref))

    def _slide(self, opening_id: str, along_mm: float, sill_mm: float | None) -> None:
        """An opening was dragged along its wall, or up."""

        def slid(job: Job) -> Job:
            opening = edits.opening_of(job, OpeningId(opening_id))
            return edits.slide_opening(job, opening.id, opening.offset_mm + along_mm, sill_mm)

        self._document.apply("Move an opening", slid)
