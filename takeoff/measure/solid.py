"""The surfaces of one room as flat facets in space, as they were measured: for pictures only."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

import msgspec
import shapely

from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Line, Profile
from takeoff.geometry.seen import Point3, normal_of
from takeoff.measure.elevations import facts_near, joined, rings_of
from takeoff.measure.face import EXCLUDED, NET, NOT_COATED, OPEN
from takeoff.measure.fields import Sheet
from takeoff.measure.gather import FaceFacts, reveal_here
from takeoff.measure.level import ceiling_cells
from takeoff.measure.reveals import strip
from takeoff.measure.space import Space, local_ring
from takeoff.measure.upright import FaceKey
from takeoff.plan.model import Job, Room, Storey
from takeoff.plan.surface_ids import strip_name

Kind = Literal["wall", "ceiling", "drop", "top", "floor", "reveal", "pane"]
State = Literal["coat", "left_on", "bare", "floor", "glass", "door"]

_FACET_RAD = math.radians(7.5)
"""A curved wall is drawn in pieces of this."""

_BOW_FACETS = 10
"""A curved head is drawn in so many pieces."""

_CELL_MM2 = 1.0
"""A piece of ceiling smaller than this is not drawn."""

_STATES: dict[int, State] = {NET: "coat", EXCLUDED: "left_on", NOT_COATED: "bare"}


class Facet(msgspec.Struct, frozen=True):
    """A convex flat piece of a surface, by the takeoff's name of it. ``faces``: the way it faces, into the
    room's void; ``host``: the same of the wall that a reveal belongs to."""

    surface: str
    kind: Kind
    state: State
    points: tuple[Point3, ...]
    faces: Point3
    host: Point3 | None = None
    opening: str = ""
    """The opening that a reveal or a pane belongs to."""


class Course(msgspec.Struct, frozen=True):
    """A line on surfaces: the outline of one, or where coat ends."""

    surface: str
    points: tuple[Point3, ...]
    what: Literal["outline", "coat"] = "outline"
    faces: tuple[Point3, ...] = ()
    """The way the surface faces along it; a curved one in several ways."""
    host: Point3 | None = None


class Solid(msgspec.Struct, frozen=True):
    """A room in space, mm, heights above the storey's datum. ``origin``: what was taken off x and y."""

    facets: tuple[Facet, ...]
    courses: tuple[Course, ...]
    origin: tuple[float, float]


def solid_of(job: Job, storey: Storey, room: Room) -> Solid:
    """Every surface of a room: walls, ceilings, drops, raised tops, floor, reveals and what fills openings.

    Raises what measuring raises for a room that cannot be measured.
    """
    facts = facts_near(job, storey, room)
    facets: list[Facet] = []
    courses: list[Course] = []
    for key, face in facts.faces.items():
        if key[1] == 0 and face.slabs:
            facets += _face_facets(key, face)
            courses += _face_courses(key, face)
            for number in range(len(face.openings)):
                facets += _reveal(key, face, number)
    for name, sheet, cells in ceiling_cells(facts.space, 0):
        _level(facts.space, name, sheet, cells, True, facets, courses)
    for name, sheet, cells in _floor_cells(facts.space):
        _level(facts.space, name, sheet, cells, False, facets, courses)
    facets += _shafts(facts.space)
    return Solid(tuple(facets), tuple(courses), facts.space.origin)


# Upright surfaces ----------------------------------------------------------------------------


def _outward(key: FaceKey, carrier: Curve, u: float) -> tuple[float, float]:
    """Square to a face, away from the void."""
    dx, dy = carrier.direction(u)
    sign = 1.0 if key[4] else -1.0
    return dy * sign, -dx * sign


def _facing(key: FaceKey, carrier: Curve, u: float) -> Point3:
    x, y = _outward(key, carrier, u)
    return -x, -y, 0.0


