"""The space of one room, or of a few that run into each other, cut into cells.

Every cell lies under one ceiling plane and over one floor plane, and is wholly in or out of
every region and every ceiling treatment. All later steps read this and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import msgspec

from takeoff.geometry.arrangement import Arrangement
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.offset import keeps_its_shape, offset_ring, strips_along
from takeoff.geometry.rings import curves_area, ring_curves
from takeoff.geometry.tolerances import HEIGHT_MM, SNAP_MM
from takeoff.measure.around import coated_spans, from_drawn
from takeoff.measure.face import EXCLUDED, NET, NOT_COATED, OPEN
from takeoff.measure.fields import Level, Sheet, folds, governing, levels, meeting
from takeoff.plan.model import Border, Field, Plane, Region, Ring, Rooflight, Room, Side

BOX_MARGIN_MM = 10.0


class RoomShape(NamedTuple):
    """A room in local coordinates: its rings of finished sides and its two fields."""

    room: Room
    rings: tuple[tuple[Curve, ...], ...]
    sides: tuple[tuple[Side, ...], ...]
    ceiling: tuple[Level, ...]
    floor: tuple[Level, ...]
    rooflights: tuple[Rooflight, ...]
    origin: Point
    filled: bool = False
    """Whether linings fill some of it: a slot narrower than the two of its sides."""


class Ref(NamedTuple):
    """What an input curve is: *side*, *ceiling* or *floor* region side, *fold*, *treatment*, *rooflight*."""

    kind: str
    room: int
    item: int
    side: int


class Cell(NamedTuple):
    """One cell. ``room`` −1 is solid. ``ceiling_class`` and ``floor_coated`` say what happens to
    its two surfaces; ``rooflight`` is the number of the room's rooflight there, or −1."""

    room: int
    ceiling: Sheet
    ceiling_region: Region | None
    ceiling_class: int
    rooflight: int
    floor: Sheet
    floor_region: Region | None
    floor_coated: bool


NOWHERE = Cell(-1, Sheet(0.0, 0.0, 0.0), None, NOT_COATED, -1, Sheet(0.0, 0.0, 0.0), None, False)


class Space(NamedTuple):
    rooms: tuple[RoomShape, ...]
    origin: Point
    curves: tuple[Curve, ...]
    refs: tuple[Ref, ...]
    plan: Arrangement
    cells: tuple[Cell, ...]


class _Rings:
    """Curves gathered with the ring that each belongs to."""

    def __init__(self) -> None:
        self.curves: list[Curve] = []
        self.rings: list[int] = []
        self.refs: list[Ref] = []
        self.count = 0

    def ring(self) -> int:
        self.count += 1
        return self.count - 1

    def add(self, curve: Curve, ring: int, ref: Ref) -> None:
        self.curves.append(curve)
        self.rings.append(ring)
        self.refs.append(ref)


def local_ring(ring: Ring, origin: Point) -> list[Curve]:
    """A saved ring as curves in local coordinates, turned anticlockwise."""
    curves = ring_curves([(x - origin[0], y - origin[1], b) for x, y, b in ring])
    if curves_area(curves) < 0.0:
        curves = [c.reversed() for c in reversed(curves)]
    return curves


def shape_of(
    room: Room, origin: Point, height_mm: float, finish_mm: dict[str, float], rooflights: Sequence[Rooflight]
) -> RoomShape:
    """A room's finished outline and fields in local coordinates.

    ``finish_mm``: by side id, how far the finished face stands inside the drawn line.
    """
    rings, sides, filled = [], [], False
    for ring in room.rings:
        curves = ring_curves([(s.x_mm - origin[0], s.y_mm - origin[1], s.bulge) for s in ring])
        inset = [finish_mm.get(s.id, 0.0) for s in ring]
        kept = list(ring)
        if any(inset):
            drawn, moved = curves, offset_ring(curves, inset)
            filled = filled or not keeps_its_shape([drawn], [moved])
            curves = ring_curves([(x, y, b) for x, y, b, _ in moved])
            kept = [_jog(ring, moved, k) if i < 0 else ring[i] for k, (_, _, _, i) in enumerate(moved)]
        rings.append(tuple(curves))
        sides.append(tuple(kept))
    ceiling = room.ceiling or Field(planes=(Plane(z_mm=height_mm),))
    floor = room.floor or Field(planes=(Plane(z_mm=0.0),))
    return RoomShape(
        room,
        tuple(rings),
        tuple(sides),
        levels(ceiling, origin, -room.ceiling_build_up_mm),
        levels(floor, origin, room.floor_build_up_mm),
        tuple(rooflights),
        origin,
        filled,
    )


