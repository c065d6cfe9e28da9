"""What is drawn of a storey, as values by id: the sheets' own shapes, at the sheets' scale 1 : 50.

Coordinates of a shape are mm on that paper, from the board's local origin; ``PAPER`` of them make
a mm of plan. A piece that did not change compares equal, so that its items stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Ring, Rooflight, Room, Side, Storey
from takeoff.sheets import palette
from takeoff.sheets.corner_marks import corner_marks
from takeoff.sheets.curved import ring_polygon
from takeoff.sheets.picture import (
    Shape,
    Sheet,
    band_areas,
    bead_shape,
    door_shapes,
    fillet_shape,
    middle_of,
    strip_area,
    unsure_shapes,
    window_shapes,
)
from takeoff.sheets.sheet_values import Arris, Plan, PlanOpening, PlanRoom, Point
from takeoff.ui.canvas.label_spots import Spot, free_boxes, swings
from takeoff.ui.canvas.plan_memory import Near, PlanMemory
from takeoff.views.board import State

PAPER = 50
"""mm of plan that a mm of paper stands for: the coat is drawn as wide as on a sheet at 1 : 50."""

BAND_MM = 2.7 * PAPER
"""Width of the coat in plan mm, as the sheets draw it at that scale."""


_SMALL_MM, _TIGHT_MM = 2600.0, 25.0
"""In rooms narrower than this a single line of a label may come so near to the walls."""

_AT_MM = 50.0
"""An opening at a room's wall is no further away than this; the far side of one comes from next door."""


class Words(msgspec.Struct, frozen=True):
    """The label of a room: where it belongs, and the free boxes that it may stand in, the best first.
    ``tight``: boxes for a single line, which may touch the band rather than be missing. ``box``: the
    room's own (left, low, right, high)."""

    at: Point
    name: str
    figure: str
    box: tuple[float, float, float, float]
    spots: tuple[Spot, ...] = ()
    tight: tuple[Spot, ...] = ()


class Piece(msgspec.Struct, frozen=True):
    """What is drawn under one id, from below to above. ``asks``: plan points of question marks."""

    id: str
    z: float
    shapes: tuple[Shape, ...] = ()
    words: Words | None = None
    asks: tuple[Point, ...] = ()


Z_WALLS, Z_COAT, Z_OPENINGS, Z_MARKS, Z_WORDS = 10.0, 20.0, 30.0, 50.0, 60.0


class Board:
    """Pieces of the storeys of a job, remembered between edits by what they are made of."""

    def __init__(self, origin: Point) -> None:
        self.origin = origin
        self.complete = True
        """Whether the last pieces were all there is: else ``pieces`` wants to be asked for the whole."""
        self.openings: Mapping[str, PlanOpening] = {}
        """The openings of the storey that was drawn last, as they are drawn."""
        self._plans = PlanMemory()
        self._sheet = _Pen(origin)
        self._kept: dict[str, tuple[object, Piece]] = {}

    def pieces(self, state: State, storey: Storey, whole: bool = False) -> dict[str, Piece]:
        """Every piece of a storey by id, walls first."""
        drawn = self._plans.draw(state, storey, whole)
        self.complete, self.openings = drawn.complete, drawn.openings
        sheet = self._sheet
        found = {"walls": self._keep("walls", drawn.walls, lambda: _walls(drawn.walls, sheet))}
        near = Near(drawn.openings.values())
        lights = (
            {str(room.id): tuple(r for r in storey.rooflights if r.room == room.id) for room in storey.rooms}
            if storey.rooflights
            else {}
        )
        for room in storey.rooms:
            name, shown = str(room.id), drawn.rooms.get(room.id)
            own = near.to(room, _AT_MM)
            if shown is not None:
                doors = tuple(opening for opening in own if opening.kind == "door" and opening.sure)
                found[f"room:{name}"] = self._keep(f"room:{name}", (shown, doors), partial(_room, shown, doors, sheet))
            board = state.rooms.get((str(storey.id), name))
            made_of = _MadeOf((room, board.taken if board else None, *own, *lights.get(name, ())))
            found[f"marks:{name}"] = self._keep(
                f"marks:{name}",
                made_of,
                partial(_marks, room, board.taken if board else None, own, lights.get(name, ()), sheet),
            )
        for name, opening in drawn.openings.items():
            found[f"opening:{name}"] = self._keep(f"opening:{name}", opening, partial(_opening, opening, sheet))
        return found

    def _keep(self, name: str, made_of: object, make: Callable[[], Piece]) -> Piece:
        known = self._kept.get(name)
        if known is None or (known[0] is not made_of and known[0] != made_of):
            known = self._kept[name] = (made_of, make())
        return known[1]


