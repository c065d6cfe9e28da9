"""A room laid out once for all checks: its sides as curves, its area as a polygon."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from shapely import Polygon

from takeoff.plan.model import Room, Storey
from takeoff.plan.shape import curves_of, polygon

SAME_MM = 1.0
"""Lengths and places closer than this are the same for a finding: nobody sets out finer."""


class Laid:
    """A room with sound rings. ``sides``: every side with its curve, outer ring first."""

    def __init__(self, storey: Storey, room: Room) -> None:
        self.storey, self.room = storey, room
        self.rings = [curves_of(ring) for ring in room.rings]
        self.curves = [curve for ring in self.rings for curve in ring]
        self.sides = dict(zip(_side_ids(room), self.curves, strict=True))

    @cached_property
    def polygon(self) -> Polygon:
        """The room's area, arcs as chords."""
        return polygon(self.room)

    @property
    def middle(self) -> tuple[float, float]:
        """A point inside the room."""
        point = self.polygon.representative_point()
        return point.x, point.y


def lay_out(storey: Storey, room: Room) -> Laid:
    """The room laid out; its rings must have been found sound."""
    return Laid(storey, room)


def _side_ids(room: Room) -> Iterator[str]:
    # An id that stands twice is a finding of its own; here the later side must not hide the first.
    seen: set[str] = set()
    for ring in room.rings:
        for number, side in enumerate(ring):
            yield side.id if side.id not in seen else f"{side.id} ({number})"
            seen.add(side.id)
