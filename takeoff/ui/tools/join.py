"""Two rooms made one, and sides between rooms opened and closed."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.geometry.curves import Curve
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, RoomId, SideId, Storey
from takeoff.plan.shape import vertex_rings
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.drawing_tool import DrawingTool, HoldingTool
from takeoff.ui.tools.tool_preview import show_rooms


class Join(HoldingTool[RoomId]):
    """Click a room, then the one beside it; or choose two rooms and press Enter."""

    name = mark("Join two rooms")

    def click(self, pointer: Pointer) -> None:
        """The first room, then the second."""
        room = self.aim.room(pointer.at)
        if room is None:
            return
        if self.held is None or self.held == room.id:
            self.held = room.id
            self.plan.document.choose((Ref("room", str(room.id)),))
        else:
            self._join(self.held, room.id)

    def enter(self) -> bool:
        """Join the two rooms that are chosen."""
        pair = self._two_chosen()
        if pair is None:
            return False
        self._join(*pair)
        return True

    def _two_chosen(self) -> tuple[RoomId, RoomId] | None:
        choice = self.plan.document.choice
        if len(choice) != 2 or any(ref.kind != "room" for ref in choice):
            return None
        return RoomId(choice[0].id), RoomId(choice[1].id)

    def _join(self, one: RoomId, other: RoomId) -> None:
        if self.apply(tr("Join two rooms"), lambda job: edits.join_rooms(job, one, other)):
            self.abandon()
            self.plan.document.choose((Ref("room", str(one)),))

    def next_step(self) -> str:
        """What to click."""
        if self.held is not None:
            return tr("Click the room beside it: the wall between them goes, with its doors.")
        if self._two_chosen() is not None:
            return tr("Press Enter to join the two selected rooms, or click a room.")
        return tr("Click a room, then the one beside it.")

    def redraw(self) -> None:
        """The rooms as they would be."""
        self.preview.clear()
        room = self.aim.room(self.pointer.at) if self.pointer is not None else None
        first = self.held
        if first is None:
            if room is not None:
                self.preview.rings(vertex_rings(room))
            self.tell((), tr("click the first room") if room is not None else "")
        elif room is None or room.id == first:
            self.tell((), tr("click the room beside it"))
        else:
            other = room.id
            job, reason = self.trial(lambda job: edits.join_rooms(job, first, other))
            if job is None:
                self.preview.rings(vertex_rings(room))
            show_rooms(self.preview, self.storey, job)
            self.tell((), tr("click: they become one room"), reason)


class OpenSide(DrawingTool):
    """Click a side that two rooms share: the space runs through there; click it again: a wall."""

    name = mark("Open or close a side between rooms")

    def click(self, pointer: Pointer) -> None:
        """Open the side under the mouse, or close it."""
        on = self.aim.side(pointer)
        if on is not None:
            room, side = on[0], SideId(on[1])
            self.apply(
                tr("Close a side") if _is_open(room, on[1]) else tr("Open a side"), lambda job: _turned(job, room, side)
            )

    def next_step(self) -> str:
        """What to click."""
        return tr("Click a side that two rooms share to open it on both faces; click it again to close it.")

    def redraw(self) -> None:
        """The sides that would change."""
        self.preview.clear()
        on = self.aim.side(self.pointer) if self.pointer is not None else None
        if on is None:
            self.tell(())
            return
        room, side = on[0], SideId(on[1])
        job, reason = self.trial(lambda job: _turned(job, room, side))
        for curve in _changed(self.storey, job):
            self.preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.9)
            self.preview.length(curve)
        opened = _is_open(room, on[1])
        self.tell((), tr("open: click to make it a wall") if opened else tr("click: no wall here"), reason)


def _is_open(room: Room, side: str) -> bool:
    return any(s.id == side and s.kind == "open" for s in room.sides)


def _turned(job: Job, room: Room, side: SideId) -> Job:
    if _is_open(room, str(side)):
        return edits.close_side(job, room.id, side)
    return edits.open_side(job, room.id, side)


def _changed(before: Storey | None, after: Job | None) -> Iterator[Curve]:
    """The curves of the sides whose kind is another after an edit, each once."""
    storey = next((s for s in (after.storeys if after else ()) if before and s.id == before.id), None)
    if storey is None or before is None:
        return
    known = {room.id: room for room in before.rooms}
    seen = set()
    for room in storey.rooms:
        old = known.get(room.id)
        if old is room:
            continue
        kinds = {str(s.id): s.kind for s in old.sides} if old else {}
        for ring in room.rings:
            for side in ring:
                if kinds.get(str(side.id), "wall") != side.kind:
                    curve = side_curves(room)[str(side.id)]
                    ends = frozenset({(curve.x0, curve.y0), (curve.x1, curve.y1)})
                    if ends not in seen:
                        seen.add(ends)
                        yield curve
