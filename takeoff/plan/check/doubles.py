"""Openings that stand twice, once in each of the rooms they join."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shapely import Point, STRtree

from takeoff.errors import Finding, Where
from takeoff.plan.model import Opening, Storey
from takeoff.plan.room_faults import SAME_MM, Laid
from takeoff.plan.said import finding

WALL_MM = 500.0
"""Faces further apart than this are not the two of one wall (common practice, no source)."""

_OPPOSITE = -0.99
"""Cosine below which two sides run against each other: within 8 degrees."""


class _Placed(NamedTuple):
    opening: Opening
    x: float
    y: float
    dx: float
    dy: float


def openings_drawn_twice(storey: Storey, rooms: Sequence[Laid]) -> Iterator[Finding]:
    """A check for each pair of openings, hosted in two rooms, that go through the same place of one
    wall: one opening is one object and takes its area off both faces, so a pair takes it off twice.
    """
    laid: dict[str, Laid] = {room.room.id: room for room in rooms}
    placed = [p for opening in storey.openings if (p := _place(laid, opening)) is not None]
    if len(placed) < 2:
        return
    points = [Point(p.x, p.y) for p in placed]
    reach = WALL_MM + max(p.opening.width_mm for p in placed) / 2.0
    first, second = STRtree(points).query(points, predicate="dwithin", distance=reach)
    for i, j in sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j):
        if _through_one_place(placed[i], placed[j]):
            a, b = placed[i].opening, placed[j].opening
            text = f"{a.title} of {a.room} and {b.title} of {b.room} go through one wall at one "
            text += "place, so that its faces lose their area twice: keep one of them."
            where = Where(
                storey=storey.id, room=b.room, surface=b.side, opening=b.id, x_mm=placed[j].x, y_mm=placed[j].y
            )
            yield finding("opening-twice", "check", text, where)


def _place(laid: dict[str, Laid], opening: Opening) -> _Placed | None:
    """The middle of an opening and the direction of its side there; None where it has no side."""
    room = laid.get(opening.room)
    curve = None if room is None else room.sides.get(opening.side)
    if curve is None:
        return None
    along = min(max(opening.offset_mm + opening.width_mm / 2.0, 0.0), curve.length)
    return _Placed(opening, *curve.at(along), *curve.direction(along))


def _through_one_place(a: _Placed, b: _Placed) -> bool:
    if a.opening.room == b.opening.room or a.dx * b.dx + a.dy * b.dy > _OPPOSITE:
        return False
    along = (b.x - a.x) * a.dx + (b.y - a.y) * a.dy
    # Rooms lie to the left of their sides, so the wall and the room beyond are to the right.
    across = (b.x - a.x) * a.dy - (b.y - a.y) * a.dx
    shared_width = (a.opening.width_mm + b.opening.width_mm) / 2.0 - abs(along)
    low = max(a.opening.sill_mm, b.opening.sill_mm)
    high = min(a.opening.head_mm, b.opening.head_mm)
    return -SAME_MM <= across <= WALL_MM and shared_width > SAME_MM and high - low > SAME_MM
