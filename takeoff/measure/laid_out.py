"""Where the surfaces of a room lie in plan that are not its walls: ceiling pieces, drops, raised tops."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import shapely

from takeoff.geometry.curves import Curve
from takeoff.measure.elevations import facts_near
from takeoff.measure.level import ceiling_cells, top_cells
from takeoff.measure.space import Space
from takeoff.plan.model import Job, Room, Storey

_FACET_RAD = math.radians(6.0)
"""An arc is drawn in pieces of this."""

PlanRing = tuple[tuple[float, float], ...]
"""(x mm, y mm) in the storey's coordinates."""


class LaidOut(msgspec.Struct, frozen=True):
    """By the takeoff's names: ``areas`` of level and sloping surfaces as rings (holes after what they
    are in, by even-odd), ``courses`` of drop faces as open lines."""

    areas: dict[str, tuple[PlanRing, ...]]
    courses: dict[str, PlanRing]


def laid_out(job: Job, storey: Storey, room: Room) -> LaidOut:
    """Where the ceiling pieces, raised tops and drop faces of one room are, for pictures only.

    Raises what measuring raises for a room that cannot be measured.
    """
    facts = facts_near(job, storey, room)
    space = facts.space
    areas = {name: _rings(space, cells) for name, _, cells in (*ceiling_cells(space, 0), *top_cells(space, 0))}
    courses = {
        face.name: _moved(_points(face.carrier), space)
        for key, face in facts.faces.items()
        if key[0] != "side" and key[1] == 0 and face.slabs
    }
    return LaidOut(areas, courses)


def _rings(space: Space, cells: Sequence[int]) -> tuple[PlanRing, ...]:
    """The outline of some cells together."""
    own = set(cells)
    rim = [shapely.linestrings(_points(e.curve)) for e in space.plan.edges if (e.left in own) != (e.right in own)]
    rings = []
    for area in shapely.get_parts(shapely.build_area(shapely.geometrycollections(rim))):
        for ring in (area.exterior, *area.interiors):
            rings.append(_moved(list(ring.coords)[:-1], space))
    return tuple(rings)


def _points(curve: Curve) -> list[tuple[float, float]]:
    count = 1 if curve.bulge == 0.0 else max(2, math.ceil(curve.length / curve.radius / _FACET_RAD))
    return [*(curve.at(curve.length * k / count) for k in range(count)), (curve.x1, curve.y1)]


def _moved(points: Sequence[Sequence[float]], space: Space) -> PlanRing:
    ox, oy = space.origin
    return tuple((float(x) + ox, float(y) + oy) for x, y, *_ in points)
