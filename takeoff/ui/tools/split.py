"""A room parted by a line: from a side, at a place or a typed distance, across to another."""

from __future__ import annotations

import math
from typing import Literal

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.snapping import From, Snap
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.model import Room
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import Edit, HoldingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.new_rooms import choose_new_room, room_ids
from takeoff.ui.tools.outline import square_where_near
from takeoff.ui.tools.tool_preview import WORDS, show_rooms
from takeoff.units.lengths import DEPTH

USUAL_MM = 100.0
"""The thickness that a new partition begins with (common practice, no source)."""

_MOVED = 3.0
"""Before the mouse has gone so many reaches since it began, the line runs square across."""


class Split(HoldingTool[Point]):
    """Click a side, then where the line goes; Enter takes it square across. A wall has its thickness
    half on either side of the line; an open side has none."""

    def __init__(self, kit: Kit, kind: Literal["wall", "open"] = "wall") -> None:
        super().__init__(kit)
        self.kind = kind
        self.name = tr("Split a room by a wall") if kind == "wall" else tr("Split a room by an open side")
        self.thickness_mm = USUAL_MM
        self.on: OnSide | None = None
        """The side on which the line begins."""
        self._begun_at: Pointer | None = None
        """Where the mouse was when the line was begun."""
        self._fresh_entry()

    def _fresh_entry(self) -> None:
        begins = (Slot(tr("from the end")),) if self.held is None else ()
        wall = (Slot(tr("wall"), size=DEPTH),) if self.kind == "wall" else ()
        self.entry = Entry(*begins, *wall)

    # -- mouse and keys

    def click(self, pointer: Pointer) -> None:
        """Begin on a side, or part the room."""
        if self.held is None:
            self._begin()
        else:
            self._place()

    def enter(self) -> bool:
        """Begin at the typed distance; part the room as it is shown."""
        if self.held is None:
            if not self.entry.begun:
                return False
            self._begin()
            return True
        self._place()
        return True

    def let_go(self) -> None:
        """Where the line began."""
        self.on = None
        self._fresh_entry()

    def _begin(self) -> None:
        on = self._side()
        if on is None:
            return
        self._keep_thickness()
        at = self._start(on)
        if at is None:
            self.refuse(tr("This is beyond the ends of the side: type less."))
            return
        self.on, self.held, self._begun_at = on, at, self.pointer
        self._fresh_entry()
        self.plan.document.choose((Ref("room", str(on[0].id)),))

    def _place(self) -> None:
        edit = self._edit()
        self._keep_thickness()
        if edit is not None:
            known = room_ids(self.plan)
            if self.apply(tr("Split a room") if self.kind == "wall" else self.name, edit):
                self.abandon()
                choose_new_room(self.plan, known)

    def _keep_thickness(self) -> None:
        """What was typed for the wall holds for the next one too."""
        self.thickness_mm = self._thickness()

    # -- where it runs

    def _side(self) -> OnSide | None:
        return self.aim.side(self.pointer) if self.pointer is not None else None

    def _thickness(self) -> float:
        if self.kind == "open":
            return 0.0
        try:
            typed = self.entry.value(len(self.entry.slots) - 1)
        except InputError:
            typed = None
        return self.thickness_mm if typed is None or typed < 0 else typed

    def _start(self, on: OnSide) -> Point | None:
        """Where on the side the line begins; None for a typed distance beyond it."""
        curve = on[2]
        cut = self._cut(curve)
        return curve.at(cut) if 0.0 <= cut <= curve.length else None

    def _cut(self, curve: Curve) -> float:
        try:
            typed = self.entry.value(0)
        except InputError:
            typed = None
        if self.pointer is None:
            return -1.0
        t, _ = curve.where(*self.pointer.at)
        if typed is not None:
            # a wall is set out from its face: the line is its middle
            to_middle = typed + self._thickness() / 2.0
            return curve.length - to_middle if t > curve.length / 2.0 else to_middle
        snap = self.aim.at(self.pointer)
        along = curve.where(*snap.at)[0] if snap is not None else t
        return min(max(along, 0.0), curve.length)

    def _edit(self) -> Edit | None:
        other = self._other()
        first, on = self.held, self.on
        if other is None or first is None or on is None:
            return None
        thick = self._thickness()
        # a wall of no thickness is an open side's twin that coats both faces of nothing
        kind: Literal["wall", "open"] = "wall" if thick > 0 else "open"
        return lambda job: edits.split_room(job, on[0].id, first, other, kind, thick)

    def _other(self) -> Point | None:
        """Where the line ends: through the pointer, square across before the mouse has moved."""
        if self.held is None or self.on is None:
            return None
        room, _, curve = self.on
        pointer, begun, inward = self.pointer, self._begun_at, _inward(curve, self.held)
        if pointer is None or begun is None or (math.dist(pointer.at, begun.at) <= _MOVED * pointer.reach_mm):
            return edits.across(room, self.held, inward)
        snap = self._snap(pointer)
        x, y = snap.at if snap is not None else pointer.at
        length = math.dist((x, y), self.held)
        if length <= 0:
            return None
        way = (x - self.held[0]) / length, (y - self.held[1]) / length
        if not pointer.control and (snap is None or snap.along is not None):
            way = square_where_near(way, inward)
        return edits.across(room, self.held, way)

    def _snap(self, pointer: Pointer) -> Snap | None:
        if self.held is None or self.on is None:
            return self.aim.at(pointer)
        inward = _inward(self.on[2], self.held)
        return self.aim.at(pointer, From(self.held, (inward,)))

    # -- what is shown

    def next_step(self) -> str:
        """What to do next."""
        is_wall = self.kind == "wall"
        if self.held is None:
            if is_wall:
                return tr("Click the side where the wall begins, or point at it and type how far from its nearer end.")
            return tr("Click the side where the open side begins, or point at it and type how far from its nearer end.")
        if is_wall:
            return tr("Click where the wall goes, or press Enter at once for square across. Type a number: thickness.")
        return tr("Click where the open side goes, or press Enter at once for square across.")

    def redraw(self) -> None:
        """The beginning with the lengths beside it; then the two rooms."""
        self.preview.clear()
        if self.held is None:
            self._show_start()
            return
        edit = self._edit()
        job, reason = self.trial(edit) if edit is not None else (None, "")
        show_rooms(self.preview, self.storey, job)
        self.preview.dot(self.held)
        other = self._other()
        if job is None and other is not None:
            self.preview.line(self.held, other, "hold")
        snap = self._snap(self.pointer) if self.pointer is not None else None
        marked = ""
        if snap is not None and snap.at != self.held:
            self.preview.mark(snap, self.held)
            marked = tr(WORDS[snap.kind])
        fields = ((tr("wall"), metres(self.thickness_mm)),) if self.kind == "wall" else ()
        self.tell(fields, marked, reason)

    def _show_start(self) -> None:
        on = self._side()
        if on is None:
            self.tell(self._fields("") if self.entry.begun else ())
            return
        room, _, curve = on
        self.preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.8)
        at = self._start(on)
        if at is None:
            self.tell(self._fields(""), "" if self.entry.wrong() else tr("beyond the ends of the side"))
            return
        cut = self._cut(curve)
        half = self._thickness() / 2.0
        # lengths are shown from face to face, as they are taped
        for start, end in ((0.0, cut - half), (cut + half, curve.length)):
            if end > start:
                self.preview.length(curve.part(start, end), left=True)
        self.preview.dot(at)
        self._show_across(room, curve, at)
        near = min(cut, curve.length - cut) - half
        self.tell(self._fields(metres(max(near, 0.0))), tr("click: it begins here"))

    def _show_across(self, room: Room, curve: Curve, at: Point) -> None:
        end = edits.across(room, at, _inward(curve, at))
        if end is not None:
            self.preview.line(at, end, dash_mm=(1.2, 1.0))

    def _fields(self, along: str) -> tuple[tuple[str, str], ...]:
        fields = ((tr("from the end"), along),)
        return (*fields, (tr("wall"), metres(self.thickness_mm))) if self.kind == "wall" else fields


def _inward(curve: Curve, at: Point) -> Point:
    """Square to a side, into its room: rooms lie to the left of their sides."""
    dx, dy = curve.direction(min(max(curve.where(*at)[0], 0.0), curve.length))
    return -dy, dx
