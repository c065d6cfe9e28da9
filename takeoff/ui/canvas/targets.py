"""What can be hit on a storey, where it is, and what lies under a click."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Opening, Room, Storey, Vertex
from takeoff.plan.shape import vertex_rings
from takeoff.sheets.curved import facets, ring_polygon
from takeoff.sheets.sheet_values import PlanOpening
from takeoff.ui.canvas.pieces import BAND_MM, sides_of
from takeoff.ui.document import Ref


class Target(msgspec.Struct, frozen=True):
    """An area to hit, from within and from so far outside as the click's reach and its own ``slack_mm`` allow. Of
    what is hit the highest ``rank`` wins, then the nearest, then the smallest."""

    name: Ref
    shape: BaseGeometry
    rank: int
    slack_mm: float = 0.0


class Picking:
    """Targets in an index; built once, asked often. No targets: nothing is ever hit."""

    def __init__(self, targets: Sequence[Target]) -> None:
        self._targets = [target for target in targets if not target.shape.is_empty]
        self._tree = shapely.STRtree([target.shape for target in self._targets])

    def at(self, x_mm: float, y_mm: float, reach_mm: float = 0.0) -> tuple[Ref, ...]:
        """Every target at a point, the best first."""
        point = shapely.points(x_mm, y_mm)
        hits = []
        for k in self._tree.query(point, predicate="dwithin", distance=reach_mm):
            target = self._targets[k]
            off_mm = float(shapely.distance(target.shape, point))
            if off_mm <= target.slack_mm:
                hits.append((-target.rank, off_mm, target.shape.area, int(k)))
        return tuple(self._targets[hit[-1]].name for hit in sorted(hits))

    def within(self, x0: float, y0: float, x1: float, y1: float) -> tuple[Ref, ...]:
        """The names of targets that lie wholly in a box, in the order in which they were given."""
        box = shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        found = sorted(int(k) for k in self._tree.query(box, predicate="contains"))
        return tuple(self._targets[k].name for k in found)


_OPENING_RANK, _SIDE_RANK, _ROOM_RANK = 3, 2, 1

_WALL_MM = 200.0
"""How deep an opening is hit behind its face (common practice, no source: most walls are thicker)."""


def side_curves(room: Room) -> dict[str, Curve]:
    """Every side of a room as a curve, by its id, outer ring first."""
    return {name: curve for name, _, curve in sides_of(room)}


Drawn = Mapping[str, PlanOpening]
"""Openings as they are drawn, by id."""

_SLACK = 0.15
"""A wall is hit from beside its band over no more than this part of its room's width: what is left is the room's."""

_OPENING_SLACK_MM = 600.0


def picking_of(storey: Storey, drawn: Drawn | None = None) -> Picking:
    """The index of a storey: openings before sides, sides before rooms. Openings are hit where they are drawn, and
    openings and walls from a little beside too."""
    return Picking([*_room_targets(storey), *_opening_targets(storey, drawn or {})])


def _room_targets(storey: Storey) -> Iterator[Target]:
    for room in storey.rooms:
        rings = vertex_rings(room)
        space = ring_polygon(rings)
        left, low, right, high = space.bounds
        slack_mm = _SLACK * min(right - left, high - low)
        yield Target(Ref("room", str(room.id)), space, _ROOM_RANK)
        for side, curve in side_curves(room).items():
            if curve.length > 0:
                line = shapely.linestrings([*facets(curve), (curve.x1, curve.y1)])
                # the band is what one sees of a side: it is hit all over, on the room's side only
                band = shapely.buffer(line, BAND_MM, cap_style="flat").intersection(space)
                yield Target(Ref("side", side, str(room.id)), band, _SIDE_RANK, slack_mm=slack_mm)
    for light in storey.rooflights:
        area = ring_polygon([light.outline])
        yield Target(Ref("rooflight", str(light.id), str(light.room)), area, _OPENING_RANK)


def _opening_targets(storey: Storey, drawn: Drawn) -> Iterator[Target]:
    curves = {room.id: side_curves(room) for room in storey.rooms}
    for opening in storey.openings:
        curve = curves.get(opening.room, {}).get(opening.side)
        if curve is not None and curve.length > 0:
            yield Target(
                Ref("opening", str(opening.id), str(opening.room)),
                shapely.polygons(opening_corners(opening, curve, drawn.get(str(opening.id)))),
                _OPENING_RANK,
                slack_mm=_OPENING_SLACK_MM,
            )


def opening_corners(opening: Opening, side: Curve, drawn: PlanOpening | None = None) -> list[tuple[float, float]]:
    """The four corners of an opening in its wall, as it is hit and outlined: as deep as it is drawn."""
    thick = _WALL_MM
    if drawn is not None:
        thick = max(thick, math.dist(_middle(drawn.face), _middle(drawn.far)))
    start = min(max(opening.offset_mm, 0.0), side.length)
    end = min(start + opening.width_mm, side.length)
    corners = []
    for at, depth in ((start, -BAND_MM / 2), (end, -BAND_MM / 2), (end, thick), (start, thick)):
        (x, y), (dx, dy) = side.at(at), side.direction(at)
        corners.append((x + dy * depth, y - dx * depth))
    return corners


def _middle(line: tuple[Vertex, Vertex]) -> tuple[float, float]:
    return (line[0][0] + line[1][0]) / 2.0, (line[0][1] + line[1][1]) / 2.0