def _steps(carrier: Curve, profiles: Iterable[Profile], u0: float, u1: float) -> list[float]:
    """Places along a stretch between which it is drawn straight."""
    count = 1 if not carrier.bulge else max(1, math.ceil((u1 - u0) / carrier.radius / _FACET_RAD))
    if any(not isinstance(profile, Line) for profile in profiles):
        count = max(count, _BOW_FACETS)
    return [u0 + (u1 - u0) * k / count for k in range(count + 1)]


def _on(carrier: Curve, u: float, z: float) -> Point3:
    x, y = carrier.at(u)
    return x, y, z


def _face_facets(key: FaceKey, face: FaceFacts) -> Iterator[Facet]:
    kind: Kind = "wall" if face.kind == "wall" else "drop"
    for slab in face.slabs:
        for piece in slab.pieces:
            if piece.cls == OPEN:
                continue
            us = _steps(face.carrier, (piece.lo, piece.hi), slab.u0, slab.u1)
            for a, b in itertools.pairwise(us):
                ring = [
                    _on(face.carrier, a, piece.lo.at(a)),
                    _on(face.carrier, b, piece.lo.at(b)),
                    _on(face.carrier, b, piece.hi.at(b)),
                    _on(face.carrier, a, piece.hi.at(a)),
                ]
                yield Facet(
                    face.name, kind, _STATES[piece.cls], _distinct(ring), _facing(key, face.carrier, (a + b) / 2.0)
                )


def _distinct(points: Sequence[Point3]) -> tuple[Point3, ...]:
    return tuple(p for k, p in enumerate(points) if p != points[k - 1])


def _face_courses(key: FaceKey, face: FaceFacts) -> Iterator[Course]:
    every = (NET, OPEN, EXCLUDED, NOT_COATED)
    outlines = [*rings_of(joined(face.slabs, every))]
    for number in range(len(face.openings)):
        outlines += rings_of(joined(face.slabs, (OPEN,), number))
    for ring in outlines:
        yield _developed(key, face, ring, "outline")
    coat = joined(face.slabs, (NET,))
    if not coat.is_empty and coat.area < joined(face.slabs, every).area - _CELL_MM2:
        for ring in rings_of(coat):
            yield _developed(key, face, ring, "coat")


