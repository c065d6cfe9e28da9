"""Placing quick parts: a click on a corner, a wall or a slope, two for what runs from here to there."""

from __future__ import annotations

import math

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.language import mark, tr
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.tools.aiming import room_round
from takeoff.ui.tools.drawing_tool import HoldingTool, Kit, metres
from takeoff.ui.tools.entry import Entry, Slot
from takeoff.views.quick_parts import KINDS, Change, PartKind, Place, Values, change_of, placed

_FAR = 4.0
"""A wall or a corner is meant from so many clicks' reaches away."""

_STEP_MM = 10.0
"""Places along a wall go by so much while the mouse moves."""

_COVER_MM = 120.0
"""How wide what covers a wall is shown in plan."""


class PlacePart(HoldingTool[Place]):
    """A quick part follows the pointer as it would stand; a click puts it there."""

    name = mark("Place a part")

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self.kind: PartKind = KINDS[0]
        self.values: dict[str, float | None] = dict(self.kind.usual)
        self.entry = Entry(Slot(tr("from the nearer corner")))

    def set_kind(self, kind: PartKind, values: Values) -> None:
        """Place parts of this kind, with these dimensions, from now on."""
        if kind.id != self.kind.id:
            self.held = None
        self.kind, self.values = kind, dict(values)
        self._fresh_entry()
        if self.plan.view.tool is self:
            self.show()

    def _fresh_entry(self) -> None:
        ends = self.kind.where in ("walls", "line") and self.held is not None
        wanted = Slot(tr("length")) if ends else Slot(tr("from the nearer corner"))
        slots = (
            ()
            if self.kind.where in ("corner", "wall", "slope", "ceiling") or (self.kind.where == "line" and not ends)
            else (wanted,)
        )
        self.entry = Entry(*slots)

    # -- what the user does

    def click(self, pointer: Pointer) -> None:
        """Place it, or set its first end."""
        place = self._aim(pointer)
        if place is None:
            return
        if self.kind.where in ("walls", "line") and self.held is None:
            self.held = place
            self._fresh_entry()
            return
        self._place(place)

    def enter(self) -> bool:
        """Place it where the typed distance says."""
        place = self._aim(self.pointer) if self.pointer is not None else None
        if place is None or not self.entry.begun:
            return False
        if self.kind.where in ("walls", "line") and self.held is None:
            self.held = place
            self._fresh_entry()
            return True
        return self._place(place)

    def let_go(self) -> None:
        """What is typed is of the first end or of the second."""
        self._fresh_entry()

    def _place(self, place: Place) -> bool:
        kind, values = self.kind, dict(self.values)
        places = (place,) if self.held is None else (self.held, place)
        done = self.apply(tr("Place {part}", part=tr(kind.said)), lambda job: placed(job, kind, values, *places))
        if done:
            self.held = None
            self._fresh_entry()
            self.rest()
            self.plan.document.choose((Ref("room", place.room),))
        return done

    # -- where it would be

    def _aim(self, pointer: Pointer) -> Place | None:
        """What is pointed at, with what is typed; None where that is nothing for this kind."""
        wide = Pointer(pointer.at, pointer.reach_mm * _FAR, pointer.shift, pointer.control)
        where = self.kind.where
        if where == "corner":
            found = self.aim.corner(wide)
            return None if found is None else Place(str(found[0].id), pointer.at, found[1])
        if where in ("line", "slope", "ceiling"):
            return self._in_room(pointer)
        on_side = self.aim.side(wide)
        if on_side is None:
            return None
        room, side, curve = on_side
        return Place(str(room.id), pointer.at, side, self._along(curve, pointer))

    def _along(self, curve: Curve, pointer: Pointer) -> float:
        """How far along a wall: typed from the corner that is nearer, else by steps from it."""
        at = min(max(curve.where(*pointer.at)[0], 0.0), curve.length)
        from_start = at <= curve.length / 2.0
        near = at if from_start else curve.length - at
        typed = self._typed()
        if typed is not None and self.held is not None:
            # a length from the first end, towards the pointer, where both are on one wall
            sign = 1.0 if at >= self.held.along_mm else -1.0
            return min(max(self.held.along_mm + sign * typed, 0.0), curve.length)
        if typed is not None:
            near = min(typed + self._half_mm, curve.length)
        elif near <= pointer.reach_mm and not pointer.control:
            near = 0.0
        elif not pointer.control:
            near = round(near / _STEP_MM) * _STEP_MM
        return near if from_start else curve.length - near

    def _in_room(self, pointer: Pointer) -> Place | None:
        snap = self.aim.at(pointer) if self.kind.where == "line" else None
        at = snap.at if snap is not None else pointer.at
        if self.held is not None:
            at = self._end_of_line(at, pointer.control)
            return Place(self.held.room, at)
        try:
            # a corner or a wall that a line begins at belongs to the room that the pointer is in
            return Place(str(room_round(self.storey, (pointer.at, at))), at)
        except InputError:
            return None

    def _end_of_line(self, at: Point, free: bool) -> Point:
        """Square to the plan where it nearly is, and as long as was typed."""
        assert self.held is not None
        (x0, y0), (x, y) = self.held.at, at
        if not free:
            if abs(x - x0) < abs(y - y0) * 0.08:
                x = x0
            elif abs(y - y0) < abs(x - x0) * 0.08:
                y = y0
        length, typed = math.dist((x0, y0), (x, y)), self._typed()
        if typed is None or length <= 0:
            return x, y
        return x0 + (x - x0) * typed / length, y0 + (y - y0) * typed / length

    def _typed(self) -> float | None:
        return None if not self.entry.slots or self.entry.wrong() else self.entry.value(0)

    # -- what is shown

    def next_step(self) -> str:
        """What to click."""
        if self.held is not None:
            return tr("Click where it ends, or type its length and press Enter.")
        return tr(self.kind.hint)

    def redraw(self) -> None:
        """The part as it would stand."""
        self.preview.clear()
        place = self._aim(self.pointer) if self.pointer is not None else None
        if self.held is not None:
            self.preview.dot(self.held.at)
        fields: tuple[tuple[str, str], ...] = ()
        wrong = ""
        if place is not None:
            fields, wrong = self._show_at(place)
        said = (
            self.kind.name
            if place is not None
            else tr("{part}: {wanted}", part=tr(self.kind.name), wanted=tr(_WANTS[self.kind.where]))
        )
        self.tell(fields, said, wrong)

    def _show_at(self, place: Place) -> tuple[tuple[tuple[str, str], ...], str]:
        if self.kind.where in ("walls", "line") and self.held is None:
            self.preview.dot(self._spot_of(place))
            return self._distance(place), ""
        places = (place,) if self.held is None else (self.held, place)
        kind, values = self.kind, self.values
        before = self.plan.document.job
        after, wrong = self.trial(lambda job: placed(job, kind, values, *places))
        if after is not None:
            self._show(change_of(before, after, place.room))
        elif place.side:
            self.preview.dot(self._spot_of(place))
        if self.kind.where == "line" and self.held is not None:
            self.preview.length(Curve(*self.held.at, *place.at))
        return self._distance(place), wrong

    def _distance(self, place: Place) -> tuple[tuple[str, str], ...]:
        """What may be typed, with its value now."""
        if not self.entry.slots:
            return ()
        word = self.entry.slots[0].name
        if self.held is not None:
            if self.kind.where == "line":
                return ((word, metres(math.dist(self.held.at, place.at))),)
            if self.held.side != place.side:
                return ()
            return ((word, metres(abs(place.along_mm - self.held.along_mm))),)
        curve = self._curve(place)
        near = min(place.along_mm, curve.length - place.along_mm) - self._half_mm if curve is not None else 0.0
        return ((word, metres(max(near, 0.0))),)

    @property
    def _half_mm(self) -> float:
        """From what is clicked to the part's nearer edge."""
        return (self.values.get("width") or 0.0) / 2.0 if self.kind.by_middle else 0.0

    def _curve(self, place: Place) -> Curve | None:
        from takeoff.ui.canvas.targets import side_curves

        room = next((r for r in (self.storey.rooms if self.storey else ()) if r.id == place.room), None)
        return side_curves(room).get(place.side) if room is not None else None

    def _spot_of(self, place: Place) -> Point:
        curve = self._curve(place) if place.side and self.kind.where != "corner" else None
        return curve.at(place.along_mm) if curve is not None else place.at

    def _show(self, change: Change) -> None:
        self.preview.rings(change.rings)
        for ring in change.regions:
            self.preview.course(ring, closed=True, filled=True)
            for k in (0, 1):
                a, b = ring[k], ring[(k + 1) % len(ring)]
                self.preview.length(Curve(*a[:2], *b[:2], a[2]))
        for curve, u0, u1 in change.covered:
            part = curve.part(u0, u1) if u1 > u0 else None
            if part is not None:
                self.preview.course(_strip(part), closed=True, filled=True)
                self.preview.length(part, left=True)


_WANTS = {
    "corner": mark("point at an internal corner"),
    "wall": mark("point at a wall"),
    "on wall": mark("point at a wall"),
    "walls": mark("point at a wall"),
    "line": mark("point into a room"),
    "slope": mark("point at a slope"),
    "ceiling": mark("point into a room"),
}


def _strip(curve: Curve) -> tuple[tuple[float, float, float], ...]:
    """A strip along the room's side of a wall."""
    (ax, ay), (bx, by) = (curve.x0, curve.y0), (curve.x1, curve.y1)
    (ux, uy), (vx, vy) = curve.direction(0.0), curve.direction(curve.length)
    return (
        (ax, ay, curve.bulge),
        (bx, by, 0.0),
        (bx - vy * _COVER_MM, by + vx * _COVER_MM, -curve.bulge),
        (ax - uy * _COVER_MM, ay + ux * _COVER_MM, 0.0),
    )
