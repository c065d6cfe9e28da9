"""A room laid out once for all checks: its sides as curves, its area as a polygon."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from shapely import Polygon

from takeoff.geometry.curves import Curve
from takeoff.geometry.rings import ring_curves
from takeoff.plan.model import Ring, Room, Side, Storey

SAME_MM = 1.0
"""Lengths and places closer than this are the same for a finding: nobody sets out finer."""

_CHORDS = 32
"""Chords per arc of the polygons here. They only tell what overlaps; no quantity comes from them."""


class Laid:
    """A room with sound rings. ``sides``: every side with its curve, outer ring first."""

    def __init__(self, storey: Storey, room: Room) -> None:
        self.storey, self.room = storey, room
        self.rings = [ring_curves(side_ring(ring)) for ring in (room.outline, *room.inner)]
        self.curves = [curve for ring in self.rings for curve in ring]
        self.sides = dict(zip(_side_ids(room), self.curves, strict=True))

    @cached_property
    def polygon(self) -> Polygon:
        """The room's area, arcs as chords."""
        shell, *holes = (chords(ring) for ring in self.rings)
        return Polygon(shell, holes)

    @property
    def middle(self) -> tuple[float, float]:
        """A point inside the room."""
        point = self.polygon.representative_point()
        return point.x, point.y


def lay_out(storey: Storey, room: Room) -> Laid:
    """The room laid out; its rings must have been found sound."""
    return Laid(storey, room)


def side_ring(sides: Sequence[Side]) -> Ring:
    """A ring of sides as [x, y, bulge]."""
    return tuple((side.x_mm, side.y_mm, side.bulge) for side in sides)


def chords(curves: Sequence[Curve]) -> list[tuple[float, float]]:
    """The corners of a ring, with points along its arcs."""
    points = []
    for curve in curves:
        points.append((curve.x0, curve.y0))
        if curve.bulge:
            points.extend(curve.at(curve.length * k / _CHORDS) for k in range(1, _CHORDS))
    return points


def ring_polygon(ring: Ring) -> Polygon:
    """The area within a ring, arcs as chords; the ring has three corners or an arc."""
    return Polygon(chords(ring_curves(ring)))


def _side_ids(room: Room) -> Iterator[str]:
    # An id that stands twice is a finding of its own; here the later side must not hide the first.
    seen: set[str] = set()
    for ring in (room.outline, *room.inner):
        for number, side in enumerate(ring):
            yield side.id if side.id not in seen else f"{side.id} ({number})"
            seen.add(side.id)