def _developed(
    key: FaceKey, face: FaceFacts, ring: Sequence[tuple[float, float]], what: Literal["outline", "coat"]
) -> Course:
    """A ring of a face brought back round its wall."""
    points: list[Point3] = []
    for (u0, z0), (u1, z1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        us = _steps(face.carrier, (), u0, u1) if u1 > u0 else _steps(face.carrier, (), u1, u0)[::-1]
        for u in us[:-1]:
            share = (u - u0) / (u1 - u0) if u1 != u0 else 0.0
            points.append(_on(face.carrier, u, z0 + (z1 - z0) * share))
    points.append(points[0])
    length = face.carrier.length
    at = (0.0, length / 2.0, length) if face.carrier.bulge else (0.0,)
    return Course(face.name, tuple(points), what, tuple(_facing(key, face.carrier, u) for u in at))


# Openings ------------------------------------------------------------------------------------


def _reveal(key: FaceKey, face: FaceFacts, number: int) -> Iterator[Facet]:
    """The strips of one opening and what stands in its frame; strips without depth are none."""
    opening, shape, strips = face.openings[number], face.shapes[number], face.strips[number]
    name, carrier, middle = str(opening.opening.id), face.carrier, (shape.u0 + shape.u1) / 2.0
    host = _facing(key, carrier, middle)
    us = _steps(carrier, (shape.top, shape.bottom), shape.u0, shape.u1)
    # an opening that the ceiling cuts is seen only below it
    low = [(u, shape.bottom.at(u)) for u in us]
    high = [(u, max(min(shape.top.at(u), _height_of(face, u)), z)) for u, z in low]
    borders = {"sill": low, "end": [low[-1], high[-1]], "head": high[::-1], "start": [high[0], low[0]]}
    mid_z = (low[len(low) // 2][1] + high[len(high) // 2][1]) / 2.0
    splay = math.tan(math.radians(opening.reveal.splay_deg))

    def at_frame(u: float, z: float, depth: float) -> Point3:
        half = (shape.u1 - shape.u0) / 2.0
        narrow = 1.0 - min(depth * splay / half, 1.0) if half > 0.0 else 1.0
        u = middle + (u - middle) * narrow
        (x, y), (ox, oy) = carrier.at(u), _outward(key, carrier, u)
        return x + ox * depth, y + oy * depth, z

    deepest = 0.0
    for part, border in borders.items():
        depth = strip(opening.reveal, part).depth_mm
        deepest = max(deepest, depth)
        # a round opening has one strip, its head
        known = "head" if opening.opening.shape == "round" else part
        if depth <= 0.0 or strips.length[known] <= 0.0:
            continue
        state: State = "coat" if strips.coated[known] else "bare"
        for (ua, za), (ub, zb) in itertools.pairwise(border):
            ring = _distinct(
                [_on(carrier, ua, za), _on(carrier, ub, zb), at_frame(ub, zb, depth), at_frame(ua, za, depth)]
            )
            faces = _towards(ring, _on(carrier, middle, mid_z))
            if faces is not None:
                yield Facet(strip_name(reveal_here(strips), part), "reveal", state, ring, faces, host, name)
    if opening.opening.kind != "open":
        pane = [at_frame(u, z, deepest) for border in borders.values() for u, z in border]
        glass: State = "glass" if opening.opening.kind == "window" else "door"
        yield from _pane(name, glass, pane, host)


def _height_of(face: FaceFacts, u: float) -> float:
    """How high a face is at a place along it, mm."""
    return max(
        (piece.hi.at(u) for slab in face.slabs if slab.u0 - 1.0 <= u <= slab.u1 + 1.0 for piece in slab.pieces),
        default=0.0,
    )


def _pane(name: str, state: State, points: Sequence[Point3], host: Point3) -> Iterator[Facet]:
    """What fills an opening, in triangles about its middle: a curved wall bends it."""
    middle = tuple(sum(p[k] for p in points) / len(points) for k in range(3))
    ring = _distinct(points)
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        yield Facet(name, "pane", state, (a, b, (middle[0], middle[1], middle[2])), host, host, name)


def _towards(ring: Sequence[Point3], at: Point3) -> Point3 | None:
    """The way a flat ring faces that looks to a point; None for a ring without an area."""
    normal = normal_of(ring) if len(ring) > 2 else None
    if normal is None:
        return None
    ahead = sum(n * (a - p) for n, a, p in zip(normal, at, ring[0], strict=True))
    return normal if ahead >= 0.0 else (-normal[0], -normal[1], -normal[2])


# Level and sloping surfaces ------------------------------------------------------------------


def _floor_cells(space: Space) -> list[tuple[str, Sheet, list[int]]]:
    """(name, plane, cells) of the floor and of every raised or sunken part of it."""
    groups: dict[tuple[str, Sheet], list[int]] = {}
    for number, cell in enumerate(space.cells):
        if cell.room == 0:
            name = f"{cell.floor_region.id}.top" if cell.floor_region is not None else "floor"
            groups.setdefault((name, cell.floor), []).append(number)
    return [(name, sheet, cells) for (name, sheet), cells in groups.items()]


def _level(
    space: Space, name: str, sheet: Sheet, cells: Sequence[int], overhead: bool,
    facets: list[Facet], courses: list[Course],
) -> None:  # fmt: skip
    """One surface under one plane: its pieces by what happens to them, and their outlines."""
    sign = 1.0 if overhead else -1.0
    length = math.sqrt(1.0 + sheet.gx * sheet.gx + sheet.gy * sheet.gy)
    faces = (sign * sheet.gx / length, sign * sheet.gy / length, -sign / length)
    groups: dict[State, list[int]] = {}
    for number in cells:
        cell = space.cells[number]
        if overhead and cell.ceiling_class == OPEN:
            continue
        state: State = _STATES[cell.ceiling_class] if overhead else "coat" if cell.floor_coated else "floor"
        groups.setdefault(state, []).append(number)
    raised = any(space.cells[n].floor_coated for n in cells)
    kind: Kind = "ceiling" if overhead else "top" if raised else "floor"
    for state, own in groups.items():
        for number in own:
            for triangle in _triangles(space, number):
                ring = tuple((x, y, sheet.at(x, y)) for x, y in list(triangle.exterior.coords)[:3])
                facets.append(Facet(name, kind, state, ring, faces))
        for course in _borders(space, own):
            line = tuple((x, y, sheet.at(x, y)) for x, y in course)
            courses.append(Course(name, line, "outline", (faces,)))


def _triangles(space: Space, number: int) -> Iterator[shapely.Polygon]:
    """One cell in triangles, arcs in pieces."""
    plan = space.plan
    rings = []
    for cycle in plan.cells[number]:
        ring: list[tuple[float, float]] = []
        for half in cycle:
            edge = plan.edges[half >> 1]
            # ends as the plan was noded: what is off by a hair would not close
            course = [plan.points[edge.a], *_bent(edge.curve)[1:-1], plan.points[edge.b]]
            ring += (course[::-1] if half & 1 else course)[:-1]
        if len(ring) > 2:
            rings.append(ring)
    if rings:
        # chords may cross where arcs do not
        area = shapely.make_valid(shapely.Polygon(rings[0], rings[1:]))
        for part in shapely.get_parts(area):
            if part.geom_type == "Polygon" and part.area > _CELL_MM2:
                yield from shapely.get_parts(shapely.constrained_delaunay_triangles(part))


def _borders(space: Space, cells: Sequence[int]) -> Iterator[list[tuple[float, float]]]:
    """The courses between some cells and all others."""
    own = set(cells)
    for edge in space.plan.edges:
        if (edge.left in own) != (edge.right in own):
            yield _bent(edge.curve)


def _bent(curve: Curve) -> list[tuple[float, float]]:
    # ends as they are given: what is computed from an arc's angle would not close the ring
    inner = _steps(curve, (), 0.0, curve.length)[1:-1]
    return [(curve.x0, curve.y0), *(curve.at(u) for u in inner), (curve.x1, curve.y1)]


def _shafts(space: Space) -> Iterator[Facet]:
    """The shafts of rooflights, square to the slope, and their panes."""
    shape = space.rooms[0]
    for number, light in enumerate(shape.rooflights):
        cell = next((c for c in space.cells if c.room == 0 and c.rooflight == number), None)
        if cell is None:
            continue
        s = cell.ceiling
        length = math.sqrt(1.0 + s.gx * s.gx + s.gy * s.gy)
        out = (-s.gx / length, -s.gy / length, 1.0 / length)
        host = (-out[0], -out[1], -out[2])
        ring: list[Point3] = [
            (x, y, s.at(x, y)) for c in local_ring(light.outline, shape.origin) for x, y in _bent(c)[:-1]
        ]
        far: list[Point3] = [
            (x + out[0] * light.depth_mm, y + out[1] * light.depth_mm, z + out[2] * light.depth_mm) for x, y, z in ring
        ]
        count = len(ring)
        middle = tuple(sum(p[k] for p in (*ring, *far)) / (2 * count) for k in range(3))
        state: State = "coat" if light.coat else "bare"
        for k in range(count if light.depth_mm > 0.0 else 0):
            side = (ring[k], ring[(k + 1) % count], far[(k + 1) % count], far[k])
            faces = _towards(side, (middle[0], middle[1], middle[2]))
            if faces is not None:
                yield Facet(f"{light.id}.shaft", "reveal", state, side, faces, host, str(light.id))
        yield from _pane(str(light.id), "glass", far, host)
