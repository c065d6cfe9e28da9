"""Bending a side to an arc: pulled with the mouse, through a point of the drawing, or by a typed rise."""

from __future__ import annotations

import math

from takeoff.geometry.curves import Curve, Point, rise_through
from takeoff.plan import edits
from takeoff.plan.model import SideId
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.changes import show_rooms
from takeoff.ui.tools.drawing_tool import DrawingTool, Edit, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.preview import WORDS

_DRAG = 1.0
"""The mouse released further than so many reaches from where it was pressed has dragged."""


class Bend(DrawingTool):
    """The side becomes the arc through its ends and the pointer, at most half a circle."""

    name = "Bend a side to an arc"

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot("rise"))
        self.held: OnSide | None = None
        self._grabbed: Point | None = None

    # -- mouse and keys

    def click(self, pointer: Pointer) -> None:
        """Pick up the side, then put its arc down."""
        if self.held is not None:
            self._place()
            return
        self._hold(pointer)
        self._grabbed = pointer.at if self.held is not None else None

    def release(self, pointer: Pointer) -> None:
        """A drag ends where it is released; a click leaves the side picked up."""
        grabbed, self._grabbed = self._grabbed, None
        if grabbed is not None and math.dist(grabbed, pointer.at) > _DRAG * pointer.reach_mm:
            self.pointer = pointer
            self._place()
            self.show()

    def enter(self) -> bool:
        """Make the arc that is typed or shown."""
        if self.held is None:
            return False
        self._place()
        return True

    @property
    def begun(self) -> bool:
        """Whether something is in the hand."""
        return self.held is not None

    def abandon(self) -> bool:
        """Leave the side as it was."""
        held, self.held = self.held, None
        self._grabbed = None
        return held is not None

    take_back = abandon

    def job_changed(self) -> None:
        """What is held may be gone."""
        self.abandon()
        self.entry.clear()

    def _hold(self, pointer: Pointer | None) -> None:
        self.held = self.aim.side(pointer) if pointer is not None else None
        if self.held is not None:
            room, side, _ = self.held
            self.plan.document.choose((Ref("side", side, str(room.id)),))

    def _place(self) -> None:
        edit = self._edit()
        if edit is not None and self.apply("Bend a side", edit):
            self.abandon()
            self.entry.clear()

    # -- the arc

    def _edit(self) -> Edit | None:
        if self.held is None:
            return None
        room, side, curve = self.held
        return lambda job: edits.bend_side(job, room.id, SideId(side), self._rise(curve))

    def _rise(self, curve: Curve) -> float:
        """How far the arc rises out of the room, negative into it, mm."""
        pointed = self._pointed(curve)
        typed = self.entry.value(0)
        if typed is None:
            return pointed
        return -typed if pointed < 0 else typed

    def _pointed(self, curve: Curve) -> float:
        """The rise of the arc through the pointer."""
        if self.pointer is None:
            return 0.0
        snap = self.aim.at(self.pointer, None, self._own())
        x, y = snap.at if snap is not None else self.pointer.at
        return rise_through((curve.x0, curve.y0), (curve.x1, curve.y1), (x, y))

    def _own(self) -> frozenset[tuple[str, str]]:
        return frozenset({(str(self.held[0].id), self.held[1])}) if self.held is not None else frozenset()

    # -- what is shown

    def next_step(self) -> str:
        """What to do next."""
        if self.held is None:
            return "Drag the middle of a side out or in, or click the side and type how far it rises."
        return "Click a point of the arc, or type how far it rises in its middle. 0 makes the side straight."

    def redraw(self) -> None:
        """The side under the pointer; the arc as it would be."""
        self.preview.clear()
        if self.held is None and self.entry.begun:
            self._hold(self.pointer)
        if self.held is None:
            on = self.aim.side(self.pointer) if self.pointer is not None else None
            if on is not None:
                curve = on[2]
                self.preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.8)
            self.tell((), "drag it out or in" if on is not None else "")
            return
        edit = self._edit()
        job, reason = self.trial(edit) if edit is not None else (None, "")
        show_rooms(self.preview, self.storey, job)
        rise = self._pointed(self.held[2])
        way = "out" if rise > 0 else "in" if rise < 0 else ""
        snap = self.aim.at(self.pointer, None, self._own()) if self.pointer is not None else None
        if snap is not None and not self.entry.begun:
            self.preview.mark(snap)
        marked = f"through: {WORDS[snap.kind]}" if snap is not None and not self.entry.begun else ""
        self.tell((("rise", f"{metres(abs(rise))} {way}"),), marked, reason)
