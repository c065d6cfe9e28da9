"""Leaving a part of a ceiling out: two corners clicked, a drag, or its sizes typed."""

from __future__ import annotations

from takeoff.plan import edits
from takeoff.plan.model import Exclusion, Job
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import room_round
from takeoff.ui.tools.drawing_tool import Kit
from takeoff.ui.tools.rectangle import Rectangle


class LeaveCeilingOut(Rectangle):
    """A rectangle of a room's ceiling that is not coated: a hatch, tiles, a fitted unit up to it."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit, "pier")
        self.name = "Leave a part of the ceiling out"

    def _place(self) -> None:
        ring, storey = self._ring(), self.storey
        if ring is None:
            return

        def left_out(job: Job) -> Job:
            room = edits.room_of(job, room_round(storey, [vertex[:2] for vertex in ring]))
            outline = Exclusion(id=edits.new_exclusion_id(room), outline=ring, what="left out")
            return edits.add_exclusion(job, room.id, "ceiling", outline)

        done = self.apply("Leave a part of the ceiling out", left_out)
        if done:
            self.entry.clear()
            name = room_round(storey, [vertex[:2] for vertex in ring])
            self.plan.document.choose((Ref("room", str(name)),))
        self.abandon()
