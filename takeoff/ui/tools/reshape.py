"""Changing a room's sides: moved with their corners, or bent to an arc; dragged, or picked up by a click and typed."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, rise_through
from takeoff.geometry.snapping import RANK, From, Snap, directions_after
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, RoomId, SideId
from takeoff.sheets.wall_names import wall_letters
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import OnSide
from takeoff.ui.tools.drawing_tool import Edit, Hand, HoldingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.tool_preview import WORDS, show_rooms

_DRAG = 1.0
"""The mouse released further than so many reaches from where it was pressed has dragged."""


class Held(NamedTuple):
    """A side, or the corner at its start, that is being moved. ``before``, ``after``: sides beside it."""

    what: Literal["side", "corner"]
    room: Room
    side: str
    curve: Curve
    before: str
    after: str


class Reshaping(HoldingTool[Hand]):
    """Drag it, or click to pick it up and click to put it down; what is typed has the last word."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self._grabbed: Point | None = None

    def pick(self, pointer: Pointer) -> None:
        """Hold what is under the mouse, if anything is."""
        raise NotImplementedError

    def reshaped(self) -> tuple[str, Edit] | None:
        """The edit as it stands now, by its name; None where nothing is held."""
        raise NotImplementedError

    def click(self, pointer: Pointer) -> None:
        """Pick up what is under the mouse; put down what was picked up."""
        if self.held is not None:
            self._place()
            return
        self.pick(pointer)
        self._grabbed = pointer.at if self.held is not None else None

    def release(self, pointer: Pointer) -> None:
        """A drag ends where it is released; a click leaves it picked up."""
        grabbed, self._grabbed = self._grabbed, None
        if grabbed is not None and math.dist(grabbed, pointer.at) > _DRAG * pointer.reach_mm:
            self.pointer = pointer
            self._place()
            self.show()

    def enter(self) -> bool:
        """Make the edit that is typed or shown."""
        if self.held is None:
            return False
        self._place()
        return True

    def let_go(self) -> None:
        """It is dragged no more."""
        self._grabbed = None

    def job_changed(self) -> None:
        """What is held may be gone, and what is typed is of it."""
        self.abandon()
        self.entry.clear()

    def tried(self) -> tuple[Job | None, str]:
        """(the job as it would be, why it cannot be): nothing of either where nothing is held."""
        edit = self.reshaped()
        return self.trial(edit[1]) if edit is not None else (None, "")

    def _place(self) -> None:
        # a job that changes lets go of what is held; one that was refused stays in the hand
        edit = self.reshaped()
        if edit is not None and self.apply(*edit):
            self.abandon()
            self.entry.clear()


