"""A room as it is seen: its walls from inside, side by side, and the whole of it in three dimensions.

In three dimensions walls that stand between the eye and the room are cut away: of every surface only the side
is shown that looks into the room.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Literal

import msgspec

from takeoff.geometry.seen import Point3, Tree, View, holds_point
from takeoff.language import mark, tr
from takeoff.measure.elevations import Elevation, elevations
from takeoff.measure.solid import Facet, Solid, solid_of
from takeoff.measure.takeoff import Edge
from takeoff.plan.model import Opening, Storey
from takeoff.sheets.wall_names import wall_letters
from takeoff.units.printing import fmt2
from takeoff.views.board import State
from takeoff.views.naming import labels, place_of


class OpeningInFace(msgspec.Struct, frozen=True):
    """An opening as it shows in a face, mm along it from its start and above the datum.

    ``rises``: it stands on a sill and is moved up and down too. ``is_host``: its own place is counted
    along this face, else along the face behind, the other way round.
    """

    id: str
    mark: str
    from_mm: float
    to_mm: float
    sill_mm: float
    head_mm: float
    rises: bool
    is_host: bool


class FaceDrawing(msgspec.Struct, frozen=True):
    """A wall face with its letter on the plan. ``words``: "A  5.00 m" and "1.44 m²"; ``coat``: how much
    of it is coated."""

    letter: str
    words: tuple[str, ...]
    elevation: Elevation
    coat: Literal["whole", "part", "none"]
    openings: tuple[OpeningInFace, ...]


class Strip(msgspec.Struct, frozen=True):
    """All faces of a room, and what is said over them."""

    room: str
    title: str
    faces: tuple[FaceDrawing, ...]


def wall_strip(state: State, room_id: str) -> Strip | None:
    """The strip of a room; None where it was not measured."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None or board is None:
        return None
    storey, room = place
    names = wall_letters(room)
    nets = {face.id: face for face in board.taken.faces}
    faces = []
    for drawn in elevations(state.job, storey, room):
        letter = names.get(drawn.side, "")
        face = nets.get(drawn.side)
        words = (f"{letter}  {fmt2(drawn.length_mm / 1000.0)} m", *((f"{fmt2(face.net_m2)} m²",) if face else ()))
        faces.append(FaceDrawing(letter, words, drawn, _drawn_coat(drawn), _openings(storey, room_id, drawn)))
    title = labels(state.job)[str(storey.id), room_id]
    return Strip(room_id, tr("{room}, walls in the order of their letters, seen from inside", room=title), tuple(faces))


def _drawn_coat(drawn: Elevation) -> Literal["whole", "part", "none"]:
    if not drawn.coat:
        return "none"
    return "part" if drawn.bare else "whole"


def _openings(storey: Storey, room_id: str, drawn: Elevation) -> tuple[OpeningInFace, ...]:
    every = {str(opening.id): opening for opening in storey.openings}
    found = []
    for name, rings in drawn.openings:
        opening = every.get(name)
        if opening is not None:
            us = [u for ring in rings for u, _ in ring]
            is_host = opening.room == room_id and opening.side == drawn.side
            start, end = _along(opening) if is_host else (min(us), max(us))
            found.append(
                OpeningInFace(
                    name, opening.mark, start, end, opening.sill_mm, opening.head_mm, opening.kind == "window", is_host
                )
            )
    return tuple(found)


def _along(opening: Opening) -> tuple[float, float]:
    return opening.offset_mm, opening.offset_mm + opening.width_mm


Flat = tuple[tuple[float, float], ...]
"""mm to the right and up on the picture"""

Fill = Literal["coat", "left_on", "bare", "floor", "glass", "door"]
Stroke = Literal["outline", "coat", "bead", "existing", "ghost"]

SAID: dict[str, str] = {
    "coat": mark("coated"),
    "left_on": mark("kept or masked"),
    "bare": mark("not coated"),
    "bead": mark("new bead"),
    "existing": mark("existing bead"),
}
"""Words of the key."""

_FACING = 1e-6
_NEAR_MM = 2.0
"""A bead lies at a facet that is no further away: courses of curves are chords."""


class Area(msgspec.Struct, frozen=True):
    """A piece of a surface. ``shade``: 1 where it faces the eye, less the more it is turned away."""

    points: Flat
    fill: Fill
    shade: float
    surface: str
    opening: str = ""


class Mark(msgspec.Struct, frozen=True):
    """A line: an outline, where coat ends, bead; *ghost*: the outline of what is cut away."""

    points: Flat
    stroke: Stroke
    surface: str


class _Line(msgspec.Struct, frozen=True):
    points: tuple[Point3, ...]
    stroke: Stroke
    surface: str
    faces: tuple[Point3, ...] = ()
    beside: tuple[int, ...] = ()
    """The facets that a bead lies at, by their numbers."""


