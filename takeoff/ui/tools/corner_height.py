"""The height of a ceiling at a corner, typed on the plan: click a corner, type, Enter."""

from __future__ import annotations

from takeoff.plan import edits
from takeoff.plan.model import Job, SideId
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot

_FAR = 3.0
"""A corner is meant from so many clicks' reaches away."""


class CornerHeight(DrawingTool):
    """A corner is clicked and its height typed; the other corners stay as high as they are."""

    name = "Set the height of the ceiling at a corner"

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot("height"))
        self.corner: OnSide | None = None

    def click(self, pointer: Pointer) -> None:
        """Take the corner that is pointed at."""
        found = self._aim(pointer)
        if found is not None:
            self.corner = found
            self.entry.clear()
            self.plan.document.choose((Ref("room", str(found[0].id)),))

    def enter(self) -> bool:
        """Set the height that was typed at the corner."""
        corner, mm = self.corner, self.entry.value(0)
        if corner is None and self.pointer is not None:
            corner = self._aim(self.pointer)
        if corner is None or mm is None:
            return False
        room, side = corner[0].id, SideId(corner[1])

        def raised(job: Job) -> Job:
            return edits.set_corner_heights(job, room, {side: mm})

        if self.apply(f"Ceiling {metres(mm)} high at a corner", raised):
            self.entry.clear()
            self.corner = None
        return True

    @property
    def begun(self) -> bool:
        """Whether a corner is in the hand."""
        return self.corner is not None

    def abandon(self) -> bool:
        """Let go of the corner."""
        begun, self.corner = self.corner is not None, None
        return begun

    take_back = abandon

    def job_changed(self) -> None:
        """Rooms may be others."""
        self.corner = None

    def next_step(self) -> str:
        """What to do next."""
        if self.corner is None:
            return "Click a corner of a room, then type how high its ceiling is there."
        return "Type how high the ceiling is at this corner, above the floor, and press Enter."

    def redraw(self) -> None:
        """The corner that is meant, and how high the ceiling is there now."""
        self.preview.clear()
        corner = self.corner or (self._aim(self.pointer) if self.pointer is not None else None)
        if corner is None:
            self.tell((), "point at a corner")
            return
        self.preview.dot((corner[2].x0, corner[2].y0))
        now = edits.corner_heights(self.plan.document.job, corner[0].id).get(SideId(corner[1]))
        if now is None:
            self.tell((), "the ceiling at a pier follows the room's")
            return
        mm = None if self.entry.wrong() else self.entry.value(0)
        wrong = ""
        if mm is not None:
            _, wrong = self.trial(lambda job: edits.set_corner_heights(job, corner[0].id, {SideId(corner[1]): mm}))
        self.tell((("height", metres(now)),), "", wrong)

    def _aim(self, pointer: Pointer) -> OnSide | None:
        return self.aim.corner(Pointer(pointer.at, pointer.reach_mm * _FAR, pointer.shift, pointer.control))