class Move(Reshaping[Held]):
    """Drag a side or a corner, or click it and click where it goes; a typed length has the last word.

    A side: the length of the side beside it that is nearer to where it was grabbed, or by how far it
    moves. A corner: one tape length from a corner beside it, or both. With Shift the whole wall
    moves, with the rooms at its far face.
    """

    name = mark("Move a side or a corner")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = _entry("side")

    # -- mouse and keys

    def pick(self, pointer: Pointer) -> None:
        """Hold the corner or the side."""
        self._hold(self._under(pointer))

    def _hold(self, held: Held | None) -> None:
        if held is None:
            return
        texts, current = self.entry.texts, self.entry.current
        self.entry = _entry(held.what)
        self.entry.texts, self.entry.current = texts, current
        ref = Ref("side", held.side, str(held.room.id)) if held.what == "side" else (Ref("room", str(held.room.id)))
        self.plan.document.choose((ref,))
        self.held = held

    def _under(self, pointer: Pointer | None) -> Held | None:
        """The corner under the pointer, else the side; what is chosen where there is no pointer."""
        if pointer is None:
            return self._chosen()
        corner = self.aim.corner(pointer)
        found = corner or self.aim.side(pointer)
        if found is None:
            return None
        room, side, _ = found
        return held_of(room, side, "corner" if corner is not None else "side", pointer.at)

    def _chosen(self) -> Held | None:
        choice, storey = self.plan.document.choice, self.storey
        if storey is None or len(choice) != 1 or choice[0].kind != "side":
            return None
        room = next((room for room in storey.rooms if room.id == choice[0].room), None)
        if room is None or choice[0].id not in side_curves(room):
            return None
        curve = side_curves(room)[choice[0].id]
        return held_of(room, choice[0].id, "side", curve.at(curve.length * 0.25))

    # -- where it goes

    def reshaped(self) -> tuple[str, Edit] | None:
        """Typed lengths are worked out within the edit, so that what cannot be is refused in words."""
        held = self.held
        if held is None:
            return None
        room, side = held.room.id, SideId(held.side)
        if held.what == "corner":
            return tr("Move a corner"), lambda job: edits.move_corners(job, room, side, *self._corner(held))
        shift = self.pointer is not None and self.pointer.shift
        name = tr("Move a wall") if shift else tr("Move a side")
        return name, lambda job: edits.move_wall(job, room, side, self._outward(job, held), shift)

    def _outward(self, job: Job, held: Held) -> float:
        length, by = self.entry.value(0), self.entry.value(1)
        if length is not None:
            return edits.outward_for_length(job, held.room.id, SideId(held.side), SideId(held.before), length)
        pointed = self._pointed_outward(held)
        if by is not None:
            return -by if pointed < 0 else by
        return pointed

    def _pointed_outward(self, held: Held) -> float:
        """How far out of the room the pointer is from the side, mm."""
        if self.pointer is None:
            return 0.0
        snap = self._snap(held)
        x, y = snap.at if snap is not None else self.pointer.at
        # rooms lie to the left of their sides
        return (x - held.curve.x0) * held.curve.dy - (y - held.curve.y0) * held.curve.dx

    def _corner(self, held: Held) -> Point:
        curves = side_curves(held.room)
        before, after = curves[held.before], curves[held.side]
        first, second = self.entry.value(0), self.entry.value(1)
        start, end, here = (before.x0, before.y0), (after.x1, after.y1), (after.x0, after.y0)
        snap = self._snap(held)
        pointed = here if self.pointer is None else snap.at if snap is not None else self.pointer.at
        if first is not None and second is not None:
            return edits.corner_by_lengths(start, first, end, second, pointed)
        if first is not None:
            return _so_far(start, first, pointed)
        if second is not None:
            return _so_far(end, second, pointed)
        return pointed

    def _snap(self, held: Held) -> Snap | None:
        if self.pointer is None:
            return None
        room = str(held.room.id)
        if held.what == "side":
            return self.aim.at(self.pointer, None, frozenset({(room, held.side)}))
        curves = side_curves(held.room)
        before, after = curves[held.before], curves[held.side]
        start, end = (before.x0, before.y0), (after.x1, after.y1)
        own = frozenset({(room, held.side), (room, held.before)})
        # drawn square to, and along, the sides on both hands of it
        found = [
            self.aim.at(self.pointer, From(start, directions_after((before.dx, before.dy)), end), own),
            self.aim.at(self.pointer, From(end, directions_after((after.dx, after.dy)), start), own),
        ]
        at = self.pointer.at
        return min(
            (snap for snap in found if snap is not None),
            default=None,
            key=lambda snap: (RANK[snap.kind], math.dist(snap.at, at)),
        )

    # -- what is shown

    def next_step(self) -> str:
        """What to do next."""
        if self.held is None:
            return tr(
                "Drag a side or a corner, or click it and type. Shift moves the whole wall with the rooms behind it."
            )
        if self.held.what == "corner":
            return tr("Click where the corner goes, or type its distance from the corners beside it (Tab).")
        letter = self._letter(self.held)
        return tr(
            "Click where the side goes, or type the new length of side {letter}. Tab: how far it moves.", letter=letter
        )

    def redraw(self) -> None:
        """The thing under the pointer; what is held as it would be."""
        self.preview.clear()
        if self.held is None and self.entry.begun:
            self._hold(self._under(self.pointer))
        if self.held is None:
            self._show_under()
            return
        held = self.held
        job, reason = self.tried()
        show_rooms(self.preview, self.storey, job)
        snap = self._snap(held)
        if snap is not None and not self.entry.begun:
            self.preview.mark(snap)
        room = _room(job, held.room.id) or held.room
        marked = tr(WORDS[snap.kind]) if snap is not None and not self.entry.begun else ""
        self.tell(self._fields(held, room), marked, reason)

    def _fields(self, held: Held, room: Room) -> tuple[tuple[str, str], ...]:
        curves = side_curves(room)
        before, own = curves.get(held.before), curves.get(held.side)
        if before is None or own is None:
            return ()
        if held.what == "corner":
            letters = wall_letters(held.room)
            return (
                (tr("side {letter}", letter=letters[held.before]), metres(before.length)),
                (tr("side {letter}", letter=letters[held.side]), metres(own.length)),
            )
        by = (own.x0 - held.curve.x0) * held.curve.dy - (own.y0 - held.curve.y0) * held.curve.dx
        return (tr("side {letter}", letter=self._letter(held)), metres(before.length)), (tr("moves"), _way_words(by))

    def _letter(self, held: Held) -> str:
        return wall_letters(held.room).get(held.before, "")

    def _show_under(self) -> None:
        held = self._under(self.pointer) if self.pointer is not None else None
        if held is None:
            self.tell(())
        elif held.what == "corner":
            self.preview.dot((held.curve.x0, held.curve.y0))
            self.tell((), tr("corner: drag it, or click and type"))
        else:
            curve = held.curve
            self.preview.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)), width_mm=0.8)
            letter = wall_letters(held.room).get(held.side, "")
            self.tell(((tr("side {letter}", letter=letter), metres(curve.length)),), tr("drag it, or click and type"))


