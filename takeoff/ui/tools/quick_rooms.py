"""Rooms by a click or two: rectangles and circles; parts of ceilings left out likewise."""

from __future__ import annotations

import math
from typing import Literal

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.snapping import Snap
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.model import Exclusion, Job, Source, Vertex
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import room_round
from takeoff.ui.tools.drawing_tool import HoldingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.new_rooms import choose_new_room, room_ids, usual_start
from takeoff.ui.tools.tool_preview import WORDS

What = Literal["room", "pier", "round pier"]

_DRAG = 6.0
"""The mouse released so many reaches from where it was pressed has drawn the rectangle."""


class Rectangle(HoldingTool[Point]):
    """A room or a pier with four square corners, or a round pier.

    It runs along the line that its first corner was drawn to, so that it fits a building that
    stands askew on its sheet. With both sizes typed, one click or Enter places it.
    """

    def __init__(self, kit: Kit, what: What = "room") -> None:
        super().__init__(kit)
        self.what = what
        self.name = {
            "room": tr("Draw a rectangular room"),
            "pier": tr("Draw a rectangular pier"),
            "round pier": tr("Draw a round pier"),
        }[what]
        self.entry = (
            Entry(Slot(tr("diameter"))) if what == "round pier" else Entry(Slot(tr("width")), Slot(tr("depth")))
        )
        self._along: Point = (1.0, 0.0)
        self._drags = False

    # -- mouse and keys

    def click(self, pointer: Pointer) -> None:
        """The first corner, then the one across; the only one where all sizes are typed."""
        if self.held is None:
            self._begin(pointer)
            if self._all_typed():
                self._place()
        else:
            self._place()

    def release(self, pointer: Pointer) -> None:
        """A drag ends in the corner across."""
        far = self.held is not None and math.dist(self.held, pointer.at) > _DRAG * pointer.reach_mm
        if self._drags and far:
            self.pointer = pointer
            self._place()
            self.show()
        self._drags = False

    def _begin(self, pointer: Pointer) -> None:
        snap = self.aim.at(pointer)
        self.held = snap.at if snap is not None else pointer.at
        self._along = _along(snap)
        self._drags = True

    def enter(self) -> bool:
        """Place what is typed, where nothing was clicked at the pointer or in a free place."""
        if self.held is None:
            if not self._all_typed():
                if self.entry.begun:
                    self.entry.step(1)
                return True
            self.held = usual_start(self.plan, self.aim, self.pointer)
            if self.pointer is not None:
                self._along = _along(self.aim.at(self.pointer))
        self._place()
        return True

    def let_go(self) -> None:
        """Which way it runs, too."""
        self._along, self._drags = (1.0, 0.0), False

    def job_changed(self) -> None:
        """The first corner is a place on the plan, and stays one."""

    def _place(self) -> None:
        ring = self._ring()
        if ring is None:
            return
        typed = [self._typed(0), self._typed(1 if len(self.entry.slots) > 1 else 0)]
        sources: list[Source] = ["drawn" if typed[k % 2] is None else "typed" for k in range(4)]
        source: Source = "typed" if None not in typed else "drawn"
        known, storey, storey_id = room_ids(self.plan), self.storey, self.storey_id
        points = [vertex[:2] for vertex in ring]
        if self.what == "room":
            done = self.apply(tr("Draw a room"), lambda job: edits.draw_room(job, storey_id, ring, sources))
        else:
            done = self.apply(
                tr("Draw a pier"), lambda job: edits.add_pier(job, room_round(storey, points), ring, source)
            )
        # a room that was refused is begun anew: its corner is no good
        self.abandon()
        if done:
            self.entry.clear()
            choose_new_room(self.plan, known)

    # -- what is shown

    def next_step(self) -> str:
        """What to click or type next."""
        if self.what == "round pier":
            return tr("Type the diameter, then click the middle inside a room; or click the middle, then the edge.")
        if self.held is None and self.what == "room":
            return tr("Click two opposite corners, or type width x depth (3.45 x 4.20) and press Enter.")
        if self.held is None:
            return tr("Click two opposite corners inside a room, or type width x depth (3.45 x 4.20) and press Enter.")
        return tr("Click the opposite corner, or type width x depth (3.45 x 4.20) and press Enter.")

    def redraw(self) -> None:
        """The rectangle as it would be, its sizes beside it."""
        self.preview.clear()
        snap = self.aim.at(self.pointer) if self.pointer is not None else None
        if snap is not None:
            self.preview.mark(snap)
        ring = self._ring()
        fields: list[tuple[str, str]] = []
        if ring is not None:
            self.preview.rings([ring])
            sizes = self._sizes() or (0.0, 0.0)
            if self.what == "round pier":
                fields = [(tr("diameter"), metres(abs(sizes[0])))]
            else:
                fields = [(tr("width"), metres(abs(sizes[0]))), (tr("depth"), metres(abs(sizes[1])))]
                for k in (0, 1):
                    curve = Curve(*ring[k][:2], *ring[k + 1][:2])
                    self.preview.length(curve, left=sizes[0] * sizes[1] < 0)
        elif self.entry.begun:
            fields = [(slot.name, "") for slot in self.entry.slots]
        if self.held is not None:
            self.preview.dot(self.held)
        middle = tr("middle") if self.what == "round pier" else tr("first corner")
        said = tr(WORDS[snap.kind]) if snap is not None else middle if self.held is None else ""
        if self._all_typed():
            said = tr("click or Enter: place it here")
        self.tell(tuple(fields), said)

    # -- its shape

    def _typed(self, number: int) -> float | None:
        try:
            return self.entry.value(number)
        except InputError:
            return None

    def _all_typed(self) -> bool:
        return all(self._typed(number) is not None for number in range(len(self.entry.slots)))

    def _sizes(self) -> tuple[float, float] | None:
        """Width along the base line and depth square to it, signed towards the pointer."""
        to = self._to()
        if self.what == "round pier":
            across = self._typed(0)
            if across is None:
                across = 2.0 * math.hypot(*to) if to is not None else None
            return None if across is None else (across, across)
        found = []
        for number in (0, 1):
            typed = self._typed(number)
            if typed is None:
                if to is None or self.held is None:
                    return None
                found.append(to[number])
            else:
                found.append(-typed if to is not None and self.held is not None and to[number] < 0 else typed)
        return found[0], found[1]

    def _to(self) -> Point | None:
        """From the first corner to the pointer, along the base line and square to it."""
        if self.pointer is None or self.held is None:
            return None
        snap = self.aim.at(self.pointer)
        x, y = snap.at if snap is not None else self.pointer.at
        px, py, (dx, dy) = x - self.held[0], y - self.held[1], self._along
        return px * dx + py * dy, py * dx - px * dy

    def _ring(self) -> tuple[Vertex, ...] | None:
        """The ring as it would be now; None before there is one."""
        sizes = self._sizes()
        if sizes is None or min(abs(sizes[0]), abs(sizes[1])) <= SNAP_MM:
            return None
        first, along = self.held, self._along
        if first is None:
            if self.pointer is None:
                return None
            snap = self.aim.at(self.pointer)
            first, along = (snap.at if snap is not None else self.pointer.at), _along(snap)
        dx, dy = along
        if self.what == "round pier":
            r = abs(sizes[0]) / 2.0
            # two half circles, each with a bulge of 1
            return (first[0] + r, first[1], 1.0), (first[0] - r, first[1], 1.0)
        w, d = sizes
        return tuple(
            (first[0] + dx * u - dy * v, first[1] + dy * u + dx * v, 0.0)
            for u, v in ((0.0, 0.0), (w, 0.0), (w, d), (0.0, d))
        )


def _along(snap: Snap | None) -> Point:
    """The direction nearest to x among those along and square to the line that a point lies on."""
    line = snap.line if snap is not None else None
    if line is None or line.bulge:
        return 1.0, 0.0
    dx, dy = line.dx, line.dy
    return max(((dx, dy), (-dy, dx), (-dx, -dy), (dy, -dx)), key=lambda way: way[0])


class LeaveCeilingOut(Rectangle):
    """A rectangle of a room's ceiling that is not coated: a hatch, tiles, a fitted unit up to it."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit, "pier")
        self.name = tr("Mask a part of the ceiling")

    def _place(self) -> None:
        ring, storey = self._ring(), self.storey
        if ring is None:
            return

        def left_out(job: Job) -> Job:
            room = edits.room_of(job, room_round(storey, [vertex[:2] for vertex in ring]))
            outline = Exclusion(id=edits.new_exclusion_id(room), outline=ring, what=tr("masked"))
            return edits.add_exclusion(job, room.id, "ceiling", outline)

        done = self.apply(tr("Mask a part of the ceiling"), left_out)
        if done:
            self.entry.clear()
            name = room_round(storey, [vertex[:2] for vertex in ring])
            self.plan.document.choose((Ref("room", str(name)),))
        self.abandon()
