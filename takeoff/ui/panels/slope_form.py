"""The slopes of a room's ceiling: from a wall, by eaves height and pitch or ridge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.edits.height_edits import Form as SlopeForm
from takeoff.plan.model import Job, RoomId, SideId
from takeoff.ui.panels.degrees_field import DegreesField
from takeoff.ui.panels.fields import ChoiceField, Form, LengthField, buttons
from takeoff.units.printing import fmt2
from takeoff.views.heights import SlopesView, WallView

FORMS = (("one", "One slope"), ("two", "Two slopes, a ridge"), ("all", "From every wall"))
USUAL_EAVES_MM, USUAL_PITCH_DEG = 1200.0, 45.0
"""What stands there first (common practice, no source)."""


class SlopesForm(QWidget):
    """``wanted``: the slopes that are typed are to be set."""

    wanted = Signal()
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._walls: tuple[WallView, ...] = ()
        self.form = ChoiceField("Form of the ceiling", FORMS)
        self.wall = ChoiceField("Wall at the eaves, from which the slope rises", ())
        self.eaves = LengthField("Height of the ceiling at the eaves")
        self.other = LengthField("Height at the eaves across, where it is another", optional=True)
        self.pitch = DegreesField("Pitch of the slope")
        self.top = LengthField("Height at the ridge, or at the far end of one slope", optional=True)
        self.flat = LengthField("Height of a level piece that cuts the slopes off", optional=True)
        self.set_button = QPushButton("Set the slopes")
        self.set_button.setToolTip("Make the room's ceiling of these slopes")
        rows = Form()
        rows.pair(("Form", self.form))
        rows.pair(("Eaves at", self.wall))
        rows.pair(("Eaves", self.eaves), ("Pitch", self.pitch))
        self._across = rows.pair(("Ridge", self.top), ("Flat", self.flat))
        self._other = rows.pair(("Across", self.other))
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(5)
        down.addLayout(rows)
        down.addWidget(buttons(self.set_button))
        self.form.show_key("two")
        self.eaves.show_mm(USUAL_EAVES_MM)
        self.pitch.show_degrees(USUAL_PITCH_DEG)
        self._fit()
        # a pitch and a ridge say the same: the one that is typed last counts
        self.pitch.typed.connect(self._pitch_typed)
        self.top.typed.connect(self._top_typed)
        self.form.picked.connect(self._fit)
        self.set_button.clicked.connect(self.wanted)
        for field in (self.eaves, self.other, self.top, self.flat, self.pitch):
            field.refused.connect(self.refused)

    def show_walls(self, walls: Sequence[WallView], chosen: str) -> None:
        """Offer these walls; the chosen one, or the longest where none of them is."""
        if tuple(walls) != self._walls:
            before = self.wall.currentData()
            self._walls = tuple(walls)
            self.wall.clear()
            for wall in walls:
                self.wall.addItem(f"Wall {wall.letter}, {fmt2(wall.length_mm / 1000.0)} m", wall.side)
            names = [wall.side for wall in walls]
            longest = max(walls, key=lambda wall: wall.length_mm).side if walls else None
            self.wall.show_key(before if before in names else longest)
        if any(wall.side == chosen for wall in walls):
            self.wall.show_key(chosen)

    def show_slopes(self, slopes: SlopesView | None) -> None:
        """Show the slopes that a room has; what stands there stays where it has none."""
        if slopes is None:
            return
        self.form.show_key(slopes.form)
        self.wall.show_key(slopes.side)
        self.eaves.show_mm(slopes.eaves_mm)
        self.pitch.show_degrees(slopes.pitch_deg)
        self.top.show_mm(None)
        self.flat.show_mm(slopes.flat_mm)
        self.other.show_mm(slopes.other_eaves_mm)
        self._fit()

    def edited(self, job: Job, room_id: RoomId) -> Job:
        """The job with these slopes. Raises InputError where they cannot be."""
        side = self.wall.currentData()
        if side is None or self.eaves.mm is None:
            raise InputError("Slopes rise from a straight wall, and this room has none.")
        form = cast("SlopeForm", self.form.currentData())
        return edits.slope_ceiling(
            job,
            room_id,
            SideId(side),
            form,
            self.eaves.mm,
            self.pitch.degrees,
            self.top.mm,
            self.flat.mm,
            self.other.mm if form == "two" else None,
        )

    def _pitch_typed(self, value: object) -> None:
        if value is not None:
            self.top.show_mm(None)

    def _top_typed(self, value: object) -> None:
        if value is not None:
            self.pitch.show_degrees(None)

    def _fit(self) -> None:
        two = self.form.currentData() == "two"
        for widget in (*self._other, self.other):
            widget.setVisible(two)
        self._across[0].setText({"one": "Far end", "two": "Ridge", "all": "Top"}[self.form.currentData()])