class _MadeOf:
    """Values that are the same when each is the very same object: quicker than to compare them."""

    def __init__(self, values: tuple[object, ...]) -> None:
        self._values = values

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _MadeOf)
            and len(self._values) == len(other._values)
            and all(a is b for a, b in zip(self._values, other._values, strict=True))
        )

    __hash__ = None  # type: ignore[assignment]


class _Pen(Sheet):
    """The sheets' transformation about a fixed origin, so that shapes do not shift with the bounds."""

    def __init__(self, origin: Point) -> None:
        self.plan, self.scale, self.band = Plan("", ""), PAPER, BAND_MM / PAPER
        self.left, self.low = origin
        self.width = self.height = 0.0


def _walls(walls: tuple[Ring, ...], sheet: Sheet) -> Piece:
    shapes = []
    if walls:
        paths = tuple(sheet.path(ring) for ring in walls)
        shapes.append(Shape(paths, fill=palette.WALL, stroke=palette.INK, width_mm=0.3))
    return Piece("walls", Z_WALLS, tuple(shapes))


def _room(room: PlanRoom, doors: tuple[PlanOpening, ...], sheet: Sheet) -> Piece:
    shapes: list[Shape] = []
    band = band_areas(room, sheet)
    if not band.is_empty:
        shapes += coat_shapes(band, sheet)
    if room.open_sides:
        paths = tuple(sheet.path(course) for course in room.open_sides)
        shapes.append(Shape(paths, False, stroke=palette.CORNER, width_mm=0.2, dash_mm=(0.5, 1.0)))
    space = ring_polygon(room.rings)
    words = None if space.is_empty else _words(room, space, doors)
    asks = (words.at,) if words is not None and not room.sure else ()
    return Piece(f"room:{room.id}", Z_COAT, tuple(shapes), words, asks)


def coat_shapes(area: BaseGeometry, sheet: Sheet) -> list[Shape]:
    """Coat over an area in plan: ground, dots, outline."""
    paths = sheet.areas(area)
    return [
        Shape(paths, fill=palette.COAT),
        Shape(paths, dots=palette.DOTS),
        Shape(paths, stroke=palette.DOTS, width_mm=0.15),
    ]


def _words(room: PlanRoom, space: BaseGeometry, doors: tuple[PlanOpening, ...]) -> Words:
    """The label of a room and where it may stand; in small rooms a line may touch the band."""
    covered = swings(doors).intersection(space)
    spots = free_boxes(space, BAND_MM, covered)
    left, low, right, high = space.bounds
    small = min(right - left, high - low) < _SMALL_MM
    # a line may come up to a bare wall; coat is never written over
    tight = free_boxes(space, _TIGHT_MM, covered) if small and not room.coat else ()
    return Words(_middle(space), room.name, room.figure, (left, low, right, high), spots, tight)


def _middle(space: BaseGeometry) -> Point:
    """The middle of a room's box where that lies well within, else that of the largest circle it holds."""
    left, low, right, high = space.bounds
    middle = shapely.points((left + right) / 2.0, (low + high) / 2.0)
    spine = shapely.maximum_inscribed_circle(space, tolerance=50.0)
    if not space.buffer(-shapely.length(spine) * 0.8).contains(middle):
        middle = shapely.get_point(spine, 0)
    return float(shapely.get_x(middle)), float(shapely.get_y(middle))


def _opening(opening: PlanOpening, sheet: Sheet) -> Piece:
    strips = [strip_area(strip, sheet) for strip in opening.strips] if opening.sure else []
    shapes: list[Shape] = []
    if strips:
        shapes += coat_shapes(shapely.union_all(strips), sheet)
    for drawn in (window_shapes, door_shapes, unsure_shapes):
        shapes += drawn([opening], sheet)
    asks = () if opening.sure else (middle_of(opening),)
    return Piece(f"opening:{opening.id}", Z_OPENINGS, tuple(shapes), None, asks)


