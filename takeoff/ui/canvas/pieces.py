"""What is drawn of a storey, as values by id: the sheets' own shapes, at the sheets' scale 1 : 50.

Coordinates of a shape are mm on that paper, from the board's local origin; ``PAPER`` of them make
a mm of plan. A piece that did not change compares equal, so that its items stay as they are.
"""

from __future__ import annotations

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.plan.model import Storey
from takeoff.services import cards
from takeoff.services.board import State
from takeoff.sheets import palette
from takeoff.sheets.curved import ring_polygon
from takeoff.sheets.model import Plan, PlanOpening, PlanRoom, Point
from takeoff.sheets.picture import (
    Shape,
    Sheet,
    band_areas,
    bead_shape,
    door_shapes,
    fillet_shape,
    middle_of,
    rising_area,
    strip_area,
    unsure_shapes,
    window_shapes,
)
from takeoff.sheets.plans import plan_of

PAPER = 50
"""mm of plan that a mm of paper stands for: the coat is drawn as wide as on a sheet at 1 : 50."""

BAND_MM = 2.7 * PAPER
"""Width of the coat in plan mm, as the sheets draw it at that scale."""


class Words(msgspec.Struct, frozen=True):
    """The label of a room about a plan point; ``wide_mm`` and ``tall_mm`` are what it may cover."""

    at: Point
    name: str
    figure: str
    wide_mm: float
    tall_mm: float


class Piece(msgspec.Struct, frozen=True):
    """What is drawn under one id, from below to above. ``asks``: plan points of question marks."""

    id: str
    z: float
    shapes: tuple[Shape, ...] = ()
    words: Words | None = None
    asks: tuple[Point, ...] = ()


Z_WALLS, Z_COAT, Z_OPENINGS, Z_OVERHEAD, Z_MARKS, Z_WORDS = 10.0, 20.0, 30.0, 40.0, 50.0, 60.0


class Board:
    """Pieces of the storeys of a job, remembered between edits by what they are made of."""

    def __init__(self, origin: Point) -> None:
        self.origin = origin
        self._rooms: dict[str, tuple[PlanRoom, Piece]] = {}
        self._openings: dict[str, tuple[PlanOpening, Piece]] = {}

    def pieces(self, state: State, storey: Storey) -> dict[str, Piece]:
        """Every piece of a storey by id, walls first."""
        plan = _plan(state, storey)
        sheet = _Pen(plan, self.origin)
        whole = (_walls(plan, sheet), _overhead(plan, sheet), _marks(plan, sheet))
        found = {piece.id: piece for piece in whole}
        for room in plan.rooms:
            found[f"room:{room.id}"] = self._room(room, sheet)
        for opening in plan.openings:
            found[f"opening:{opening.id}"] = self._opening(opening, sheet)
        return found

    def _room(self, room: PlanRoom, sheet: Sheet) -> Piece:
        known = self._rooms.get(room.id)
        if known is None or known[0] != room:
            known = (room, _room(room, sheet))
            self._rooms[room.id] = known
        return known[1]

    def _opening(self, opening: PlanOpening, sheet: Sheet) -> Piece:
        known = self._openings.get(opening.id)
        if known is None or known[0] != opening:
            known = (opening, _opening(opening, sheet))
            self._openings[opening.id] = known
        return known[1]


class _Pen(Sheet):
    """The sheets' transformation about a fixed origin, so that shapes do not shift with the bounds."""

    def __init__(self, plan: Plan, origin: Point) -> None:
        self.plan, self.scale, self.band = plan, PAPER, BAND_MM / PAPER
        self.left, self.low = origin
        self.width = self.height = 0.0


def _plan(state: State, storey: Storey) -> Plan:
    own = {key[1]: room for key, room in state.rooms.items() if key[0] == storey.id}
    names = {room: name for (at, room), name in cards.labels(state.job).items() if at == storey.id}
    figures = {room: cards.to_coat(board.figures["coated_m2"]) for room, board in own.items()}
    return plan_of(storey, {room: board.taken for room, board in own.items()}, names, figures, "")


def _walls(plan: Plan, sheet: Sheet) -> Piece:
    shapes = []
    if plan.walls:
        paths = tuple(sheet.path(ring) for ring in plan.walls)
        shapes.append(Shape(paths, fill=palette.WALL, stroke=palette.INK, width_mm=0.3))
    return Piece("walls", Z_WALLS, tuple(shapes))


