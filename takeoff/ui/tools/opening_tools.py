"""Openings placed in walls by a click or a typed distance, and dragged along their wall or into another; rooflights
dragged in their ceiling.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec
from PySide6.QtCore import Qt

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, OpeningId, Rooflight, RoomId, SideId
from takeoff.ui.canvas.targets import opening_corners
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import ENTER, DrawingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.tool_preview import Preview
from takeoff.units.printing import dim3
from takeoff.views.opening_types import Kind, OpeningType, new_opening, opening_types

STEP_MM = 10.0
"""Places along a wall go by so much while the mouse moves, counted from the nearer corner."""

_MIDDLE_REACHES = 1.0
"""So many clicks' reaches from the middle of a wall the middle is meant."""


def stepped(wall_mm: float, width_mm: float, wish_mm: float, reach_mm: float, free: bool) -> tuple[float, str]:
    """(the offset that is meant, what it is drawn to) for a wished one along a wall; ``free``: as wished.

    It stays within the wall: corners, the wall's middle, then steps from the nearer corner.
    """
    last = max(wall_mm - width_mm, 0.0)
    at = min(max(wish_mm, 0.0), last)
    if free:
        return at, ""
    if abs(at - last / 2.0) <= _MIDDLE_REACHES * reach_mm:
        return last / 2.0, tr("middle of the wall")
    if at <= last / 2.0:
        return round(at / STEP_MM) * STEP_MM, ""
    return max(last - round((last - at) / STEP_MM) * STEP_MM, 0.0), ""


def show_in_wall(
    preview: Preview, opening: Opening, curve: Curve, texts: tuple[str, str] = ("", ""), wrong: bool = False
) -> None:
    """The opening in its wall, with what is left to the wall's start and end; ``texts`` instead of these
    where they are being typed."""
    role = "hold" if wrong else "chosen"
    ring = tuple((x, y, 0.0) for x, y in opening_corners(opening, curve))
    preview.course(ring, closed=True, role=role, filled=True)
    start, end = opening.offset_mm, opening.offset_mm + opening.width_mm
    for low, high, text in ((0.0, start, texts[0]), (end, curve.length, texts[1])):
        if high - low > 1.0 and low < curve.length and high > 0.0:
            part = curve.part(max(low, 0.0), min(high, curve.length))
            preview.course(((part.x0, part.y0, part.bulge), (part.x1, part.y1, 0.0)), role=role)
            preview.length(part, text or dim3((high - low) / 1000.0), left=True)


def moved(opening: Opening, offset_mm: float) -> Opening:
    """The opening at another place of its side, for showing."""
    return msgspec.structs.replace(opening, offset_mm=offset_mm)


def along(curve: Curve, at: Point) -> float:
    """How far along a side a point lies, mm, within its ends."""
    return min(max(curve.where(*at)[0], 0.0), curve.length)


_PLACING: dict[Kind, str] = {
    "window": mark("Place a window"),
    "door": mark("Place a door"),
    "open": mark("Place a doorway, no door"),
}

_FAR = 4.0
"""A wall is meant from so many clicks' reaches away: its body counts, and a bit of the room."""