def _jog(ring: Sequence[Side], moved: Sequence[tuple[float, float, float, int]], k: int) -> Side:
    """The short return where two finishes of different thickness meet, as a side of its own."""
    after = ring[moved[(k + 1) % len(moved)][3]]
    return Side(id=type(after.id)(f"{after.id}.jog"), x_mm=0.0, y_mm=0.0, treatment=after.treatment)


def build(rooms: Sequence[RoomShape], origin: Point) -> Space:
    """Cut the plan of some rooms into cells. No rooms give a space with the outside only."""
    gathered = _Rings()
    room_rings = [_room_rings(gathered, shape, r) for r, shape in enumerate(rooms)]
    space = _arrange(gathered, rooms, room_rings, origin)
    clash = _clashes(space)
    if clash:
        box = _box(gathered.curves)
        for s, q in clash:
            for c in meeting(s, q, box):
                gathered.add(c, -1, Ref("fold", -1, -1, -1))
        space = _arrange(gathered, rooms, room_rings, origin)
    return space


class _BorderRings(NamedTuple):
    """A border of a ceiling: all that lies outside of the ring ``inner``; where that ring would shrink too far
    (−1), all that lies within the ring of a strip and joins the side that the strip runs along."""

    inner: int
    strips: tuple[tuple[int, int], ...]
    """(ring, number of the side)"""
    cells: frozenset[int] = frozenset()
    """The cells that the strips cover, once the plan is cut up."""

    def covers(self, number: int, winding: dict[int, int]) -> bool:
        """Whether a cell of the room lies in the border."""
        return winding.get(self.inner, 0) <= 0 if self.inner >= 0 else number in self.cells


class _RoomRings(NamedTuple):
    outline: int
    ceiling: tuple[tuple[int, Level], ...]
    floor: tuple[tuple[int, Level], ...]
    left_on: tuple[_BorderRings, ...]
    only: tuple[_BorderRings, ...]
    exclusions: tuple[int, ...]
    rooflights: tuple[int, ...]


def _room_rings(g: _Rings, shape: RoomShape, r: int) -> _RoomRings:
    outline = g.ring()
    number = 0
    for ring in shape.rings:
        for c in ring:
            g.add(c, outline, Ref("side", r, -1, number))
            number += 1
    box = _box([c for ring in shape.rings for c in ring])
    ceiling = _region_rings(g, shape, "ceiling", r, box)
    floor = _region_rings(g, shape, "floor", r, box)
    treatment = shape.room.ceiling_treatment
    return _RoomRings(
        outline,
        ceiling,
        floor,
        tuple(_border_ring(g, shape, r, b) for b in treatment.left_on),
        tuple(_border_ring(g, shape, r, b) for b in treatment.only),
        tuple(_plain_ring(g, shape, e.outline, Ref("treatment", r, -1, -1)) for e in treatment.exclusions),
        tuple(
            _plain_ring(g, shape, light.outline, Ref("rooflight", r, n, -1)) for n, light in enumerate(shape.rooflights)
        ),
    )


def _region_rings(
    g: _Rings, shape: RoomShape, kind: str, r: int, box: tuple[float, float, float, float]
) -> tuple[tuple[int, Level], ...]:
    steps = shape.ceiling if kind == "ceiling" else shape.floor
    found = []
    for item, level in enumerate(steps[1:]):
        assert level.region is not None
        ring = g.ring()
        curves = local_ring(level.region.outline, shape.origin)
        for n, c in enumerate(curves):
            g.add(c, ring, Ref(kind, r, item, n))
        found.append((ring, level))
    for c in folds(steps, box, kind == "ceiling"):
        g.add(c, -1, Ref("fold", r, -1, -1))
    return tuple(found)


def _plain_ring(g: _Rings, shape: RoomShape, outline: Ring, ref: Ref) -> int:
    ring = g.ring()
    for n, c in enumerate(local_ring(outline, shape.origin)):
        g.add(c, ring, ref._replace(side=n))
    return ring