def _room(room: PlanRoom, sheet: Sheet) -> Piece:
    shapes: list[Shape] = []
    band = band_areas(room, sheet)
    if not band.is_empty:
        shapes += coat_shapes(band, rising_area(room, sheet), sheet)
    if room.open_sides:
        paths = tuple(sheet.path(course) for course in room.open_sides)
        shapes.append(Shape(paths, False, stroke=palette.CORNER, width_mm=0.2, dash_mm=(0.5, 1.0)))
    space = ring_polygon(room.rings)
    words = None if space.is_empty else _words(room, space)
    asks = (words.at,) if words is not None and not room.sure else ()
    return Piece(f"room:{room.id}", Z_COAT, tuple(shapes), words, asks)


def coat_shapes(area: BaseGeometry, rising: BaseGeometry, sheet: Sheet) -> list[Shape]:
    """Coat over an area in plan: ground, hatch (falling where the walls run as it does), outline."""
    paths = sheet.areas(area)
    along = area.intersection(rising)
    shapes = [Shape(paths, fill=palette.COAT)]
    if along.is_empty:
        shapes.append(Shape(paths, hatch=palette.HATCH))
    else:
        shapes.append(Shape(sheet.areas(area.difference(along)), hatch=palette.HATCH))
        shapes.append(Shape(sheet.areas(along), hatch=palette.HATCH, falling=True))
    return [*shapes, Shape(paths, stroke=palette.HATCH, width_mm=0.15)]


def _words(room: PlanRoom, space: BaseGeometry) -> Words:
    """A label about the middle of the largest circle that the room holds, or of its box if free."""
    left, low, right, high = space.bounds
    middle = shapely.points((left + right) / 2.0, (low + high) / 2.0)
    spine = shapely.maximum_inscribed_circle(space, tolerance=50.0)
    at = middle
    if not space.buffer(-shapely.length(spine) * 0.8).contains(middle):
        at = shapely.get_point(spine, 0)
    x, y = float(shapely.get_x(at)), float(shapely.get_y(at))
    across = shapely.linestrings([(left, y), (right, y)]).intersection(space)
    upright = shapely.linestrings([(x, low), (x, high)]).intersection(space)
    return Words((x, y), room.name, room.figure, _through(across, x, 0), _through(upright, y, 1))


def _through(line: BaseGeometry, at: float, axis: int) -> float:
    """Twice the way from a point to the nearer end of the part of a line that it lies on."""
    for part in shapely.get_parts(line):
        low, high = sorted((part.bounds[axis], part.bounds[axis + 2]))
        if low <= at <= high:
            return float(2.0 * min(at - low, high - at))
    return 0.0


def _opening(opening: PlanOpening, sheet: Sheet) -> Piece:
    strips = [strip_area(strip, sheet) for strip in opening.strips] if opening.sure else []
    shapes: list[Shape] = []
    if strips:
        shapes += coat_shapes(shapely.union_all(strips), shapely.Polygon(), sheet)
    for drawn in (window_shapes, door_shapes, unsure_shapes):
        shapes += drawn([opening], sheet)
    asks = () if opening.sure else (middle_of(opening),)
    return Piece(f"opening:{opening.id}", Z_OPENINGS, tuple(shapes), None, asks)


def _overhead(plan: Plan, sheet: Sheet) -> Piece:
    shapes = []
    if plan.overhead:
        paths = tuple(sheet.path(ring) for ring in plan.overhead)
        shapes.append(Shape(paths, stroke=palette.CORNER, width_mm=0.2, dash_mm=(1.6, 1.0)))
    if plan.rooflights:
        paths = tuple(sheet.path(ring) for ring in plan.rooflights)
        shapes.append(Shape(paths, stroke=palette.INK, width_mm=0.2, dash_mm=(0.6, 0.6)))
    if plan.overhead_beads:
        paths = tuple(sheet.path(course) for course in plan.overhead_beads)
        shapes.append(Shape(paths, False, stroke=palette.BEAD, width_mm=0.5, dash_mm=(2.2, 1.2)))
    return Piece("overhead", Z_OVERHEAD, tuple(shapes))


def _marks(plan: Plan, sheet: Sheet) -> Piece:
    return Piece("marks", Z_MARKS, (*fillet_shape(plan.fillets, sheet), *bead_shape(plan.beads, sheet)))
