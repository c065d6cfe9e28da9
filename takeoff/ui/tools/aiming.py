"""Where a pointer means to be: drawn to the imported linework that is shown, and to the rooms there are."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.snapping import From, LineIndex, Snap, snap
from takeoff.language import tr
from takeoff.plan.model import Room, RoomId, Storey
from takeoff.plan.shape import holds
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.canvas.targets import side_curves
from takeoff.ui.canvas.tool import Pointer

REACH = 1.6
"""A point is drawn to things so many clicks' reaches away: 11 px."""

Without = frozenset[tuple[str, str]]
"""(room, side) that are being moved, and draw nothing to themselves."""


OnSide = tuple[Room, str, Curve]
"""A side with its room: (room, side id, its curve)."""


class Aim:
    """The indexes of what is shown, made when they are first asked after a change."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._drawn: tuple[Drawing, tuple[int, ...], LineIndex] | None = None
        self._rooms: tuple[Storey, Without, LineIndex] | None = None
        self._sides: tuple[Storey, list[OnSide], NDArray[np.float64]] | None = None

    def at(self, pointer: Pointer, start: From | None = None, without: Without = frozenset()) -> Snap | None:
        """What the pointer is drawn to; None in the open, and while Ctrl is held."""
        if pointer.control:
            return None
        indexes = [index for index in (self._linework(), self._of_rooms(without)) if index is not None]
        return snap(*pointer.at, pointer.reach_mm * REACH, indexes, start)

    def side(self, pointer: Pointer) -> OnSide | None:
        """The side nearest to the pointer; of two rooms' sides at one place that of the room in which
        the pointer is. None where none is within reach."""
        best: tuple[float, bool, OnSide] | None = None
        at, reach = pointer.at, pointer.reach_mm * REACH
        for found in self._near(at, reach):
            curve = found[2]
            t = min(max(curve.where(*at)[0], 0.0), curve.length)
            (x, y), (dx, dy) = curve.at(t), curve.direction(t)
            off = math.dist((x, y), at)
            beyond = (at[0] - x) * dy - (at[1] - y) * dx > 0
            if off <= reach and (best is None or (round(off, 3), beyond) < best[:2]):
                best = round(off, 3), beyond, found
        return best[2] if best is not None else None

    def corner(self, pointer: Pointer) -> OnSide | None:
        """The side that starts at the corner nearest to the pointer; of several corners at one place that
        of the room in which the pointer is. None where no corner is within reach."""
        best: tuple[float, bool, OnSide] | None = None
        at, reach = pointer.at, pointer.reach_mm * REACH
        for found in self._near(at, reach):
            off = math.dist((found[2].x0, found[2].y0), at)
            if off <= reach:
                rank = round(off, 3), not holds(found[0], *at)
                if best is None or rank < best[:2]:
                    best = *rank, found
        return best[2] if best is not None else None

    def room(self, at: Point) -> Room | None:
        """The room that holds a point, the smallest of several; None beside all rooms."""
        storey = self._plan.document.storey
        if storey is None:
            return None
        ids = [ref.id for ref in self._plan.hits(at) if ref.kind == "room"]
        return next((room for room in storey.rooms if ids and room.id == ids[0]), None)

    def _near(self, at: Point, reach: float) -> list[OnSide]:
        storey = self._plan.document.storey
        if storey is None:
            return []
        if self._sides is None or self._sides[0] is not storey:
            found = [
                (room, side, curve)
                for room in storey.rooms
                for side, curve in side_curves(room).items()
                if curve.length > 0
            ]
            self._sides = storey, found, _rows([curve.box for _, _, curve in found], 4)
        boxes = self._sides[2]
        x, y = at
        near = (
            (boxes[:, 0] - reach <= x)
            & (x <= boxes[:, 2] + reach)
            & (boxes[:, 1] - reach <= y)
            & (y <= boxes[:, 3] + reach)
        )
        return [self._sides[1][k] for k in np.flatnonzero(near)]

    def _linework(self) -> LineIndex | None:
        drawing = self._plan.document.drawing
        if drawing is None:
            return None
        shown = tuple(k for k, show in self._plan.linework.shows.items() if show != "off")
        if self._drawn is None or self._drawn[0] is not drawing or self._drawn[1] != shown:
            lines = drawing.lines
            seg, arc = np.isin(lines.segment_layer, shown), np.isin(lines.arc_layer, shown)
            self._drawn = drawing, shown, LineIndex(lines.segments[seg], lines.arcs[arc])
        return self._drawn[2]

    def _of_rooms(self, without: Without) -> LineIndex | None:
        storey = self._plan.document.storey
        if storey is None:
            return None
        if self._rooms is None or self._rooms[0] is not storey or self._rooms[1] != without:
            curves = [
                curve
                for room in storey.rooms
                for side, curve in side_curves(room).items()
                if (str(room.id), side) not in without
            ]
            self._rooms = (
                storey,
                without,
                LineIndex(
                    _rows([(c.x0, c.y0, c.x1, c.y1) for c in curves if not c.bulge], 4),
                    _rows([(c.x0, c.y0, c.x1, c.y1, c.bulge) for c in curves if c.bulge], 5),
                ),
            )
        return self._rooms[2]


def _rows(rows: Sequence[tuple[float, ...]], width: int) -> NDArray[np.float64]:
    return np.array(rows, float).reshape(-1, width)


def room_round(storey: Storey | None, points: Sequence[Point]) -> RoomId:
    """The room of a storey that holds the first of these points that lies in one.

    Raises InputError where none does.
    """
    for x, y in points:
        for room in storey.rooms if storey is not None else ():
            if holds(room, x, y):
                return room.id
    raise InputError(tr("There is no room here: click inside a room."))
