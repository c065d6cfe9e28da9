"""Dragging an opening along its wall, or into another, while it is chosen with the mouse."""

from __future__ import annotations

import math
from typing import NamedTuple

from PySide6.QtCore import Qt

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, OpeningId, RoomId, SideId
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.drawing_tool import ENTER, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.in_wall import along, moved, show_in_wall, stepped
from takeoff.ui.tools.preview import Preview

_AWAY_MM = 500.0
"""So far from its wall an opening is pulled off it, to another wall that is nearer."""


class Held(NamedTuple):
    """An opening that is dragged: the wall it would go into, where it was gripped, where the mouse is."""

    opening: Opening
    room: RoomId
    side: SideId
    curve: Curve
    grip_mm: float
    pointer: Pointer

    @property
    def from_start(self) -> bool:
        """Whether the pointer is nearer to the wall's start."""
        return along(self.curve, self.pointer.at) <= self.curve.length / 2.0


class SlideOpening:
    """What a drag does that begins on an opening. One edit on release; Escape leaves it where it was."""

    def __init__(self, kit: Kit) -> None:
        self._kit = kit
        self._preview = Preview(kit.plan)
        self._entry = Entry(Slot("from this corner"), Slot("from the other corner"))
        self._held: Held | None = None

    def begin(self, ref: Ref, pointer: Pointer) -> bool:
        """Take an opening up where it was pressed. False for anything else."""
        document = self._kit.plan.document
        openings = document.storey.openings if document.storey and ref.kind == "opening" else ()
        opening = next((o for o in openings if o.id == ref.id), None)
        if opening is None:
            return False
        try:
            _, curve = edits.side_curve(document.job, opening.room, opening.side)
        except InputError:
            return False  # its wall is gone, which is a finding: there is nothing to slide along
        grip = along(curve, pointer.at) - opening.offset_mm
        self._held = Held(opening, opening.room, opening.side, curve, grip, pointer)
        self._entry.clear()
        return True

    def move(self, pointer: Pointer) -> None:
        """Show where it would be."""
        if self._held is not None and not self._entry.begun:
            self._held = self._pulled(self._held._replace(pointer=pointer))
        self._show()

    def drop(self, pointer: Pointer) -> None:
        """Leave it there."""
        self.move(pointer)
        held = self._held
        if held is None or self._entry.wrong():
            self.cancel()
            return
        at, _ = self._offset(held)

        def slid(job: Job) -> Job:
            return edits.slide_opening(job, OpeningId(str(held.opening.id)), at, side=(held.room, held.side))

        self.cancel()
        document = self._kit.plan.document
        document.apply("Move an opening", slid)
        document.choose((Ref("opening", str(held.opening.id), str(held.room)),))

    def cancel(self) -> None:
        """Leave it where it was."""
        self._preview.clear()
        self._kit.readout.hide()
        self._held = None
        self._entry.clear()

    def key(self, key: int, text: str) -> bool:
        """A distance may be typed while the button is held; Enter leaves the opening there."""
        if self._held is None:
            return False
        if key in ENTER:
            self.drop(self._held.pointer)
            return True
        wanted = self._entry.backspace() if key == Qt.Key.Key_Backspace else self._entry.type(text)
        if wanted:
            self._show()
        return wanted

    def wants(self, text: str) -> bool:
        """Whether a character goes on with the distance that is typed."""
        return self._entry.wants(text)

    @property
    def words(self) -> tuple[str, ...]:
        """The lengths that are shown now."""
        return tuple(self._preview.words)

    def _pulled(self, held: Held) -> Held:
        """In another wall where the pointer is off this one and at that one."""
        at = held.pointer.at
        if math.dist(held.curve.at(along(held.curve, at)), at) <= _AWAY_MM:
            return held
        found = self._kit.aim.side(held.pointer)
        if found is None:
            return held
        room, side, curve = found
        return held._replace(room=room.id, side=SideId(side), curve=curve, grip_mm=held.opening.width_mm / 2.0)

    def _offset(self, held: Held) -> tuple[float, str]:
        """(the offset that is meant, what it is drawn to): typed, else by the pointer."""
        curve, width = held.curve, held.opening.width_mm
        near, other = (None, None) if self._entry.wrong() else (self._entry.value(0), self._entry.value(1))
        typed = near if other is None else other
        if typed is not None:
            from_start = held.from_start is (other is None)
            return (typed if from_start else curve.length - width - typed), ""
        wish = along(curve, held.pointer.at) - held.grip_mm
        return stepped(curve.length, width, wish, held.pointer.reach_mm, held.pointer.control)

    def _show(self) -> None:
        self._preview.clear()
        held = self._held
        if held is None:
            return
        at, said = self._offset(held)
        shown = moved(held.opening, at)
        wrong = ""
        try:
            edits.fitted(self._kit.plan.document.job, held.room, held.side, at, shown.width_mm, held.opening.id)
        except InputError as error:
            wrong = str(error)
        texts = tuple(self._entry.texts) if held.from_start else tuple(reversed(self._entry.texts))
        show_in_wall(self._preview, shown, held.curve, (texts[0], texts[1]), bool(wrong))
        ends = (at, held.curve.length - at - shown.width_mm)
        values = ends if held.from_start else ends[::-1]
        fields = [
            (slot.name, self._entry.texts[k] or metres(value), bool(self._entry.texts[k]))
            for k, (slot, value) in enumerate(zip(self._entry.slots, values, strict=True))
        ]
        plan = self._kit.plan
        self._kit.readout.show_at(
            plan.view.spot(held.pointer.at), plan.theme, fields, said, wrong or self._entry.wrong()
        )
