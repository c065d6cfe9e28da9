"""Where the holes of a model lie in the sides of its rooms, and which of those sides host them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import shapely

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Side
from takeoff.recognise.modelled.claims import Floats, Hole, Model
from takeoff.recognise.modelled.sides import Outline

REACH_MM = 250.0
"""A room's side may stand this far off the wall's face: linings, furrings (common practice)."""
MIDDLE_MM = 60.0
"""Sides up to this far beyond the middle of a wall still belong to its near face."""
THROUGH_MM = 700.0
"""Faces nearer than this are the two of one wall: the opening on one is seen from the other."""
PARALLEL, PARALLEL_ROUND = 0.02, 0.2
"""How far off parallel a hole may lie to a straight side, and to a curved one at its middle (sine)."""
NARROWEST_MM = 100.0
"""Less of an opening than this in a side is its reveal and no opening of that room."""
TALL_MM = 1000.0
"""So much of a hole's height within a room is the room's, however tall the hole is."""
ARC_POINTS = 8


class Seat(NamedTuple):
    """An opening on one room's side: which outline and side, from where, how wide, on which side of
    the wall (−1 near the hole's first face, 1 beyond), and how far that side is along the wall's
    depth from the first face."""

    outline: int
    side: Side
    offset: float
    width: float
    turn: int
    across: float


class SideIndex:
    """Sides of all rooms by place."""

    def __init__(self, outlines: Sequence[Outline], sides: Sequence[Sequence[tuple[Side, ...]]]) -> None:
        self.rows: list[tuple[int, Side, Curve]] = []
        for n, outline in enumerate(outlines):
            for ring, own in zip(outline.rings, sides[n], strict=True):
                for side, e in zip(own, ring, strict=True):
                    if e.length > 0:
                        self.rows.append((n, side, Curve(e.x0, e.y0, e.x1, e.y1, e.bulge)))
        self.tree = shapely.STRtree([_line(curve) for *_, curve in self.rows])

    def near(self, ring: Floats, reach_mm: float) -> list[tuple[int, Side, Curve]]:
        """The sides that come within reach of a ring."""
        hits = self.tree.query(shapely.Polygon(ring), predicate="dwithin", distance=reach_mm)
        return [self.rows[k] for k in sorted(hits.tolist())]


def _line(curve: Curve) -> shapely.LineString:
    count = 1 if curve.bulge == 0.0 else ARC_POINTS
    return shapely.LineString([curve.at(curve.length * k / count) for k in range(count + 1)])


class _Found(NamedTuple):
    """A seat with how far its side is off the hole's face, and its stretch of the hole's width."""

    off: float
    first: float
    last: float
    seat: Seat
    storey: int


def seats_of(hole: Hole, index: SideIndex, outlines: Sequence[Outline], model: Model) -> list[Seat]:
    """Where a hole lies in sides of rooms, nearest faces first, each stretch on each face once."""
    if math.dist(*hole.ring[:2]) < NARROWEST_MM or math.dist(hole.ring[0], hole.ring[3]) <= 0.0:
        return []
    found = []
    for n, side, curve in index.near(hole.ring, REACH_MM):
        if side.kind != "open" and _at_height(hole, outlines[n], model):
            seat = _seat(hole.ring.tolist(), n, side, curve)
            if seat is not None:
                found.append(seat._replace(storey=outlines[n].space.storey))
    return _each_once(found)


def _seat(ring: list[list[float]], outline: int, side: Side, curve: Curve) -> _Found | None:
    """The seat of a hole in one side; None where it does not lie in it."""
    (ox, oy), (px, py), _, (qx, qy) = ring
    width, depth = math.hypot(px - ox, py - oy), math.hypot(qx - ox, qy - oy)
    ux, uy, vx, vy = (px - ox) / width, (py - oy) / width, (qx - ox) / depth, (qy - oy) / depth
    a, b = curve.where(ox, oy)[0], curve.where(px, py)[0]
    lo, hi = max(0.0, min(a, b)), min(curve.length, max(a, b))
    if hi - lo < NARROWEST_MM:
        return None
    middle = (lo + hi) / 2.0
    (mx, my), (tx, ty) = curve.at(middle), curve.direction(middle)
    if abs(tx * uy - ty * ux) > (PARALLEL if curve.bulge == 0.0 else PARALLEL_ROUND):
        return None
    across = (mx - ox) * vx + (my - oy) * vy
    # The room lies to the left of its side: on the far side of the wall, or on the near one.
    turn = 1 if -ty * vx + tx * vy > 0 else -1
    face = depth if turn > 0 else 0.0
    if (across - depth / 2.0) * turn < -MIDDLE_MM or abs(across - face) > max(REACH_MM, depth):
        return None
    ends = [(x - ox) * ux + (y - oy) * uy for x, y in (curve.at(lo), curve.at(hi))]
    return _Found(abs(across - face), min(ends), max(ends), Seat(outline, side, lo, hi - lo, turn, across), 0)


def _each_once(found: list[_Found]) -> list[Seat]:
    """Nearest faces first; a stretch of the hole that a nearer face of its side has, on one storey, is
    not given twice."""
    taken: dict[tuple[int, int], list[tuple[float, float]]] = {}
    seats = []
    for f in sorted(found, key=lambda f: f.off):
        own = taken.setdefault((f.seat.turn, f.storey), [])
        if not any(min(f.last, b) - max(f.first, a) > NARROWEST_MM for a, b in own):
            own.append((f.first, f.last))
            seats.append(f.seat)
    return seats


def _at_height(hole: Hole, outline: Outline, model: Model) -> bool:
    """Whether a hole and a room share a third of the hole's height, or a good part of a tall one."""
    up = model.levels[hole.storey].level_mm - model.levels[outline.space.storey].level_mm
    low, high = hole.values["sill_mm"] + up, hole.values["head_mm"] + up
    common = min(high, outline.space.top_mm) - max(low, outline.space.floor_mm)
    return common > min((high - low) / 3.0, TALL_MM)


def hosts_of(seats: list[Seat], outlines: Sequence[Outline]) -> list[Seat]:
    """The seats that host: those of the face that has more of the hole, else of the lower floor; and
    the other face too where the two are no pair that is measured together."""
    faces = {t: [s for s in seats if s.turn == t] for t in (-1, 1)}
    if not faces[-1] or not faces[1]:
        return seats

    def rank(turn: int) -> tuple[float, float, int]:
        own = faces[turn]
        return (
            -round(sum(s.width for s in own), 0),
            min(outlines[s.outline].space.floor_mm for s in own),
            min(s.outline for s in own),
        )

    lead = min((-1, 1), key=rank)
    apart = abs(faces[1][0].across - faces[-1][0].across) > THROUGH_MM
    storeys = {outlines[s.outline].space.storey for s in faces[lead]}
    extra = [s for s in faces[-lead] if apart or outlines[s.outline].space.storey not in storeys]
    return faces[lead] + extra
