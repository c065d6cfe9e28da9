"""Placing openings: a click on a wall, or a typed distance from one of its corners."""

from __future__ import annotations

from takeoff.geometry.curves import Curve
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, RoomId, SideId
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.in_wall import along, moved, show_in_wall, stepped
from takeoff.views.openings import Kind, OpeningType, new_opening, opening_types

WORDS: dict[Kind, str] = {"window": "window", "door": "door", "open": "open way"}

_FAR = 4.0
"""A wall is meant from so many clicks' reaches away: its body counts, and a bit of the room."""


class PlaceOpening(DrawingTool):
    """An opening of a type follows the pointer along the walls; a click puts it there."""

    name = "Place an opening"

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self._kind: OpeningType | None = None
        self.entry = Entry(Slot("from this corner"), Slot("from the other corner"))
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

        done = self.apply(f"Place a {WORDS[opening.kind]}".replace("a open", "an open"), placed)
        if done:
            self.entry.clear()
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
            self.tell((), f"{self.kind.words}: point at a wall")
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
        return (
            f"{self.kind.words}: click on a wall, or type how far it stands from the nearer corner; "
            "Tab for the other corner."
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
