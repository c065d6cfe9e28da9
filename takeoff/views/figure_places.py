"""Where a figure comes from: places on the plan and on the wall strip for any line of the dims.

Without Qt. What is found is for pictures: lengths and areas are those of the takeoff, unchanged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.measure.dims import KIND_WORDS
from takeoff.measure.elevations import Elevation, FlatRing, LaidOut, PlanRing, elevations, laid_out
from takeoff.measure.takeoff import FAMILIES as KEPT_BY_KIND
from takeoff.measure.takeoff import Dim, Edge, RoomTakeoff
from takeoff.plan.model import Opening, Room, Storey
from takeoff.plan.shape import curves_by_id
from takeoff.plan.surface_ids import reveal_of, strip_of
from takeoff.sheets.curved import facets
from takeoff.sheets.printed_figures import room_groups
from takeoff.views.board import State
from takeoff.views.naming import place_of

_UPRIGHT_MM = 1.0
"""A course whose ends are this near in plan stands upright."""

Point3 = tuple[float, float, float]
_T = TypeVar("_T")


class Stretch(msgspec.Struct, frozen=True):
    """A part of a wall in plan: mm along the side from its start."""

    room: str
    side: str
    from_mm: float
    to_mm: float


class OnFace(msgspec.Struct, frozen=True):
    """What is lit on one wall face of the strip: areas, each of rings by even-odd, and lines of (u, z)."""

    side: str
    areas: tuple[tuple[FlatRing, ...], ...] = ()
    lines: tuple[FlatRing, ...] = ()


class Traced(msgspec.Struct, frozen=True):
    """Everything that a figure comes from. ``areas`` (each of rings by even-odd) and ``courses`` in plan
    mm, ``points`` of upright edges, ``openings`` by id, and those that are ``sought``
    with a ring about them that is seen at any zoom; ``room`` "" for a figure of several rooms."""

    room: str = ""
    stretches: tuple[Stretch, ...] = ()
    areas: tuple[tuple[PlanRing, ...], ...] = ()
    courses: tuple[PlanRing, ...] = ()
    points: tuple[tuple[float, float], ...] = ()
    openings: tuple[str, ...] = ()
    faces: tuple[OnFace, ...] = ()
    sought: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether there is no place to show."""
        places = (self.stretches, self.areas, self.courses, self.points, self.openings, self.faces, self.sought)
        return not any(places)


FAMILIES: dict[str, tuple[str, ...]] = {
    "coated_m2": ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2"),
    **{family.whole: (name,) for name, family in KEPT_BY_KIND.items()},
}
"""Figures that are sums of others."""


def trace_figure(state: State, room_id: str, key: str) -> Traced:
    """Where a whole figure of a room comes from ("ceiling_m2", "bead_m", "coated_m2" …)."""
    board = state.room(room_id)
    if board is None:
        return Traced()
    groups = room_groups(board.taken)
    wanted = FAMILIES.get(key, (key,))
    dims = [
        line.of
        for name, group in groups.items()
        for line in group.lines
        if line.of is not None and (name in wanted or name.split(".")[0] in wanted)
    ]
    if key in ("floor_m2", "perimeter_m"):
        dims = [Dim(key, 1.0, (), 0.0, "")]
    if "wall_net_m2" in wanted:
        dims = [*(d for d in board.taken.dims if d.quantity == "wall_net_m2" and d.times > 0), *dims]
    return trace_dims(state, room_id, dims)


def trace_dims(state: State, room_id: str, dims: Iterable[Dim]) -> Traced:
    """Where some lines of a room's dims come from; empty for a room that was not measured."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None or board is None:
        return Traced()
    storey, room = place
    finder = _Finder(state, storey, room, board.taken)
    for dim in dims:
        finder.find(dim)
    return finder.found()


def together(traces: Sequence[Traced]) -> Traced:
    """Several rooms' places as one, for the plan; the strip shows one room only."""
    return Traced(
        stretches=tuple(x for t in traces for x in t.stretches),
        areas=tuple(x for t in traces for x in t.areas),
        courses=tuple(x for t in traces for x in t.courses),
        points=tuple(x for t in traces for x in t.points),
        openings=tuple(dict.fromkeys(x for t in traces for x in t.openings)),
    )