class Look:
    """A room ready to be looked at."""

    def __init__(self, room: str, title: str, solid: Solid, edges: Sequence[Edge]) -> None:
        self.room, self.title, self.solid = room, title, solid
        self._lines = [_Line(c.points, c.what, c.surface, c.faces) for c in solid.courses]
        self._lines += _beads(edges, solid)
        self._tree = Tree([f.points for f in solid.facets], [line.points for line in self._lines])

    @cached_property
    def key(self) -> tuple[str, ...]:
        """What the picture shows that wants a word: keys of ``SAID``, in their order."""
        there = {f.state for f in self.solid.facets} | {line.stroke for line in self._lines if line.beside}
        return tuple(name for name in SAID if name in there)

    @cached_property
    def centre(self) -> Point3:
        """The middle of the room's box, mm."""
        points = [p for f in self.solid.facets for p in f.points] or [(0.0, 0.0, 0.0)]
        low, high = ([of(p[k] for p in points) for k in range(3)] for of in (min, max))
        return tuple((a + b) / 2.0 for a, b in zip(low, high, strict=True))  # type: ignore[return-value]

    @cached_property
    def reach_mm(self) -> float:
        """Half the room's largest measure, corner to corner: it fits into so much whichever way it turns."""
        cx, cy, cz = self.centre
        return max(
            (((x - cx) ** 2 + (y - cy) ** 2 + (z - cz) ** 2) ** 0.5 for f in self.solid.facets for x, y, z in f.points),
            default=1.0,
        )

    def picture(self, view: View) -> tuple[Area | Mark, ...]:
        """What is seen, the furthest first; the outlines of what is cut away last."""
        towards = view.towards
        facets = self.solid.facets
        seen = [_faces(f.faces, towards) and (f.host is None or _faces(f.host, towards)) for f in facets]
        shown: list[Area | Mark] = []
        for piece in self._tree.from_behind(towards):
            if piece.is_line:
                line = self._lines[piece.item]
                if _shows(line, seen, towards):
                    shown.append(Mark(self._flat(view, piece.points), line.stroke, line.surface))
            elif seen[piece.item]:
                facet = facets[piece.item]
                turned = sum(a * b for a, b in zip(facet.faces, towards, strict=True))
                shown.append(Area(self._flat(view, piece.points), facet.state, turned, facet.surface, facet.opening))
        return (*shown, *self._ghosts(view, towards))

    def _ghosts(self, view: View, towards: Point3) -> Iterator[Mark]:
        for line in self._lines:
            if line.stroke == "outline" and not _shows(line, (), towards):
                yield Mark(self._flat(view, line.points), "ghost", line.surface)

    def _flat(self, view: View, points: Sequence[Point3]) -> Flat:
        cx, cy, cz = self.centre
        return view.flat([(x - cx, y - cy, z - cz) for x, y, z in points])

    def at(self, view: View, x: float, y: float) -> Area | None:
        """What is nearest to the eye at a place of the picture; None beside the room."""
        found = None
        for shape in self.picture(view):
            if isinstance(shape, Area) and holds_point(shape.points, x, y):
                found = shape
        return found


def room_look(state: State, room_id: str) -> Look | None:
    """The look of a room; None where it was not measured."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None or board is None:
        return None
    storey, room = place
    title = labels(state.job)[str(storey.id), room_id]
    return Look(room_id, title, solid_of(state.job, storey, room), board.taken.edges)


def _beads(edges: Sequence[Edge], solid: Solid) -> Iterator[_Line]:
    ox, oy = solid.origin
    for edge in edges:
        if edge.cls == "external" and edge.bead != "none" and len(edge.line) > 1:
            points = tuple((x - ox, y - oy, z) for x, y, z in edge.line)
            stroke: Stroke = "bead" if edge.bead == "new" else "existing"
            yield _Line(points, stroke, edge.id, (), _touching(points, solid))


def _touching(points: Sequence[Point3], solid: Solid) -> tuple[int, ...]:
    """The facets on which the middle of a course lies, or at whose border."""
    k = len(points) // 2
    x, y, z = ((a + b) / 2.0 for a, b in zip(points[k - 1], points[k], strict=True))
    return tuple(number for number, facet in enumerate(solid.facets) if _near(facet, (x, y, z)))


def _near(facet: Facet, at: Point3) -> bool:
    px, py, pz = facet.points[0]
    nx, ny, nz = facet.faces
    if abs(nx * (at[0] - px) + ny * (at[1] - py) + nz * (at[2] - pz)) > _NEAR_MM:
        return False
    # a facet is convex: a point is in it where it lies on one side of every border
    turns = set()
    for (ax, ay, az), (bx, by, bz) in zip(facet.points, (*facet.points[1:], facet.points[0]), strict=True):
        ux, uy, uz, vx, vy, vz = bx - ax, by - ay, bz - az, at[0] - ax, at[1] - ay, at[2] - az
        off = nx * (uy * vz - uz * vy) + ny * (uz * vx - ux * vz) + nz * (ux * vy - uy * vx)
        if abs(off) > _NEAR_MM * (ux * ux + uy * uy + uz * uz) ** 0.5:
            turns.add(off > 0.0)
    return len(turns) < 2


def _faces(normal: Point3, towards: Point3) -> bool:
    return sum(a * b for a, b in zip(normal, towards, strict=True)) > _FACING


def _shows(line: _Line, seen: Sequence[bool], towards: Point3) -> bool:
    """Whether a line lies on something that is seen."""
    if line.beside:
        return any(seen[number] for number in line.beside)
    return any(_faces(normal, towards) for normal in line.faces)
