"""What is to be coated part by part, as a bill goes by it: stretches of wall, and pieces of ceiling, drop and top.

Part by part, since a convention counts narrow work by length: how wide each part is at its narrower
is measured here, and which widths are narrow is the convention's data.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from takeoff.geometry.curves import Curve
from takeoff.geometry.tolerances import FLAT_DEG
from takeoff.measure.dims import M, spread
from takeoff.measure.face import EXCLUDED, NET, U_MM, Slab
from takeoff.measure.gather import FaceFacts, face_areas, reveal_here
from takeoff.measure.level import Piece
from takeoff.measure.takeoff import CoatedPart, Hole, SurfaceKind

MM2 = 1e6


class Stretch(NamedTuple):
    """A stretch of one side that is to be coated, u from ``start`` to ``end``, with its gross area in mm²."""

    start: float
    end: float
    area: float


class Walk(NamedTuple):
    """A side in the order of its ring: its length, what is to be coated on it, and whether it turns
    from the side before it."""

    length: float
    stretches: tuple[Stretch, ...]
    turns: bool


def turns(before: Curve, after: Curve) -> bool:
    """Whether two sides make a corner where one follows the other, as corners are told apart."""
    ax, ay = before.direction(before.length)
    bx, by = after.direction(0.0)
    return abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))) > FLAT_DEG


def widths(ring: Sequence[Walk]) -> list[list[float]]:
    """How wide each stretch of each side is at its narrower, mm: the run of coat that it is part of, over
    sides that follow one another without a corner, or that run's mean height."""
    groups: list[list[tuple[int, int]]] = []
    of: dict[tuple[int, int], int] = {}
    for i, side in enumerate(ring):
        for k, s in enumerate(side.stretches):
            before = (i - 1, len(ring[i - 1].stretches) - 1)
            if i and not side.turns and s.start <= U_MM and before in of and _reaches(ring[i - 1]):
                of[i, k] = of[before]
                groups[of[before]].append((i, k))
            else:
                of[i, k] = len(groups)
                groups.append([(i, k)])
    last = (len(ring) - 1, len(ring[-1].stretches) - 1) if ring else (0, -1)
    closes = (0, 0) in of and last in of and of[last] != of[0, 0]
    if closes and not ring[0].turns and ring[0].stretches[0].start <= U_MM and _reaches(ring[-1]):
        groups[of[0, 0]] += groups[of[last]]
        groups[of[last]] = []
    out = [[0.0] * len(side.stretches) for side in ring]
    for members in groups:
        parts = [ring[i].stretches[k] for i, k in members]
        run = math.fsum(s.end - s.start for s in parts)
        for i, k in members:
            out[i][k] = min(run, math.fsum(s.area for s in parts) / run)
    return out


def _reaches(side: Walk) -> bool:
    return side.stretches[-1].end >= side.length - U_MM


def wall_parts(rings: Sequence[Sequence[Curve]], faces: Iterable[FaceFacts]) -> list[CoatedPart]:
    """The stretches of a room's walls that carry coat. An opening that no coat meets is no part of them."""
    by_side: dict[int, FaceFacts] = {}
    rest = []
    for f in faces:
        if by_side.setdefault(f.key[3], f) is not f:
            rest.append(f)
    found, first = [], 0
    for curves in rings:
        own = [by_side.get(first + k) for k in range(len(curves))]
        stretches = [_stretches(f) if f else [] for f in own]
        walks = [
            Walk(c.length, tuple(s for s, _ in stretches[k]), turns(curves[k - 1], c)) for k, c in enumerate(curves)
        ]
        for face, coated, wide in zip(own, stretches, widths(walks), strict=True):
            found += _parts_of(face, coated, wide) if face else []
        first += len(curves)
    for f in rest:
        coated = _stretches(f)
        (wide,) = widths([Walk(f.carrier.length, tuple(s for s, _ in coated), True)])
        found += _parts_of(f, coated, wide)
    return found


def _stretches(f: FaceFacts) -> list[tuple[Stretch, list[Slab]]]:
    """The stretches of a face that carry any coat, with their slabs."""
    found = []
    met = _met(f)
    for a, b in f.rules.spans:
        slabs = [s for s in f.slabs if s.u0 >= a - U_MM and s.u1 <= b + U_MM]
        if any(p.cls == NET for s in slabs for p in s.pieces):
            unmet = [_hole(slabs, shape.number) for shape in f.shapes if shape.number not in met]
            found.append((Stretch(a, b, face_areas(slabs).gross - math.fsum(unmet)), slabs))
    return found


def _met(f: FaceFacts) -> set[int]:
    """The openings of a face that coat meets, at their own border or at that of their architrave."""
    framed = {number for number, opening in enumerate(f.openings) if opening.architrave_mm}
    return {b.number for b in f.inner.openings} | framed


def _hole(slabs: Sequence[Slab], number: int) -> float:
    return math.fsum(
        p.hi.under(s.u0, s.u1) - p.lo.under(s.u0, s.u1) for s in slabs for p in s.pieces if p.number == number
    )


def _parts_of(f: FaceFacts, coated: Sequence[tuple[Stretch, list[Slab]]], wide: Sequence[float]) -> list[CoatedPart]:
    met = _met(f)
    found = []
    for (stretch, slabs), width in zip(coated, wide, strict=True):
        holes = [
            Hole(s.opening.opening.id, f.name, area / MM2, reveal_here(s))
            for s, shape in zip(f.strips, f.shapes, strict=True)
            if shape.number in met and (area := _hole(slabs, shape.number)) > 0.0
        ]
        left = [(min(w, h) / M, w * h / MM2) for w, h in spread(slabs, {EXCLUDED})]
        found.append(CoatedPart(f.name, "wall", stretch.area / MM2, width / M, tuple(holes), tuple(left)))
    return found


def drop_parts(faces: Iterable[FaceFacts]) -> list[CoatedPart]:
    """The coated sides of drops and low walls."""
    found = []
    for f in faces:
        sizes = spread(f.slabs, {NET})
        length, area = math.fsum(w for w, _ in sizes), math.fsum(w * h for w, h in sizes)
        if area > 0.0:
            found.append(CoatedPart(f.name, "drop", area / MM2, min(length, area / length) / M))
    return found


def level_parts(pieces: Iterable[Piece]) -> list[CoatedPart]:
    """The coated parts of ceiling pieces and of tops, each with its width in plan."""
    return [
        strip_part(p.name, "ceiling" if p.kind == "ceiling" else "top", wide * mean * p.factor, narrow)
        for p in pieces
        for (wide, mean), narrow in zip(p.strips.get(NET, ()), p.narrow, strict=True)
    ]


def strip_part(name: str, kind: SurfaceKind, area_mm2: float, narrow_mm: float) -> CoatedPart:
    """A strip of a level or sloping surface."""
    return CoatedPart(name, kind, area_mm2 / MM2, narrow_mm / M)