class PlaceOpening(DrawingTool):
    """An opening of a type follows the pointer along the walls; a click puts it there."""

    name = mark("Place an opening")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self._kind: OpeningType | None = None
        self.entry = Entry(Slot(tr("from this corner")), Slot(tr("from the other corner")))
        self._wall: OnSide | None = None
        self._from_start = True

    @property
    def kind(self) -> OpeningType:
        """What is placed: what was set last, else the job's most frequent type."""
        return self._kind or opening_types(self.plan.document.job)[0]

    def forget_kind(self) -> None:
        """Another job has types of its own."""
        self._kind = None

    def set_kind(self, kind: OpeningType) -> None:
        """Place openings of this type from now on."""
        self._kind = kind
        if self.plan.view.tool is self:
            self.show()

    # -- what the user does

    def click(self, pointer: Pointer) -> None:
        """Put the opening where it is shown."""
        self._aim_at(pointer)
        self._place()

    def enter(self) -> bool:
        """Put it where the typed distance says."""
        return self.entry.begun and self._place()

    def abandon(self) -> bool:
        """Nothing is ever begun: a click places at once."""
        self._wall = None
        return False

    def _place(self) -> bool:
        shown = self._shown()
        if shown is None or self.entry.wrong():
            return False
        opening, _, _ = shown

        def placed(job: Job) -> Job:
            return edits.place_opening(job, opening)

        done = self.apply(tr(_PLACING[opening.kind]), placed)
        if done:
            self.entry.clear()
            self.rest()
            self.plan.document.choose((Ref("opening", str(opening.id), str(opening.room)),))
        return done

    def job_changed(self) -> None:
        """Rooms may be others."""
        self._wall = None

    # -- what is shown

    def redraw(self) -> None:
        """The opening in the wall that is meant, and how far it is from both corners."""
        self.preview.clear()
        if self.pointer is not None:
            self._aim_at(self.pointer)
        shown = self._shown()
        if shown is None:
            self.tell((), tr("{opening}: point at a wall", opening=self.kind.words))
            return
        opening, curve, said = shown
        _, wrong = self.trial(lambda job: edits.place_opening(job, opening))
        to_start, to_end = opening.offset_mm, curve.length - opening.offset_mm - opening.width_mm
        texts = tuple(self.entry.texts) if self._from_start else tuple(reversed(self.entry.texts))
        show_in_wall(self.preview, opening, curve, (texts[0], texts[1]), bool(wrong))
        near, other = (to_start, to_end) if self._from_start else (to_end, to_start)
        fields = ((self.entry.slots[0].name, metres(near)), (self.entry.slots[1].name, metres(other)))
        self.tell(fields, wrong or said or self.kind.words)

    def next_step(self) -> str:
        """What a click does."""
        return tr(
            "{opening}: click on a wall, or type the distance from the nearer corner; Tab for the other corner.",
            opening=self.kind.words,
        )

    def _aim_at(self, pointer: Pointer) -> None:
        """Take the wall that is pointed at; while something is typed the wall stays."""
        if self.entry.begun and self._wall is not None:
            return
        wide = Pointer(pointer.at, pointer.reach_mm * _FAR, pointer.shift, pointer.control)
        self._wall = self.aim.side(wide)
        if self._wall is not None:
            curve = self._wall[2]
            self._from_start = along(curve, pointer.at) <= curve.length / 2.0

    def _shown(self) -> tuple[Opening, Curve, str] | None:
        """(the opening where it would be, its wall, what it is drawn to)."""
        if self._wall is None or self.pointer is None:
            return None
        room, side, curve = self._wall
        opening = new_opening(self.plan.document.job, self.kind, RoomId(str(room.id)), SideId(side), 0.0)
        typed = None if self.entry.wrong() else self._typed(curve, opening.width_mm)
        if typed is not None:
            return moved(opening, typed), curve, ""
        wish = along(curve, self.pointer.at) - opening.width_mm / 2.0
        at, said = stepped(curve.length, opening.width_mm, wish, self.pointer.reach_mm, self.pointer.control)
        return moved(opening, at), curve, said

    def _typed(self, curve: Curve, width_mm: float) -> float | None:
        """The offset that was typed, from either corner; None for nothing."""
        near, other = self.entry.value(0), self.entry.value(1)
        if other is not None:
            return curve.length - width_mm - other if self._from_start else other
        if near is not None:
            return near if self._from_start else curve.length - width_mm - near
        return None


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
        self._entry = Entry(Slot(tr("from this corner")), Slot(tr("from the other corner")))
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
        document.apply(tr("Move an opening"), slid)
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


class DragRooflight:
    """What a drag does that begins on a rooflight: it moves by steps, freely with Ctrl. One edit on release; Escape
    leaves it where it was."""

    def __init__(self, kit: Kit) -> None:
        self._kit = kit
        self._preview = Preview(kit.plan)
        self._light: Rooflight | None = None
        self._from: Pointer | None = None

    def begin(self, ref: Ref, pointer: Pointer) -> bool:
        """Take a rooflight up where it was pressed. False for anything else."""
        storey = self._kit.plan.document.storey
        lights = storey.rooflights if storey is not None and ref.kind == "rooflight" else ()
        self._light = next((light for light in lights if light.id == ref.id), None)
        self._from = pointer
        return self._light is not None

    def move(self, pointer: Pointer) -> None:
        """Show where it would be, and why it cannot be there."""
        self._preview.clear()
        light, by = self._light, self._by(pointer)
        if light is None:
            return
        wrong = ""
        try:
            edits.move_rooflight(self._kit.plan.document.job, light.id, by)
        except InputError as error:
            wrong = str(error)
        self._preview.course([(x + by[0], y + by[1], bulge) for x, y, bulge in light.outline], closed=True, filled=True)
        plan = self._kit.plan
        fields = [(tr("across"), metres(abs(by[0])), False), (tr("up"), metres(abs(by[1])), False)]
        self._kit.readout.show_at(plan.view.spot(pointer.at), plan.theme, fields, tr("Move a rooflight"), wrong)

    def drop(self, pointer: Pointer) -> None:
        """Leave it there."""
        light, by = self._light, self._by(pointer)
        self.cancel()
        if light is not None:
            document = self._kit.plan.document
            document.apply(tr("Move a rooflight"), lambda job: edits.move_rooflight(job, light.id, by))
            document.choose((Ref("rooflight", str(light.id), str(light.room)),))

    def cancel(self) -> None:
        """Leave it where it was."""
        self._preview.clear()
        self._kit.readout.hide()
        self._light = None

    def key(self, key: int, text: str) -> bool:
        """No key has a meaning while it is dragged."""
        del key, text
        return False

    def wants(self, text: str) -> bool:
        """Nothing is typed."""
        del text
        return False

    def _by(self, pointer: Pointer) -> Point:
        if self._from is None:
            return 0.0, 0.0
        dx, dy = pointer.at[0] - self._from.at[0], pointer.at[1] - self._from.at[1]
        return (dx, dy) if pointer.control else (round(dx / STEP_MM) * STEP_MM, round(dy / STEP_MM) * STEP_MM)
