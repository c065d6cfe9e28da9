"""Putting copied rooms down: they hang at the pointer by a corner, a click or typed lengths place them."""

from __future__ import annotations

import math
from collections.abc import Callable

from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId
from takeoff.plan.shape import vertex_rings
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.tool_preview import WORDS
from takeoff.views.clipboard import box_of, by_beside, overlaps, rooms_in

MOST_SHOWN = 60
"""Rooms that hang at the pointer are drawn up to so many, else the box round them."""


class Paste(DrawingTool):
    """Places copies of rooms. Shift with the click keeps them in the hand for the next."""

    name = mark("Place copied rooms")

    def __init__(self, kit: Kit, done: Callable[[], None]) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot(tr("to the right")), Slot(tr("up")))
        self.copy: Job | None = None
        self._done = done

    def hold(self, copy: Job) -> None:
        """Take these rooms into the hand."""
        self.copy = copy

    # -- mouse and keys

    def click(self, pointer: Pointer) -> None:
        """Put them down here."""
        by = self._by()
        if by is not None:
            self.put(by, stay=pointer.shift)

    def enter(self) -> bool:
        """Put them where the typed lengths say; without any, in their own place if that is free here,
        else beside the rooms there are."""
        if self.copy is None:
            return False
        by = self._by() if self.entry.begun else self.free_place(self.copy)
        if by is not None:
            self.put(by)
        return True

    def free_place(self, copy: Job) -> Point:
        """By how much copied rooms are moved to stand free on the storey that is shown."""
        if not overlaps(self.storey, copy, (0.0, 0.0)):
            return 0.0, 0.0
        return by_beside(self.storey, copy)

    def put(self, by: Point, stay: bool = False, duplicates: bool = False) -> None:
        """Put the rooms down, moved by so much from where they were copied, and choose them."""
        copy, storey_id, new = self.copy, self.storey_id, list[RoomId]()
        if copy is None:
            return

        def pasted(job: Job) -> Job:
            after, ids = edits.pasted_rooms(job, copy, storey_id, by)
            new.extend(ids)
            return after

        count = len(rooms_in(copy))
        if duplicates:
            name = tr_count("Duplicate {count} room", "Duplicate {count} rooms", count)
        else:
            name = tr_count("Paste {count} room", "Paste {count} rooms", count)
        if self.apply(name, pasted):
            self.entry.clear()
            self.plan.document.choose(tuple(Ref("room", str(room)) for room in new))
            self.rest()
            if not stay:
                self._done()

    # -- what is shown

    def next_step(self) -> str:
        """What to do next."""
        return tr(
            "Click where they go (Shift+click: several times), or type right x up. Enter places them beside the others."
        )

    def redraw(self) -> None:
        """The rooms as they would stand."""
        self.preview.clear()
        by = self._by()
        if self.copy is None or by is None:
            self.tell((), tr("move to where they go"))
            return
        snap = self.aim.at(self.pointer) if self.pointer is not None and not self.entry.begun else None
        if snap is not None:
            self.preview.mark(snap)
        rooms = rooms_in(self.copy)
        for room in rooms[:MOST_SHOWN]:
            self.preview.rings([edits.moved_ring(ring, (*by, 0.0)) for ring in vertex_rings(room)])
        self.preview.dot(self._at(by))
        said = tr(WORDS[snap.kind]) if snap is not None else count_words(len(rooms))
        self.tell(((tr("to the right"), metres(by[0])), (tr("up"), metres(by[1]))), said)

    def _grip(self) -> Point:
        """The corner by which they hang: that nearest to the lower left of them all."""
        rooms = rooms_in(self.copy) if self.copy is not None else ()
        box = box_of(rooms)
        corners = [(side.x_mm, side.y_mm) for room in rooms for side in room.outline]
        if box is None or not corners:
            return 0.0, 0.0
        return min(corners, key=lambda at: (round(math.dist(at, box[:2]), 3), at))

    def _at(self, by: Point) -> Point:
        grip = self._grip()
        return grip[0] + by[0], grip[1] + by[1]

    def _by(self) -> Point | None:
        """By how much they would be moved now; None before the pointer or the keys have said."""
        typed = self._typed(0), self._typed(1)
        if self.entry.begun:
            return typed[0] or 0.0, typed[1] or 0.0
        if self.pointer is None:
            return None
        snap, grip = self.aim.at(self.pointer), self._grip()
        x, y = snap.at if snap is not None else self.pointer.at
        return x - grip[0], y - grip[1]

    def _typed(self, number: int) -> float | None:
        try:
            return self.entry.value(number)
        except InputError:
            return None


def count_words(count: int) -> str:
    """ "a room", "3 rooms"."""
    return tr_count("{count} room", "{count} rooms", count)
