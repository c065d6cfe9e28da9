"""Corners added to a side and taken away, and the height of the ceiling at a corner, typed on the plan."""

from __future__ import annotations

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId, SideId
from takeoff.sheets.wall_names import wall_letters
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import DrawingTool, HoldingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.tool_preview import WORDS, show_rooms


class AddCorner(DrawingTool):
    """A corner where a side is clicked, or so far from the end of the side that is nearer."""

    name = mark("Add a corner")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot(tr("from the end")))

    def click(self, pointer: Pointer) -> None:
        """Put the corner in."""
        del pointer
        self._place()

    def enter(self) -> bool:
        """Put the corner in at the typed distance."""
        return self._place()

    def job_changed(self) -> None:
        """Nothing is kept but what is typed."""
        self.entry.clear()

    def _place(self) -> bool:
        on = self._side()
        if on is None:
            return False
        room, side, curve = on

        def parted(job: Job) -> Job:
            return edits.insert_corner(job, room.id, SideId(side), *curve.at(self._cut(curve)))

        if self.apply(tr("Add a corner"), parted):
            self.entry.clear()
            self.plan.document.choose((Ref("room", str(room.id)),))
        return True

    def _side(self) -> OnSide | None:
        return self.aim.side(self.pointer) if self.pointer is not None else None

    def _from_end(self, curve: Curve) -> bool:
        """Whether the pointer is nearer to the side's end than to its start."""
        return self.pointer is not None and curve.where(*self.pointer.at)[0] > curve.length / 2.0

    def _cut(self, curve: Curve) -> float:
        """How far along the side the corner goes, mm."""
        typed = self.entry.value(0)
        if typed is not None:
            return curve.length - typed if self._from_end(curve) else typed
        if self.pointer is None:
            raise InputError(tr("Point at a side first."))
        snap = self.aim.at(self.pointer)
        return curve.where(*(snap.at if snap is not None else self.pointer.at))[0]

    def next_step(self) -> str:
        """Where to click."""
        return tr("Click a side where it gets a corner, or point at it and type how far from its nearer end.")

    def redraw(self) -> None:
        """The corner on its side, with the lengths before and after it."""
        self.preview.clear()
        on = self._side()
        if on is None:
            self.tell(((tr("from the end"), ""),) if self.entry.begun else ())
            return
        _, _, curve = on
        try:
            cut = self._cut(curve)
        except InputError:
            cut = -1.0
        self.preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.8)
        if not 0.0 < cut < curve.length:
            said = "" if self.entry.wrong() else tr("beyond the ends of the side")
            self.tell(((tr("from the end"), ""),), said)
            return
        parts = curve.part(0.0, cut), curve.part(cut, curve.length)
        far = self._from_end(curve)
        for number, part in enumerate(parts):
            typed = self.entry.texts[0] if number == int(far) else ""
            self.preview.length(part, typed)
        self.preview.dot(curve.at(cut))
        snap = self.aim.at(self.pointer) if self.pointer is not None and not self.entry.begun else None
        said = tr(WORDS[snap.kind]) if snap is not None and snap.kind in ("middle", "crossing") else ""
        self.tell(((tr("from the end"), metres(parts[int(far)].length)),), said or tr("click: a corner here"))


class RemoveCorner(DrawingTool):
    """A corner taken away: the side before it runs on."""

    name = mark("Remove a corner")

    def click(self, pointer: Pointer) -> None:
        """Take the corner under the mouse away."""
        on = self.aim.corner(pointer)
        if on is not None:
            room, side = on[0].id, SideId(on[1])
            if self.apply(tr("Remove a corner"), lambda job: _without(job, room, side)):
                self.plan.document.choose((Ref("room", str(room)),))

    def next_step(self) -> str:
        """Where to click."""
        return tr("Click a corner to remove it: the side before it runs on to the next corner.")

    def redraw(self) -> None:
        """The room as it would be without the corner."""
        self.preview.clear()
        on = self.aim.corner(self.pointer) if self.pointer is not None else None
        if on is None:
            self.tell(())
            return
        room, side = on[0].id, SideId(on[1])
        job, reason = self.trial(lambda job: _without(job, room, side))
        show_rooms(self.preview, self.storey, job)
        self.preview.dot((on[2].x0, on[2].y0))
        letter = wall_letters(on[0]).get(on[1], "")
        self.tell((), tr("click: removes the corner before side {letter}", letter=letter), reason)


def _without(job: Job, room: RoomId, side: SideId) -> Job:
    return edits.keep_sound(job, edits.delete_corner(job, room, side), {room})


_FAR = 3.0
"""A corner is meant from so many clicks' reaches away."""


class CornerHeight(HoldingTool[OnSide]):
    """A corner is clicked and its height typed; the other corners stay as high as they are."""

    name = mark("Set the height of the ceiling at a corner")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot(tr("height")))

    def click(self, pointer: Pointer) -> None:
        """Take the corner that is pointed at."""
        found = self._aim(pointer)
        if found is not None:
            self.held = found
            self.entry.clear()
            self.plan.document.choose((Ref("room", str(found[0].id)),))

    def enter(self) -> bool:
        """Set the height that was typed at the corner."""
        corner, mm = self.held, self.entry.value(0)
        if corner is None and self.pointer is not None:
            corner = self._aim(self.pointer)
        if corner is None or mm is None:
            return False
        room, side = corner[0].id, SideId(corner[1])

        def raised(job: Job) -> Job:
            return edits.set_corner_heights(job, room, {side: mm})

        if self.apply(tr("Set the ceiling to {height} at a corner", height=metres(mm)), raised):
            self.entry.clear()
            self.held = None
        return True

    def next_step(self) -> str:
        """What to do next."""
        if self.held is None:
            return tr("Click a corner of a room, then type how high its ceiling is there.")
        return tr("Type how high the ceiling is at this corner, above the floor, and press Enter.")

    def redraw(self) -> None:
        """The corner that is meant, and how high the ceiling is there now."""
        self.preview.clear()
        corner = self.held or (self._aim(self.pointer) if self.pointer is not None else None)
        if corner is None:
            self.tell((), tr("point at a corner"))
            return
        self.preview.dot((corner[2].x0, corner[2].y0))
        now = edits.corner_heights(self.plan.document.job, corner[0].id).get(SideId(corner[1]))
        if now is None:
            self.tell((), tr("at a pier the ceiling follows the room"))
            return
        mm = None if self.entry.wrong() else self.entry.value(0)
        wrong = ""
        if mm is not None:
            _, wrong = self.trial(lambda job: edits.set_corner_heights(job, corner[0].id, {SideId(corner[1]): mm}))
        self.tell(((tr("height"), metres(now)),), "", wrong)

    def _aim(self, pointer: Pointer) -> OnSide | None:
        return self.aim.corner(Pointer(pointer.at, pointer.reach_mm * _FAR, pointer.shift, pointer.control))