def _marks(
    room: Room,
    taken: RoomTakeoff | None,
    openings: tuple[PlanOpening, ...],
    lights: tuple[Rooflight, ...],
    sheet: Sheet,
) -> Piece:
    """Bead and inner corners of a room, and what is overhead in it."""
    sides = {name: (side, curve) for name, side, curve in sides_of(room)}
    beads, fillets, lines = corner_marks([taken] if taken else [], {str(room.id): sides}, openings)
    shapes = []
    overhead = tuple(sheet.path(region.outline) for region in room.ceiling.regions) if room.ceiling else ()
    if overhead:
        shapes.append(Shape(overhead, stroke=palette.CORNER, width_mm=0.2, dash_mm=(1.6, 1.0)))
    low = tuple(sheet.path(region.outline) for region in room.floor.regions) if room.floor else ()
    if low:
        shapes.append(Shape(low, stroke=palette.INK, width_mm=0.25))
    if lights:
        paths = tuple(sheet.path(light.outline) for light in lights)
        shapes.append(Shape(paths, stroke=palette.INK, width_mm=0.2, dash_mm=(0.6, 0.6)))
    if lines:
        paths = tuple(sheet.path(course) for course in lines)
        shapes.append(Shape(paths, False, stroke=palette.BEAD, width_mm=0.5, dash_mm=(2.2, 1.2)))
    shapes += [*fillet_shape(fillets, sheet), *bead_pads(beads, sheet)]
    shapes += _without_new_bead(room, taken, sides, openings, sheet)
    return Piece(f"marks:{room.id}", Z_MARKS, tuple(shapes))


_OTHER_BEADS: tuple[tuple[str, str, float, tuple[float, ...]], ...] = (
    ("existing", palette.BEAD, 0.5, (0.45, 0.35)),
    ("none", palette.CORNER, 0.25, ()),
)
"""Bead that stays is a dotted L, an arris without bead a thin one: (bead, stroke, width, dash)."""


def _without_new_bead(
    room: Room,
    taken: RoomTakeoff | None,
    sides: dict[str, tuple[Side, Curve]],
    openings: tuple[PlanOpening, ...],
    sheet: Sheet,
) -> list[Shape]:
    """The arrises that get no new bead, which a sheet does not mark."""
    shapes: list[Shape] = []
    for bead, stroke, width_mm, dash_mm in _OTHER_BEADS:
        edges = tuple(e for e in taken.edges if e.cls == "external" and e.bead == bead) if taken else ()
        if taken is None or not edges:
            continue
        # the sheets mark new bead only: these are taken for new to find where they stand
        as_new = msgspec.structs.replace(
            taken, edges=tuple(msgspec.structs.replace(edge, bead="new") for edge in edges)
        )
        arrises, _, _ = corner_marks([as_new], {str(room.id): sides}, openings)
        shapes += [
            msgspec.structs.replace(shape, stroke=stroke, width_mm=width_mm, dash_mm=dash_mm)
            for shape in bead_shape(arrises, sheet)
        ]
    return shapes


def sides_of(room: Room) -> Iterator[tuple[str, Side, Curve]]:
    """(id, side, its curve) of every side of a room, outer ring first."""
    for ring in room.rings:
        for side, after in zip(ring, (*ring[1:], *ring[:1]), strict=True):
            yield str(side.id), side, Curve(side.x_mm, side.y_mm, after.x_mm, after.y_mm, side.bulge)


_ARM, _THICK = 1.2, 0.34
"""Of the width of the coat: thick enough to be seen, with arms long enough to be an L and no square."""


def bead_pads(beads: Sequence[Arris], sheet: Sheet) -> list[Shape]:
    """An L in the void about each arris, filled, so that it is an L at any zoom; none for no bead."""
    arm, thick = sheet.band * _ARM, sheet.band * _THICK
    paths = []
    for arris in beads:
        (x, y), (ax, ay), (bx, by) = sheet.point(arris.at), *arris.arms
        turn = ax * by - ay * bx
        line = shapely.linestrings([(x + ax * arm, y + ay * arm), (x, y), (x + bx * arm, y + by * arm)])
        side = thick if turn > 0 else -thick
        pad = shapely.buffer(line, side, single_sided=True, join_style="mitre", mitre_limit=3.0)
        for part in shapely.get_parts(pad):
            if part.geom_type == "Polygon" and not part.is_empty:
                paths.append(tuple((float(px), float(py), 0.0) for px, py in part.exterior.coords[:-1]))
    return [Shape(tuple(paths), fill=palette.BEAD)] if paths else []