class _Finder:
    """Gathers the places of one room's lines."""

    def __init__(self, state: State, storey: Storey, room: Room, taken: RoomTakeoff) -> None:
        self._room, self._taken = room, taken
        self._openings = {str(o.id): o for o in storey.openings}
        self._lights = {str(light.id): light.outline for light in storey.rooflights}
        self._edges: dict[str, list[Edge]] = {}
        for edge in taken.edges:
            self._edges.setdefault(edge.id, []).append(edge)
        self._curves = {str(name): curve for name, curve in curves_by_id(room).items()}
        self._faces = {face.id: face for face in taken.faces}
        self._drawn: dict[str, Elevation] | None = None
        self._laid: LaidOut | None = None
        self._draw: Callable[[], tuple[Elevation, ...]] = lambda: elevations(state.job, storey, room)
        self._lay: Callable[[], LaidOut] = lambda: laid_out(state.job, storey, room)
        self._stretches: list[Stretch] = []
        self._areas: list[tuple[PlanRing, ...]] = []
        self._courses: list[PlanRing] = []
        self._points: list[tuple[float, float]] = []
        self._hit: list[str] = []
        self._face_areas: dict[str, list[tuple[FlatRing, ...]]] = {}
        self._face_lines: dict[str, list[FlatRing]] = {}

    def found(self) -> Traced:
        """Everything that was found, each once."""
        sides = dict.fromkeys((*self._face_areas, *self._face_lines))
        return Traced(
            str(self._room.id),
            _once(self._stretches),
            _once(self._areas),
            _once(self._courses),
            _once(self._points),
            _once(self._hit),
            tuple(
                OnFace(side, _once(self._face_areas.get(side, ())), _once(self._face_lines.get(side, ())))
                for side in sides
            ),
        )

    def find(self, dim: Dim) -> None:
        """Add the places of one line."""
        family = dim.quantity.split(".")[0]
        for name in dim.where.split(", "):
            if family.startswith(("wall_", "openings_", "excluded_", "not_coated_", "drop_", "ceiling_")):
                self._surface(family, name, dim)
            elif family == "reveal_m2":
                self._reveal(name, dim)
            elif family in ("floor_m2", "perimeter_m"):
                self._outline(family)
            else:
                # lines may share an id and differ in length: those of the line's own length are meant
                edges = self._edges.get(name, ())
                same = [e for e in edges if dim.dims and abs(e.length_m - dim.dims[0]) < 1e-6]
                for edge in same or edges:
                    self._edge(edge)

    def _surface(self, family: str, name: str, dim: Dim) -> None:
        if name in self._curves:
            self._face(family, name, dim)
            return
        if self._laid is None:
            self._laid = self._lay()
        if name in self._laid.areas:
            self._areas.append(self._laid.areas[name])
        elif name in self._laid.courses:
            self._courses.append(self._laid.courses[name])

    def _face(self, family: str, side: str, dim: Dim) -> None:
        drawn = self._elevation(side)
        if drawn is None:
            return
        areas = self._face_areas.setdefault(side, [])
        if family == "openings_m2":
            for opening, rings in drawn.openings:
                known = self._openings.get(opening)
                if known is not None and dim.what == f"{KIND_WORDS[known.kind]} {known.mark or known.id}":
                    areas.append(rings)
                    self._hit.append(opening)
            return
        rings = {
            "wall_gross_m2": drawn.whole,
            "wall_net_m2": drawn.coat,
            "excluded_m2": drawn.left_on,
            "not_coated_m2": drawn.bare,
        }.get(family, ())
        if rings:
            areas.append(rings)
        face = self._faces.get(side)
        length = self._curves[side].length
        coated = face.coated_mm if face is not None and family == "wall_net_m2" else ((0.0, length),)
        self._stretches += [Stretch(str(self._room.id), side, max(a, 0.0), min(b, length)) for a, b in coated]

    def _reveal(self, name: str, dim: Dim) -> None:
        part = dim.what.split(",")[0]
        self._opening(reveal_of(name)[0], part)

    def _opening(self, name: str, part: str = "") -> None:
        """An opening: its place in plan, and on the strip its outline or the part of it that is meant."""
        if name in self._lights:
            self._areas.append((tuple((x, y) for x, y, _ in self._lights[name]),))
            return
        opening = self._openings.get(name)
        if opening is None:
            return
        self._hit.append(name)
        for side in self._sides_of(opening):
            drawn = self._elevation(side)
            for shown, rings in drawn.openings if drawn else ():
                if shown == name:
                    for ring in rings:
                        lines = self._face_lines.setdefault(side, [])
                        lines += [course for course in _parts(ring) if _is_part(course, ring, part)]

    def _sides_of(self, opening: Opening) -> tuple[str, ...]:
        if opening.room == self._room.id:
            return (str(opening.side),)
        return tuple(hole.face for hole in self._taken.holes if hole.opening == opening.id)

    def _outline(self, family: str) -> None:
        rings = tuple(
            tuple(point for side in ring for point in facets(self._curves[side.id])) for ring in self._room.rings
        )
        if family == "floor_m2":
            self._areas.append(rings)
            return
        for side, curve in self._curves.items():
            self._stretches.append(Stretch(str(self._room.id), side, 0.0, curve.length))

    def _edge(self, edge: Edge) -> None:
        if len(edge.line) < 2:
            for name in edge.surfaces:
                self._opening(*_opening_part(name, self._openings, self._lights))
            return
        points = tuple((x, y) for x, y, _ in edge.line)
        if all(abs(x - points[0][0]) + abs(y - points[0][1]) <= _UPRIGHT_MM for x, y in points):
            self._points.append(points[0])
        else:
            self._courses.append(points)
        for name in edge.surfaces:
            if name in self._curves:
                flat = _flat(edge.line, self._curves[name])
                self._face_lines.setdefault(name, []).append(flat)

    def _elevation(self, side: str) -> Elevation | None:
        if self._drawn is None:
            self._drawn = {drawn.side: drawn for drawn in self._draw()}
        return self._drawn.get(side)


