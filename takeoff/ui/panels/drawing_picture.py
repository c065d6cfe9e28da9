"""A picture to trace: straightened by a rectangle, scaled by one length, shown more or less."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from takeoff.language import mark, tr
from takeoff.language import number as shown_number
from takeoff.plan.model import PlacedPicture
from takeoff.ui.panels.form_fields import ChoiceField, LengthField, said
from takeoff.ui.panels.page_parts import fill, label, restyle, set_text, stacked

Pick = Literal["rectangle", "length"]

_CROOKED = mark("A photo or a crooked scan: straighten it by a rectangle of known sides.")
_STRAIGHT = mark("If it is straight already: one known length.")
_SHOWS = (("on", mark("shown")), ("dimmed", mark("dimmed")), ("off", mark("hidden")))


class PictureSection(QWidget):
    """Two ways to place a picture, and what to do then."""

    pick = Signal(str)
    """Points are wanted: "rectangle" (four) or "length" (two)."""
    straighten = Signal(object, object)
    """The rectangle's sides across and upwards, mm."""
    scale = Signal(object)
    trace = Signal()
    show_changed = Signal(str)
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.state = label("", "name", wrap=True)
        self.corners = QPushButton(tr("Click its four corners"))
        self.corners.setToolTip(tr("Corners of a door, a room, a grid, the sheet: any rectangle of known sides"))
        self.across = LengthField(tr("Width of the rectangle"))
        self.upwards = LengthField(tr("Height of the rectangle"))
        self.ends = QPushButton(tr("Click its two ends"))
        self.length = LengthField(tr("Known length"))
        self.trace_button = QPushButton(tr("Trace a room"))
        self.trace_button.setProperty("part", "main")
        self.shown = ChoiceField(tr("How the picture is shown"), said(_SHOWS))
        self._build()
        self.corners.clicked.connect(self._pick_rectangle)
        self.ends.clicked.connect(self._pick_length)
        self.across.typed.connect(self._sides)
        self.upwards.typed.connect(self._sides)
        self.length.typed.connect(self.scale)
        for field in (self.across, self.upwards, self.length):
            field.refused.connect(self.refused)
        self.trace_button.clicked.connect(self.trace)
        self.shown.picked.connect(self.show_changed)
        self._lengths: dict[str, float] = {}
        self.show_picked("rectangle", 0)
        self.show_picked("length", 0)

    def _build(self) -> None:
        down = stacked(self)
        fill(
            down,
            label(tr("Picture to trace"), "heading"),
            self.state,
            4,
            label(tr(_CROOKED), "grey", wrap=True),
            self.corners,
        )
        sides = QGridLayout()
        sides.setColumnStretch(0, 1)
        fields = ((tr("Width, across"), self.across), (tr("Height, upwards"), self.upwards))
        for number, (words, field) in enumerate(fields):
            name = label(words, "name")
            name.setBuddy(field)
            sides.addWidget(name, number, 0)
            sides.addWidget(field, number, 1)
        fill(down, sides, 4, label(tr(_STRAIGHT), "grey", wrap=True))
        row = QGridLayout()
        row.setColumnStretch(0, 1)
        row.addWidget(self.ends, 0, 0)
        row.addWidget(self.length, 0, 1)
        fill(down, row, 4, self.trace_button)
        show = QGridLayout()
        show.setColumnStretch(0, 1)
        show.addWidget(label(tr("The picture is"), "name"), 0, 0)
        show.addWidget(self.shown, 0, 1)
        down.addLayout(show)

    def show_picture(self, placed: PlacedPicture | None, shown: bool, lost: str = "") -> None:
        """Say how the picture lies; None hides all of it. ``lost``: why it cannot be shown."""
        self.setVisible(placed is not None)
        if placed is None:
            return
        if lost:
            words = lost
        elif not shown:
            words = tr("Preparing the picture…")
        elif placed.mm_per_px is None:
            words = tr("No scale yet: give its size before you trace, or every figure is wrong.")
        else:
            size = shown_number(Decimal(f"{placed.mm_per_px:.3g}"))
            words = tr("In place: a pixel is {size} mm. Trace its rooms with the drawing tools.", size=size)
        set_text(self.state, words)
        restyle(self.state, "urgent" if lost or placed.mm_per_px is None else "name")
        self.trace_button.setEnabled(placed.mm_per_px is not None)

    def show_picked(self, kind: Pick, count: int) -> None:
        """So many points were clicked; all of them: the lengths wait to be typed."""
        fields = (self.across, self.upwards) if kind == "rectangle" else (self.length,)
        enough = count >= (4 if kind == "rectangle" else 2)
        for field in fields:
            field.setEnabled(enough)
            if not count:
                field.show_mm(None)
        if not count:
            self._lengths.clear()
        elif enough:
            fields[0].setFocus()

    def _pick_rectangle(self) -> None:
        self.pick.emit("rectangle")

    def _pick_length(self) -> None:
        self.pick.emit("length")

    def _sides(self, mm: object) -> None:
        field = self.sender()
        if isinstance(mm, float):
            self._lengths["across" if field is self.across else "upwards"] = mm
        if len(self._lengths) == 2:
            self.straighten.emit(self._lengths["across"], self._lengths["upwards"])
        elif field is self.across:
            self.upwards.setFocus()
