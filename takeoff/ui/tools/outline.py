"""A room, or a pier, by its corners: clicks that are drawn to what is there, typed lengths and turns."""

from __future__ import annotations

import math

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.rings import ring_area
from takeoff.geometry.snapping import From, Snap, directions_after
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.model import Source, Vertex
from takeoff.plan.room_faults import SAME_MM
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.tools.aiming import room_round
from takeoff.ui.tools.drawing_tool import DrawingTool, Edit, Kit, angle_words, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.ui.tools.new_rooms import choose_new_room, room_ids, usual_start
from takeoff.ui.tools.tool_preview import WORDS

_MOVED = 4.0
"""After a typed corner the mouse must go so many reaches before it says the next direction."""

_SQUARE_DEG = 15.0
"""A typed length without a turn goes square, or straight on, where the mouse is this near to it."""


class Outline(DrawingTool):
    """Corner after corner; back on the first, or Enter, closes. ``pier``: an inner ring of a room."""

    def __init__(self, kit: Kit, pier: bool = False) -> None:
        super().__init__(kit)
        self.pier = pier
        self.name = tr("Draw a pier by its corners") if pier else tr("Draw a room by its corners")
        self.entry = Entry(Slot(tr("length")), Slot(tr("turn"), "angle"))
        self.corners: list[Point] = []
        self.sources: list[Source] = []
        """Where each side comes from, but the closing one."""
        self._typed_at: Pointer | None = None
        self._by_mouse = True

    # -- mouse

    def click(self, pointer: Pointer) -> None:
        """Set a corner; on the first one, close."""
        self._by_mouse, self._typed_at = True, None
        snap = self._snap(pointer)
        if self._closes(pointer):
            self.close()
            return
        if self.corners and (self._typed(0) is not None or self._typed(1) is not None):
            # a click sets what the preview shows: the typed length, in the direction of the mouse
            self._add(self._end(snap), "typed" if self._typed(0) is not None else "drawn")
            self.entry.clear()
            return
        self._add(snap.at if snap is not None else pointer.at, "drawn")

    def move(self, pointer: Pointer) -> None:
        """Show the side as it would be."""
        typed_at = self._typed_at
        if typed_at is not None and math.dist(typed_at.at, pointer.at) > _MOVED * pointer.reach_mm:
            self._typed_at, self._by_mouse = None, True
        super().move(pointer)

    def double_click(self, pointer: Pointer) -> None:
        """Close: the first of the two clicks has set the last corner."""
        del pointer
        self.close()
        self.show()

    # -- keys

    def enter(self) -> bool:
        """Set the corner that is typed; with nothing typed, close."""
        length, turn = self.entry.value(0), self.entry.value(1)
        if length is None:
            if turn is None:
                self.close()
            return True
        if not self.corners:
            self.corners.append(usual_start(self.plan, self.aim, self.pointer))
        at = self._ahead(length, turn)
        self.entry.clear()
        self._by_mouse, self._typed_at = False, self.pointer
        if len(self.corners) > 2 and math.dist(at, self.corners[0]) <= SAME_MM:
            self.sources.append("typed")
            self.close()
        else:
            self._add(at, "typed")
        return True

    def take_back(self) -> bool:
        """The last corner."""
        if not self.corners:
            return False
        self.corners.pop()
        if self.sources:
            self.sources.pop()
        return True

    @property
    def begun(self) -> bool:
        """Whether something is in the hand."""
        return bool(self.corners)

    def abandon(self) -> bool:
        """All corners."""
        begun = bool(self.corners)
        self.corners.clear()
        self.sources.clear()
        self._by_mouse, self._typed_at = True, None
        return begun

    def close(self) -> None:
        """Make the room; nothing happens before there are three corners."""
        if len(self.corners) < 3:
            return
        ring: tuple[Vertex, ...] = tuple((x, y, 0.0) for x, y in self.corners)
        sources: list[Source] = [*self.sources, "drawn"][: len(ring)]
        known = room_ids(self.plan)
        if self.apply(tr("Draw a pier") if self.pier else tr("Draw a room"), self._edit(ring, sources)):
            self.abandon()
            self.entry.clear()
            choose_new_room(self.plan, known)

    def _edit(self, ring: tuple[Vertex, ...], sources: list[Source]) -> Edit:
        storey = self.storey_id
        if not self.pier:
            return lambda job: edits.draw_room(job, storey, ring, sources)
        source: Source = "typed" if self.sources and all(s == "typed" for s in self.sources) else "drawn"
        shown, corners = self.storey, tuple(self.corners)
        return lambda job: edits.add_pier(job, room_round(shown, corners), ring, source)

    # -- what is shown

    def next_step(self) -> str:
        """What to click or type next."""
        if not self.corners:
            if self.pier:
                return tr("Click the first corner of the pier inside a room, or type the length of its first side.")
            return tr("Click the first corner of the room, or type the length of its first side.")
        if len(self.corners) < 3:
            return tr("Click the next corner, or type a length (3.45, 3450 mm, 11'4 1/2\") and press Enter. Tab: turn.")
        if self.pier:
            return tr("Click the next corner or type its length. Enter, or the first corner, closes the pier.")
        return tr("Click the next corner or type its length. Enter, or the first corner, closes the room.")

    def redraw(self) -> None:
        """Sides, the one being drawn, its length beside it."""
        self.preview.clear()
        snap = self._snap(self.pointer) if self.pointer is not None else None
        if not self.corners:
            if snap is not None:
                self.preview.mark(snap)
            fields = ((tr("length"), ""),) if self.entry.begun else ()
            self.tell(fields, tr(WORDS[snap.kind]) if snap is not None else tr("first corner"))
            return
        end = self._end(snap)
        self._draw(end)
        closes = self.pointer is not None and self._by_mouse and self._closes(self.pointer)
        marked = snap is not None and self._by_mouse and not self.entry.begun
        if marked and snap is not None:
            self.preview.mark(snap, self.corners[-1])
        said = tr("click to close") if closes else tr(WORDS[snap.kind]) if marked and snap is not None else ""
        # the first side turns from nothing: its direction is from the drawing's right
        turns = len(self.corners) > 1
        self.tell(
            (
                (tr("length"), metres(math.dist(self.corners[-1], end))),
                (tr("turn") if turns else tr("direction"), angle_words(self._turn_to(end), turns)),
            ),
            said or self._keys_words(),
        )

    def _draw(self, end: Point) -> None:
        left = ring_area([(x, y, 0.0) for x, y in (*self.corners, end)]) < 0
        self.preview.course([(x, y, 0.0) for x, y in self.corners], width_mm=0.5)
        for a, b in zip(self.corners, self.corners[1:], strict=False):
            self.preview.length(Curve(*a, *b), left=left)
        self.preview.line(self.corners[-1], end)
        if len(self.corners) > 1:
            self.preview.line(end, self.corners[0], dash_mm=(1.2, 1.0))
        self.preview.length(Curve(*self.corners[-1], *end), self.entry.texts[0], left)
        for corner in self.corners:
            self.preview.dot(corner)

    def _keys_words(self) -> str:
        if self.entry.begun:
            return tr("Tab: turn   Enter: set")
        return tr("Enter closes") if len(self.corners) > 2 else ""

    # -- directions

    def _typed(self, number: int) -> float | None:
        """What is typed, None for nothing or what cannot be read yet."""
        try:
            return self.entry.value(number)
        except InputError:
            return None

    def _last_direction(self) -> Point | None:
        if len(self.corners) < 2:
            return None
        (x0, y0), (x1, y1) = self.corners[-2:]
        length = math.dist((x0, y0), (x1, y1))
        return (x1 - x0) / length, (y1 - y0) / length

    def _snap(self, pointer: Pointer) -> Snap | None:
        if not self.corners:
            return self.aim.at(pointer)
        return self.aim.at(
            pointer,
            From(
                self.corners[-1],
                directions_after(self._last_direction()),
                self.corners[0] if len(self.corners) > 2 else None,
            ),
        )

    def _closes(self, pointer: Pointer) -> bool:
        return len(self.corners) > 2 and math.dist(pointer.at, self.corners[0]) <= 2 * pointer.reach_mm

    def _end(self, snap: Snap | None) -> Point:
        """Where the side that is being drawn ends now."""
        length, turn = self._typed(0), self._typed(1)
        if length is not None:
            return self._ahead(length, turn)
        x, y = self.corners[-1]
        if self.pointer is None or not self._by_mouse:
            return x, y
        px, py = snap.at if snap is not None else self.pointer.at
        if turn is None:
            return px, py
        dx, dy = self._direction(turn)
        reach = max((px - x) * dx + (py - y) * dy, 0.0)
        return x + dx * reach, y + dy * reach

    def _ahead(self, length: float, turn: float | None) -> Point:
        """The corner so far from the last one; a negative length goes the other way."""
        x, y = self.corners[-1]
        dx, dy = self._direction(turn)
        return x + dx * length, y + dy * length

    def _direction(self, turn_deg: float | None) -> Point:
        """The direction of the next side: as typed, from the last side's, to the left; else as the
        mouse points, square where it nearly is; else square to the left."""
        last = self._last_direction()
        base = last if last is not None else (1.0, 0.0)
        if turn_deg is not None:
            return turned(base, turn_deg)
        onward = base if last is None else turned(base, 90.0)
        pointer, here = self.pointer, self.corners[-1]
        if pointer is None or not self._by_mouse or math.dist(pointer.at, here) <= pointer.reach_mm:
            return onward
        snap = self._snap(pointer)
        x, y = snap.at if snap is not None else pointer.at
        length = math.dist((x, y), here)
        if length <= SNAP_MM:
            return onward
        way = (x - here[0]) / length, (y - here[1]) / length
        if snap is not None and snap.along is None:
            return way
        return square_where_near(way, base)

    def _turn_to(self, end: Point) -> float:
        """By how much the side turns from the last one, degrees to the left; the first from east."""
        x, y = self.corners[-1]
        dx, dy = self._last_direction() or (1.0, 0.0)
        return math.degrees(math.atan2(dx * (end[1] - y) - dy * (end[0] - x), dx * (end[0] - x) + dy * (end[1] - y)))

    def _add(self, at: Point, source: Source) -> None:
        if self.corners:
            if math.dist(at, self.corners[-1]) <= SNAP_MM:
                return
            self.sources.append(source)
        self.corners.append(at)


def square_where_near(way: Point, base: Point) -> Point:
    """A unit direction; along or square to the base where it is within ``_SQUARE_DEG`` of that."""
    for square in (base, turned(base, 90.0), turned(base, -90.0), turned(base, 180.0)):
        if way[0] * square[0] + way[1] * square[1] >= math.cos(math.radians(_SQUARE_DEG)):
            return square
    return way


def turned(direction: Point, degrees: float) -> Point:
    """A unit direction turned to the left; square turns are exact."""
    dx, dy = direction
    quarters = {0.0: (dx, dy), 90.0: (-dy, dx), 180.0: (-dx, -dy), 270.0: (dy, -dx)}
    exact = quarters.get(degrees % 360.0)
    if exact is not None:
        return exact
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return dx * c - dy * s, dx * s + dy * c