def _flat(line: Iterable[Point3], curve: Curve) -> FlatRing:
    return tuple((min(max(curve.where(x, y)[0], 0.0), curve.length), z) for x, y, z in line)


def _opening_part(name: str, openings: dict[str, Opening], lights: Mapping[str, object]) -> tuple[str, str]:
    """("W1", "start") for "W1.start" or "W1.beyond.start"; the name itself for anything else."""
    head, _, part = strip_of(name)
    if head in openings:
        return head, {"start": "jamb start", "end": "jamb end", "frame": ""}.get(part, part)
    return (head, "") if head in lights else (name, "")


def _parts(ring: FlatRing) -> list[FlatRing]:
    return [(a, b) for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True)]


def _is_part(course: FlatRing, ring: FlatRing, part: str) -> bool:
    """Whether a piece of an opening's outline is a jamb, the head or the sill that is meant."""
    (u0, z0), (u1, z1) = course
    us, zs = [u for u, _ in ring], [z for _, z in ring]
    upright = abs(z1 - z0) > abs(u1 - u0)
    if part.startswith("jamb"):
        left = (u0 + u1) < min(us) + max(us)
        return upright and (part == "jamb" or left == (part == "jamb start"))
    if part in ("head", "sill"):
        high = (z0 + z1) > min(zs) + max(zs)
        return not upright and high == (part == "head")
    return True


def _once(values: Sequence[_T]) -> tuple[_T, ...]:
    return tuple(dict.fromkeys(values))