def _border_ring(g: _Rings, shape: RoomShape, r: int, border: Border) -> _BorderRings:
    """The inner line of a ceiling border: within it is ceiling, between it and the walls border."""
    pieces, first = [], 0
    for curves, sides in zip(shape.rings, shape.sides, strict=True):
        pieces.append(_border_pieces(shape, border, curves, sides, first))
        first += len(curves)
    rings = [[piece.curve for piece in ring] for ring in pieces]
    widths = [[piece.width_mm for piece in ring] for ring in pieces]
    moved = [offset_ring(curves, wide) for curves, wide in zip(rings, widths, strict=True)]
    ref = Ref("treatment", r, -1, -1)
    if keeps_its_shape(rings, moved):
        return _BorderRings(_put(g, [[(x, y, b) for x, y, b, _ in ring] for ring in moved], ref), ())
    strips = []
    for ring, along, wide in zip(pieces, rings, widths, strict=True):
        strips += [(_put(g, [strip], ref), ring[i].side) for i, strip in strips_along(along, wide)]
    return _BorderRings(-1, tuple(strips))


class _BorderPiece(NamedTuple):
    """A stretch of a side, by the side's number in its room, and how wide a border is along it in plan."""

    curve: Curve
    side: int
    width_mm: float


def _border_pieces(
    shape: RoomShape, border: Border, curves: Sequence[Curve], sides: Sequence[Side], first: int
) -> list[_BorderPiece]:
    """A ring by the width of a border along it, in order; a side along which it runs in parts is parted."""
    found = []
    for number, (curve, side) in enumerate(zip(curves, sides, strict=True), first):
        width = _on_plan(border.width_mm, shape, curve) if not border.sides or side.id in border.sides else 0.0
        treatment = side.treatment or shape.room.walls
        if not (width and border.along_parts and treatment.parts_mm):
            found.append(_BorderPiece(curve, number, width))
            continue
        parts = msgspec.structs.replace(treatment, coat=True, start_mm=None, end_mm=None)
        ends = [0.0]
        for a, b in coated_spans(parts, curve.length, *from_drawn(side, shape.origin, curve)):
            ends += [a, b]
        for k, (a, b) in enumerate(pairwise((*ends, curve.length))):
            if b - a > SNAP_MM:
                found.append(_BorderPiece(curve.part(a, b), number, width if k % 2 else 0.0))
    return found


def _put(g: _Rings, rings: Sequence[Ring | list[tuple[float, float, float]]], ref: Ref) -> int:
    number = g.ring()
    for ring in rings:
        for c in ring_curves(ring):
            if c.length > 0.0:
                g.add(c, number, ref)
    return number


def _on_plan(width_mm: float, shape: RoomShape, c: Curve) -> float:
    """A width on the slope as seen in plan, by the base plane at the middle of the side."""
    x, y = c.at(c.length / 2.0)
    dx, dy = c.direction(c.length / 2.0)
    s, _ = governing(shape.ceiling[:1], x, y, True)
    rise = -s.gx * dy + s.gy * dx
    return width_mm / math.hypot(1.0, rise)


def _box(curves: Sequence[Curve]) -> tuple[float, float, float, float]:
    m = BOX_MARGIN_MM
    return (
        min(c.box[0] for c in curves) - m,
        min(c.box[1] for c in curves) - m,
        max(c.box[2] for c in curves) + m,
        max(c.box[3] for c in curves) + m,
    )


def _arrange(g: _Rings, rooms: Sequence[RoomShape], room_rings: Sequence[_RoomRings], origin: Point) -> Space:
    plan = Arrangement(g.curves, g.rings)
    room_rings = [_with_strips(plan, g.refs, r, rings) for r, rings in enumerate(room_rings)]
    cells = [NOWHERE]
    for number in range(1, len(plan.cells)):
        winding = plan.winding[number]
        inside = [r for r, rr in enumerate(room_rings) if winding.get(rr.outline, 0) > 0]
        if inside:
            r = inside[0]
            points = plan.cell_points(number)
            cells.append(_cell(rooms[r], r, room_rings[r], number, winding, points))
        else:
            cells.append(NOWHERE)
    return Space(tuple(rooms), origin, tuple(g.curves), tuple(g.refs), plan, tuple(cells))


