"""Drawing rooms: the tools, their actions and the row of their buttons above the plan."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from PySide6.QtCore import QObject

from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId, SideId
from takeoff.ui.actions import Action
from takeoff.ui.document import Choice, exists
from takeoff.ui.tools.aiming import Aim
from takeoff.ui.tools.corner_tools import AddCorner, RemoveCorner
from takeoff.ui.tools.drawing_tool import DrawingTool, Kit
from takeoff.ui.tools.fill_rooms import Fill
from takeoff.ui.tools.join import Join, OpenSide
from takeoff.ui.tools.outline import Outline
from takeoff.ui.tools.quick_rooms import Rectangle
from takeoff.ui.tools.reshape import Bend, Move
from takeoff.ui.tools.split import Split
from takeoff.ui.tools.tool_preview import Readout
from takeoff.ui.window.drawings.ground_known import GroundKnown
from takeoff.ui.window.workspace import Workspace


class Offer(NamedTuple):
    """A tool as it is offered: the action's id, the word on its button, its shortcut, its tip."""

    id: str
    word: str
    keys: str
    tip: str
    make: Callable[[Kit], DrawingTool]
    group: int = 0


_SELDOM = 2
"""Tools of groups from here on stand last in the row."""


OFFERS: tuple[Offer, ...] = (
    Offer(
        "draw-room", mark("Room"), "R", mark("A room by its corners: click them, or type lengths and turns"), Outline
    ),
    Offer(
        "draw-rectangle",
        mark("Rectangle"),
        "B",
        mark("A room with four square corners: two clicks, or 3.45 x 4.20"),
        Rectangle,
    ),
    Offer("fill-room", mark("Fill"), "L", mark("A room from the drawing's lines: click inside its walls"), Fill),
    Offer("move", mark("Move"), "M", mark("Move a side or a corner: drag it, or click it and type a length"), Move, 1),
    Offer(
        "split", mark("Split"), "S", mark("Split a room by a wall: from side to side, at a typed distance"), Split, 1
    ),
    Offer("join", mark("Join"), "J", mark("Make two rooms one: what stands between them goes"), Join, 1),
    Offer("bend", mark("Arc"), "A", mark("Bend a side to an arc: drag it out or in, or type its rise"), Bend, 2),
    Offer(
        "add-corner", mark("Add corner"), "N", mark("One more corner in a side, for a recess or a breast"), AddCorner, 2
    ),
    Offer(
        "remove-corner",
        mark("Remove corner"),
        "Shift+N",
        mark("One corner less: the side before it runs on"),
        RemoveCorner,
        2,
    ),
    Offer("open-side", mark("Open side"), "Shift+O", mark("No wall between two rooms that share a side"), OpenSide, 2),
    Offer(
        "split-open",
        mark("Split open"),
        "Shift+S",
        mark("Split a room by an open side, where no wall stands"),
        partial(Split, kind="open"),
        2,
    ),
    Offer(
        "draw-pier",
        mark("Pier"),
        "P",
        mark("A pier that stands free in a room, rectangular"),
        partial(Rectangle, what="pier"),
        3,
    ),
    Offer(
        "draw-round-pier",
        mark("Round pier"),
        "Shift+P",
        mark("A round pier that stands free in a room"),
        partial(Rectangle, what="round pier"),
        3,
    ),
    Offer(
        "draw-odd-pier",
        mark("Pier by corners"),
        "Ctrl+Shift+P",
        mark("A pier of any shape, by its corners"),
        partial(Outline, pier=True),
        3,
    ),
)


def add(space: Workspace) -> None:
    """Give the window its drawing tools."""
    Drawing(space)


class Drawing(QObject):
    """Keeps the tools, and tells the one in hand what happens to the job."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("drawing")
        self._space = space
        plan, document = space.plan, space.document
        kit = Kit(plan, Aim(plan), Readout(plan.view), space.say)
        self.tools: dict[str, DrawingTool] = {offer.id: offer.make(kit) for offer in OFFERS}
        fill = self.tools["fill-room"]
        if isinstance(fill, Fill):
            fill.ground = GroundKnown(space)
        space.acts.add(self._row(offer) for offer in OFFERS)
        space.acts.add(
            (
                Action(
                    "new",
                    "File",
                    tr("New job without a drawing"),
                    self._new_job,
                    (tr("Ctrl+N"),),
                    tip=tr("An empty plan: the first room that is drawn makes its storey"),
                ),
            )
        )
        self._fill_row()
        space.deletes["room"] = self._delete_rooms
        space.deletes["side"] = self._delete_piers
        document.opened.connect(space.back_to_choosing)
        document.storey_changed.connect(self._storey_changed)

    def _row(self, offer: Offer) -> Action:
        tool = self.tools[offer.id]
        view = self._space.plan.view
        return Action(
            offer.id,
            "Draw",
            tr(tool.name),
            partial(self._space.take, tool),
            (offer.keys,),
            checked=lambda: view.tool is tool,
            tip=tr(offer.tip),
            group=offer.group,
        )

    def _fill_row(self) -> None:
        acts, row = self._space.acts, self._space.frame.tool_row
        row.add(acts.q("choose-tool"), words=(tr("Select"),))
        for group in sorted({offer.group for offer in OFFERS}):
            offers = [offer for offer in OFFERS if offer.group == group]
            row.add(
                *(acts.q(offer.id) for offer in offers),
                words=tuple(tr(o.word) for o in offers),
                seldom=group >= _SELDOM,
            )

    def _new_job(self) -> None:
        if self._space.files.start_empty():
            self._space.take(self.tools["draw-rectangle"])

    # -- listeners

    def _storey_changed(self, storey_id: str) -> None:
        del storey_id
        tool = self._space.drawing_tool
        if tool is not None:
            tool.abandon()
            tool.show()

    # -- deleting

    def _delete_rooms(self, choice: Choice) -> None:
        def without(job: Job) -> Job:
            for ref in choice:
                job = edits.remove_room(job, RoomId(ref.id))
            return job

        name = tr_count("Delete {count} room", "Delete {count} rooms", len(choice))
        self._space.document.apply(name, without)

    def _delete_piers(self, choice: Choice) -> None:
        def without(job: Job) -> Job:
            for ref in choice:
                # a pier goes with all its sides, of which several may be chosen
                if exists(job, ref):
                    job = edits.remove_pier(job, RoomId(ref.room), SideId(ref.id))
            return job

        self._space.document.apply(tr("Delete a pier"), without)
