"""The surfaces of one room as pictures need them: each wall developed flat, cut as it was measured, and where
ceiling pieces, drops and raised tops lie in plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Line, Profile
from takeoff.measure.around import SideIndex, around
from takeoff.measure.engine import facts_of, hosts_of
from takeoff.measure.face import EXCLUDED, NET, NOT_COATED, OPEN, Slab
from takeoff.measure.gather import FaceFacts, Facts
from takeoff.measure.level import ceiling_cells, top_cells
from takeoff.measure.memory import groups_of, lights_of
from takeoff.measure.space import Space
from takeoff.plan.model import Job, Room, Storey
from takeoff.plan.shape import are_near, box_of

_NEAR_MM = 2000.0
"""Rooms further away than this neither lie behind a wall of a room nor run into it."""

_FACETS = 12
"""Pieces that a curved head or a wavy ceiling line is drawn as, for each stretch."""

_GRID_MM = 0.01
"""To this the pieces of a face are joined."""

FlatRing = tuple[tuple[float, float], ...]
"""(u mm along the side from its start, z mm above the storey's datum)"""


class Elevation(msgspec.Struct, frozen=True):
    """A wall face seen from the room, u from the side's start (to the right when one stands before
    it). Rings of each kind, holes after what they are in, by even-odd. ``openings``: (id, rings)."""

    side: str
    length_mm: float
    low_mm: float
    high_mm: float
    whole: tuple[FlatRing, ...]
    coat: tuple[FlatRing, ...]
    left_on: tuple[FlatRing, ...]
    bare: tuple[FlatRing, ...]
    openings: tuple[tuple[str, tuple[FlatRing, ...]], ...]


def elevations(job: Job, storey: Storey, room: Room, near: Sequence[Room] | None = None) -> tuple[Elevation, ...]:
    """Every wall face of a room, in the order of its sides; open sides only where wall is left.

    ``near``: what :func:`neighbours` says of the room, where many are drawn. Raises nothing of its own; what cannot
    be measured cannot be drawn and raises as measuring does.
    """
    facts = facts_near(job, storey, room, near)
    faces = {key[3]: face for key, face in facts.faces.items() if key[0] == "side" and key[1] == 0}
    return tuple(_elevation(faces[number]) for number in sorted(faces) if faces[number].slabs)


def neighbours(rooms: Sequence[Room]) -> list[tuple[Room, ...]]:
    """For each room of a storey itself and those that may lie behind its walls or run into it, in the storey's order;
    no rooms: an empty list."""
    boxes = shapely.box(*np.array([box_of(room) for room in rooms], float).reshape(-1, 4).T)
    reach = shapely.box(*(shapely.bounds(boxes) + np.array([-_NEAR_MM, -_NEAR_MM, _NEAR_MM, _NEAR_MM])).T)
    of, other = shapely.STRtree(boxes).query(reach, predicate="intersects")
    found: list[list[int]] = [[] for _ in rooms]
    for k, beside in zip(of.tolist(), other.tolist(), strict=True):
        found[k].append(beside)
    return [tuple(rooms[n] for n in sorted({k, *beside})) for k, beside in enumerate(found)]


def facts_near(job: Job, storey: Storey, room: Room, near: Sequence[Room] | None = None) -> Facts:
    """Every surface of a room (number 0) and of those that run into it, measured as pictures need it. ``near``: what
    :func:`neighbours` says of the room; without it they are sought."""
    if near is None:
        near = [other for other in storey.rooms if other is room or are_near(box_of(other), box_of(room), _NEAR_MM)]
    names = {other.id for other in near}
    openings = tuple(o for o in storey.openings if o.room in names)
    part = msgspec.structs.replace(storey, rooms=tuple(near), openings=openings)
    index = SideIndex(job.wall_types)
    for other in near:
        index.put(other)
    known: dict[str, list[str]] = {}
    groups_of(part, index, {str(room.id)}, known)
    # the room itself first, so that its faces have number 0
    group = [room, *(o for o in near if o is not room and o.id in known.get(room.id, ()))]
    hosts = hosts_of(openings)
    views = {str(r.id): around(r, part, index, hosts) for r in group}
    return facts_of(job, part, group, views, lights_of(part))


def _elevation(face: FaceFacts) -> Elevation:
    there = {piece.cls for slab in face.slabs for piece in slab.pieces}
    whole = joined(face.slabs, (NET, OPEN, EXCLUDED, NOT_COATED))
    rings = rings_of(whole)

    def only(cls: int) -> tuple[FlatRing, ...]:
        """The pieces of one class; a face with no other is that class, one without has none."""
        if cls not in there:
            return ()
        return rings if there == {cls} else rings_of(joined(face.slabs, (cls,)))

    left, low, right, high = whole.bounds
    del left, right
    openings = tuple(
        (str(opening.opening.id), rings_of(joined(face.slabs, (OPEN,), number)))
        for number, opening in enumerate(face.openings)
    )
    return Elevation(
        side=face.name,
        length_mm=face.carrier.length,
        low_mm=low,
        high_mm=high,
        whole=rings,
        coat=only(NET),
        left_on=only(EXCLUDED),
        bare=only(NOT_COATED),
        openings=tuple(opening for opening in openings if opening[1]),
    )


def joined(slabs: Sequence[Slab], classes: tuple[int, ...], number: int | None = None) -> BaseGeometry:
    """The pieces of these classes (of one opening, where a number is given) as one area."""
    shapes = []
    for slab in slabs:
        for piece in slab.pieces:
            if piece.cls in classes and (number is None or piece.number == number):
                low, high = (_along(profile, slab.u0, slab.u1) for profile in (piece.lo, piece.hi))
                for end in (0, -1):
                    # where two profiles meet, rounding may put the lower one a hair above the upper
                    if low[end][1] > high[end][1]:
                        low[end] = high[end]
                shapes.append(shapely.polygons([*low, *reversed(high)]))
    return shapely.union_all(shapes, grid_size=_GRID_MM)


def _along(profile: Profile, u0: float, u1: float) -> list[tuple[float, float]]:
    count = 1 if isinstance(profile, Line) else _FACETS
    us = [u0 + (u1 - u0) * k / count for k in range(count + 1)]
    return [(u, profile.at(u)) for u in us]


def rings_of(shape: BaseGeometry) -> tuple[FlatRing, ...]:
    """The rings of an area, holes after what they are in."""
    rings = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and not part.is_empty:
            for ring in (part.exterior, *part.interiors):
                rings.append(tuple((float(u), float(z)) for u, z in ring.coords[:-1]))
    return tuple(rings)


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
