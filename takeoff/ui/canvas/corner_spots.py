"""Where upright corners stand on a storey, to be hit and outlined: bead and fillets, ends of coat."""

from __future__ import annotations

import math
from collections.abc import Iterator

from takeoff.measure.takeoff import Edge
from takeoff.plan.model import Room, Storey
from takeoff.plan.shape import box_of
from takeoff.sheets.sheet_values import Point
from takeoff.ui.document import Ref
from takeoff.views.board import State

_UPRIGHT_MM = 3.0
"""How far the ends of an upright edge may lie apart in plan (rounding of the takeoff)."""

_BEYOND_MM = 800.0
"""Corners of a room lie no further outside of its outline: jambs in the thickest walls."""

_SAME_MM = 5.0
"""Corners so near to each other are one corner at several heights."""

_RANKS = {"external": 0, "internal": 1, "coat_edge": 2}
"""Of several edges at one place the first of these is meant."""

NEAR_MM = 100.0
"""A click that may mean something else means a corner only so near to it."""


def upright_at(edge: Edge) -> Point | None:
    """Where an upright edge stands in plan; None for one that runs over it, or is not drawn."""
    if len(edge.line) < 2:
        return None
    x, y, _ = edge.line[0]
    flat = all(math.hypot(px - x, py - y) <= _UPRIGHT_MM for px, py, _ in edge.line[1:])
    return (x, y) if flat else None


def edge_of(state: State, storey: Storey, ref: Ref) -> Edge | None:
    """The edge that a chosen corner stands for; None where it is no longer there."""
    board = state.rooms.get((str(storey.id), ref.room))
    return next((e for e in board.taken.edges if e.id == ref.id), None) if board else None


class CornerSpots:
    """Finds corners by place; remembers the boxes of rooms."""

    def __init__(self) -> None:
        self._boxes: dict[str, tuple[Room, tuple[float, float, float, float]]] = {}

    def at(self, state: State, storey: Storey, at: Point, reach_mm: float) -> tuple[Ref, ...]:
        """The corner nearest to a point: all its edges of one kind, over its height; none within reach
        gives nothing."""
        found = sorted(
            (round(math.dist(spot, at) / _SAME_MM), _RANKS[edge.cls], room, edge.id, spot)
            for room, edge, spot in self._near(state, storey, (*at, *at), reach_mm)
            if math.dist(spot, at) <= reach_mm
        )
        if not found:
            return ()
        _, rank, room, _, spot = found[0]
        return tuple(
            Ref("corner", name, owner)
            for _, r, owner, name, other in found
            if r == rank and owner == room and math.dist(spot, other) <= _SAME_MM
        )

    def within(self, state: State, storey: Storey, one: Point, other: Point) -> tuple[Ref, ...]:
        """Every external and internal corner in a box."""
        box = (min(one[0], other[0]), min(one[1], other[1]), max(one[0], other[0]), max(one[1], other[1]))
        return tuple(
            Ref("corner", edge.id, room)
            for room, edge, (x, y) in self._near(state, storey, box, 0.0)
            if box[0] <= x <= box[2] and box[1] <= y <= box[3] and edge.cls != "coat_edge"
        )

    def _near(
        self, state: State, storey: Storey, box: tuple[float, float, float, float], reach_mm: float
    ) -> Iterator[tuple[str, Edge, Point]]:
        far = reach_mm + _BEYOND_MM
        for room in storey.rooms:
            left, low, right, high = self._box(room)
            if left > box[2] + far or right < box[0] - far or low > box[3] + far or high < box[1] - far:
                continue
            board = state.rooms.get((str(storey.id), str(room.id)))
            for edge in board.taken.edges if board else ():
                spot = upright_at(edge) if edge.cls in _RANKS else None
                if spot is not None:
                    yield str(room.id), edge, spot

    def _box(self, room: Room) -> tuple[float, float, float, float]:
        known = self._boxes.get(str(room.id))
        if known is None or known[0] is not room:
            known = self._boxes[str(room.id)] = room, box_of(room)
        return known[1]