def _with_strips(plan: Arrangement, refs: Sequence[Ref], r: int, rings: _RoomRings) -> _RoomRings:
    """The rings of a room with the cells that its borders made of strips cover."""
    if all(b.inner >= 0 for b in (*rings.left_on, *rings.only)):
        return rings
    left_on, only = (
        tuple(b._replace(cells=_strip_cells(plan, refs, r, rings.outline, b)) for b in borders)
        for borders in (rings.left_on, rings.only)
    )
    return rings._replace(left_on=left_on, only=only)


def _strip_cells(plan: Arrangement, refs: Sequence[Ref], r: int, outline: int, border: _BorderRings) -> frozenset[int]:
    """The cells of a room within the strips of a border, as far as each joins the side that it runs along: what
    lies beyond a wall that is thinner than the strip is wide is none of it."""
    covered: set[int] = set()
    for ring, side in border.strips:
        within = {n for n, w in enumerate(plan.winding) if w.get(ring, 0) > 0 and w.get(outline, 0) > 0}
        along = [
            e
            for e in plan.edges
            if any(refs[index][:2] == ("side", r) and refs[index].side == side for index, *_ in e.uses)
        ]
        front = {cell for e in along for cell in (e.left, e.right)} & within
        while front:
            covered |= front
            beside = {n for e in plan.edges if {e.left, e.right} & front for n in (e.left, e.right)}
            front = (beside & within) - covered
    return frozenset(covered)


def _cell(
    shape: RoomShape, r: int, rings: _RoomRings, number: int, winding: dict[int, int], points: list[Point]
) -> Cell:
    # Planes are affine and their order is the same all over a cell, so the mean of its corners
    # decides even where that mean lies outside a bent cell.
    x = sum(p[0] for p in points) / len(points)
    y = sum(p[1] for p in points) / len(points)
    ceiling, c_owner = governing(_chain(shape.ceiling[0], rings.ceiling, winding), x, y, True)
    floor, f_owner = governing(_chain(shape.floor[0], rings.floor, winding), x, y, False)
    room = r if ceiling.at(x, y) - floor.at(x, y) > HEIGHT_MM else -1
    light = next((i for i, ring in enumerate(rings.rooflights) if winding.get(ring, 0) > 0), -1)
    cls = OPEN if light >= 0 else _ceiling_class(shape, rings, number, winding, c_owner)
    # The floor itself is never coated, nor the bottom of a sunken part; a raised top can be.
    coated = bool(f_owner is not None and f_owner.coat_face and f_owner.op != "lower")
    return Cell(room, ceiling, c_owner, cls, light, floor, f_owner, coated)


def _chain(base: Level, regions: Sequence[tuple[int, Level]], winding: dict[int, int]) -> list[Level]:
    here = [level for ring, level in regions if winding.get(ring, 0) > 0]
    here.sort(key=lambda level: -level.area)
    return [base, *here]


def _ceiling_class(
    shape: RoomShape, rings: _RoomRings, number: int, winding: dict[int, int], owner: Region | None
) -> int:
    treatment = shape.room.ceiling_treatment
    if any(winding.get(ring, 0) > 0 for ring in rings.exclusions):
        return EXCLUDED
    if any(border.covers(number, winding) for border in rings.left_on):
        return EXCLUDED
    if owner is not None and owner.coat_face is not None:
        return NET if owner.coat_face else NOT_COATED
    if not treatment.coat:
        return NOT_COATED
    if rings.only and not any(border.covers(number, winding) for border in rings.only):
        return NOT_COATED
    return NET


def _clashes(space: Space) -> set[tuple[Sheet, Sheet]]:
    """Pairs of ceiling and floor planes that cross within a cell: where the void runs out."""
    found = set()
    for number, cell in enumerate(space.cells):
        if cell is NOWHERE or not space.plan.cells[number]:
            continue
        gaps = [cell.ceiling.at(x, y) - cell.floor.at(x, y) for x, y in space.plan.cell_points(number)]
        if min(gaps) < -HEIGHT_MM and max(gaps) > HEIGHT_MM:
            found.add((cell.ceiling, cell.floor))
    return found
