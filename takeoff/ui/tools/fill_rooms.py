"""A click inside walls makes the room that they enclose. Where several may be meant, keys go from one to the next;
where nothing closes a room's mouth, two clicks draw the line that it ends at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import listed, mark, number, quoted, tr
from takeoff.plan.model import Job, StoreyId
from takeoff.services.opened.room_proposals import covered, fillings, lost_names, with_filling
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.tools.drawing_tool import HoldingTool, Kit
from takeoff.ui.tools.new_rooms import choose_new_room, room_ids

if TYPE_CHECKING:
    from takeoff.recognise.one_room import FoundRoom
    from takeoff.recognise.round_point.known_ground import Ground

LARGER, SMALLER = "+", "-"
_DASH_MM = (1.2, 0.8)


class AskGround(Protocol):
    """Who knows the drawing that is shown."""

    def begin(self) -> None:
        """Read it, where that takes a while."""

    def ask(self, then: Callable[[Ground], None]) -> bool:
        """Give it now, or once it is read."""

    def forget(self) -> None:
        """It is not wanted any more."""


class Fill(HoldingTool[Point]):
    """Held is the first end of a line that rooms end at."""

    name = mark("Fill a room from its lines")

    def __init__(self, kit: Kit, ground: AskGround | None = None) -> None:
        super().__init__(kit)
        self.ground = ground
        """Who knows the drawing; without one nothing is filled."""
        self._filled = ""
        """The room that was filled last."""
        self._found: tuple[FoundRoom, ...] = ()
        """What it may be, by its size, and which of it the room is now."""
        self._which = 0
        self._said_gone = ""
        self._known: set[str] = set()
        """The rooms that stay, while one is filled."""
        self._at: Point | None = None
        self._waits = False
        self._tried: set[Point] = set()
        """Places of names in no room that gave none."""
        self.bounds: list[tuple[Point, Point]] = []
        """Lines that rooms end at, on the storey that is shown."""

    def start(self) -> None:
        """Read the drawing meanwhile."""
        if self.ground is not None:
            self.ground.begin()
        super().start()

    def stop(self) -> None:
        """What was found is settled."""
        if self.ground is not None:
            self.ground.forget()
        self._waits, self._found, self._filled = False, (), ""
        self._tried.clear()
        super().stop()

    # -- mouse and keys

    def click(self, pointer: Pointer) -> None:
        """Look for the room round the click; with Shift held, an end of a line that rooms end at."""
        if pointer.shift:
            self._end_of_line(pointer)
            return
        self.abandon()
        if self.plan.document.drawing is None:
            self.apply(tr("Fill a room"), _no_drawing)
            return
        at, storey = pointer.at, self.storey_id
        self._ask(lambda ground: _nothing(self._fill(at, storey, ground)))

    def _end_of_line(self, pointer: Pointer) -> None:
        snap = self.aim.at(pointer)
        at = snap.at if snap is not None else pointer.at
        if self.held is None:
            self.held = at
        elif max(abs(at[0] - self.held[0]), abs(at[1] - self.held[1])) > SNAP_MM:
            self.bounds.append((self.held, at))
            self.held = None

    def _ask(self, then: Callable[[Ground], None]) -> None:
        def read(ground: Ground) -> None:
            self._waits = False
            # tens of ms on most plans, more where a hall makes it look far
            QApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
            try:
                then(ground)
            finally:
                QApplication.restoreOverrideCursor()

        def later(ground: Ground) -> None:
            read(ground)
            self.show()

        self._waits = self.ground is not None
        if self.ground is not None and not self.ground.ask(later):
            self.show()

    def _fill(self, at: Point, storey: StoreyId | None, ground: Ground) -> bool:
        found: list[FoundRoom] = []

        def filled(job: Job) -> Job:
            found.extend(fillings(job, ground, storey, *at, tuple(self.bounds)))
            return self._with(job, storey, found[0], at)

        if not self.apply(tr("Fill a room"), filled):
            return False
        self._at = at
        self._chosen(found[0], found)
        return True

    def _with(self, job: Job, storey: StoreyId | None, found: FoundRoom, at: Point | None) -> Job:
        """The job with a room; what it takes the place of is said, and its id may be the new one's."""
        gone = covered(job, storey, found, at)
        self._said_gone = listed([quoted(room.title) for room in gone])
        self._known = room_ids(self.plan) - {str(room.id) for room in gone}
        return with_filling(job, storey, found, at)

    def _chosen(self, now: FoundRoom, found: Sequence[FoundRoom]) -> None:
        choose_new_room(self.plan, self._known)
        self._filled = next(iter(room_ids(self.plan) - self._known), "")
        self._found = tuple(sorted(found, key=_extent))
        self._which = self._found.index(now)

    def enter(self) -> bool:
        """Fill the room round the next name that lies in none."""
        if self.plan.document.drawing is None:
            return False
        self._ask(self._fill_next)
        return True

    def _fill_next(self, ground: Ground) -> None:
        storey = self.storey_id
        for _text, at in lost_names(self.plan.document.job, ground, storey):
            if at in self._tried:
                continue
            self._tried.add(at)
            self.refusal = ""
            if self._fill(at, storey, ground):
                return
        self.refuse(tr("No name is left that lies in no room and has a closed outline round it."))

    def wants(self, key: int, text: str) -> bool:
        """The keys for a larger and a smaller outline, too."""
        return super().wants(key, text) or (text in (LARGER, SMALLER) and bool(text) and len(self._found) > 1)

    def key(self, key: int, text: str, shift: bool, control: bool) -> bool:
        """Another outline of the room that was filled last."""
        if not control and text and text in (LARGER, SMALLER) and len(self._found) > 1:
            self._forget()
            self._other(1 if text == LARGER else -1)
            self.show()
            return True
        return super().key(key, text, shift, control)

    def _other(self, step: int) -> None:
        """The next larger or smaller outline in place of the one that was filled: one undo takes it away."""
        which = self._which + step
        if not 0 <= which < len(self._found):
            larger = tr("There is no larger outline round this place.")
            self.refuse(larger if step > 0 else tr("There is no smaller outline round this place."))
            return
        found, filled, storey = self._found, self._filled, self.storey_id
        stack = self.plan.document.stack
        if filled not in room_ids(self.plan) or stack.undoText() != tr("Fill a room"):
            self._found = ()
            return
        stack.undo()
        at = self._at
        if self.apply(tr("Fill a room"), lambda job: self._with(job, storey, found[which], at)):
            self._chosen(found[which], found)
        else:
            reason = self.refusal
            stack.redo()
            self._filled, self._found = filled, found
            self.refuse(reason)

    @property
    def begun(self) -> bool:
        """Whether the first end of a line is in hand."""
        return self.held is not None

    def take_back(self) -> bool:
        """The end of a line, or the last line that rooms end at."""
        if self.abandon():
            return True
        if self.bounds:
            self.bounds.pop()
            return True
        return False

    def job_changed(self) -> None:
        """A room that was taken back has no other outlines."""
        if self._filled not in room_ids(self.plan):
            self._found, self._filled = (), ""

    # -- what is shown

    def redraw(self) -> None:
        """The lines that rooms end at; say whose room there is already."""
        self.preview.clear()
        for one, other in self.bounds:
            self.preview.line(one, other, dash_mm=_DASH_MM)
        if self.held is not None:
            self.preview.dot(self.held)
            if self.pointer is not None:
                snap = self.aim.at(self.pointer)
                self.preview.line(self.held, snap.at if snap is not None else self.pointer.at, dash_mm=_DASH_MM)
        room = self.aim.room(self.pointer.at) if self.pointer is not None else None
        if self.plan.document.drawing is None:
            self.tell((), tr("no drawing"))
        elif self._waits:
            self.tell((), tr("reading the walls of the drawing: a moment"))
        elif self.held is not None:
            self.tell((), tr("Shift and click the other end of the line"))
        elif room is not None:
            name = room.name or room.title
            filled = str(room.id) == self._filled
            said = tr("{room} is filled", room=name) if filled else tr("{room} is there already", room=name)
            if room.confidence != "sure" and not filled:
                said = tr("{room} is in doubt: a click looks for its outline again", room=name)
            self.tell((), said)
        else:
            self.tell((), tr("click inside the walls"))

    def next_step(self) -> str:
        """Where to click, or what else the room may be."""
        if self.plan.document.drawing is None:
            return tr("There is no drawing to fill from: open one, or draw the room by its corners.")
        if self.held is not None:
            return tr("Shift and click the other end: rooms will end at this line. Esc gives it up.")
        gone = tr("Taken out because in doubt: {rooms}.", rooms=self._said_gone) + " " if self._said_gone else ""
        if len(self._found) > 1 and self._filled:
            which, many = number(self._which + 1), number(len(self._found))
            return gone + tr(
                "Outline {which} of {many}: press + for a larger one, − for a smaller one.", which=which, many=many
            )
        return gone + tr(
            "Click inside a room that was not found, or press Enter for the next name in no room. "
            "Shift and two clicks draw a line that rooms end at."
        )


def _nothing(done: bool) -> None:
    del done


def _no_drawing(job: Job) -> Job:
    raise InputError(tr("There is no drawing to fill from: open one, or draw the room by its corners."))


def _extent(found: FoundRoom) -> float:
    """m² of the outline, arcs as chords, to put outlines in order by."""
    sides = found.room.outline
    after = (*sides[1:], sides[0])
    return abs(sum(a.x_mm * b.y_mm - b.x_mm * a.y_mm for a, b in zip(sides, after, strict=True))) / 2e6