def _way_words(by_mm: float) -> str:
    """How far, and which way out of the room."""
    far = metres(abs(by_mm))
    if by_mm == 0:
        return far
    return tr("{length} out", length=far) if by_mm > 0 else tr("{length} in", length=far)


def held_of(room: Room, side: str, what: Literal["side", "corner"], at: Point) -> Held:
    """A side or corner in the hand. Of a side ``before`` is whichever side beside it is nearer to where
    it was grabbed, of a corner the side that ends there."""
    curves = side_curves(room)
    ring = next(r for r in room.rings if any(s.id == side for s in r))
    names = [str(s.id) for s in ring]
    index = names.index(side)
    before, after = names[index - 1], names[(index + 1) % len(names)]
    curve = curves[side]
    if what == "side" and curve.where(*at)[0] > curve.length / 2.0:
        before, after = after, before
    return Held(what, room, side, curve, before, after)


def _entry(what: Literal["side", "corner"]) -> Entry:
    if what == "corner":
        return Entry(Slot(tr("first length")), Slot(tr("second length")))
    return Entry(Slot(tr("length")), Slot(tr("moves")))


def _so_far(start: Point, length: float, towards: Point) -> Point:
    apart = math.dist(start, towards)
    if apart <= 0 or length <= 0:
        raise InputError(tr("The length must be more than 0."))
    return (start[0] + (towards[0] - start[0]) / apart * length, start[1] + (towards[1] - start[1]) / apart * length)


def _room(job: Job | None, room_id: RoomId) -> Room | None:
    rooms = (room for storey in (job.storeys if job else ()) for room in storey.rooms)
    return next((room for room in rooms if room.id == room_id), None)


class Bend(Reshaping[OnSide]):
    """The side becomes the arc through its ends and the pointer, at most half a circle."""

    name = mark("Bend a side to an arc")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.entry = Entry(Slot(tr("rise")))

    # -- mouse and keys

    def pick(self, pointer: Pointer) -> None:
        """Hold the side."""
        self._hold(pointer)

    def _hold(self, pointer: Pointer | None) -> None:
        self.held = self.aim.side(pointer) if pointer is not None else None
        if self.held is not None:
            room, side, _ = self.held
            self.plan.document.choose((Ref("side", side, str(room.id)),))

    # -- the arc

    def reshaped(self) -> tuple[str, Edit] | None:
        """The side bent by how far its arc rises."""
        if self.held is None:
            return None
        room, side, curve = self.held
        return tr("Bend a side"), lambda job: edits.bend_side(job, room.id, SideId(side), self._rise(curve))

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
            return tr("Drag the middle of a side out or in, or click the side and type how far it rises.")
        return tr("Click a point of the arc, or type how far it rises in its middle. 0 makes the side straight.")

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
            self.tell((), tr("drag it out or in") if on is not None else "")
            return
        job, reason = self.tried()
        show_rooms(self.preview, self.storey, job)
        rise = self._pointed(self.held[2])
        snap = self.aim.at(self.pointer, None, self._own()) if self.pointer is not None else None
        if snap is not None and not self.entry.begun:
            self.preview.mark(snap)
        marked = tr("through: {place}", place=tr(WORDS[snap.kind])) if snap is not None and not self.entry.begun else ""
        self.tell(((tr("rise"), _way_words(rise)),), marked, reason)
