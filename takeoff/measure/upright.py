"""The upright surfaces of a space: wall faces by side, and drop faces where a field jumps.

Along every edge of the plan the void on its left and on its right are compared: what only one
side has is faced there, up to where the two run into each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from takeoff.geometry.arrangement import Edge
from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Line, crossings_between
from takeoff.geometry.tolerances import HEIGHT_MM, SNAP_MM, TOUCH_MM
from takeoff.measure.face import Patch
from takeoff.measure.fields import Sheet, profile_on
from takeoff.measure.space import Cell, Space
from takeoff.plan.model import Region, Side

Range = tuple[float, float]
EVERYWHERE: Range = (-math.inf, math.inf)

FaceKey = tuple[str, int, int, int, bool]
"""kind (side, ceiling, floor), room, region item or −1, side number, whether it looks to the left
of its carrier"""


class Stretch(NamedTuple):
    """A piece of edge along which the order of all heights stays the same, t0 to t1 along it.

    ``gap``: the heights at which left and right run into each other; ``ghost``: the same where
    an open side leads to nothing that is drawn. ``faces``: (face, patch number, lo, hi, looks
    left) of the patches that stand here.
    """

    edge: int
    t0: float
    t1: float
    left: Cell
    right: Cell
    left_cell: int
    right_cell: int
    gap: Range | None
    ghost: bool
    faces: tuple[tuple[FaceKey, int, Sheet, Sheet, bool], ...]


class Upright(NamedTuple):
    """A wall or drop face before it is cut: its carrier curve and its patches."""

    key: FaceKey
    carrier: Curve
    patches: list[Patch]


class Thin(NamedTuple):
    """A wall below (or above) an opening from room to room that both rooms have a face of and that stands on one
    line: nothing between the faces, so neither a top (or underside) nor its two edges."""

    room: int
    side: int
    beyond: int
    hangs: bool


class Uprights(NamedTuple):
    faces: dict[FaceKey, Upright]
    stretches: list[Stretch]
    by_edge: dict[int, list[Stretch]]
    dead_ends: list[tuple[int, int]]
    thin: list[Thin]


def side_at(space: Space, room: int, number: int) -> Side:
    """The side with this running number in a room's rings."""
    for sides in space.rooms[room].sides:
        if number < len(sides):
            return sides[number]
        number -= len(sides)
    raise IndexError(number)


def uprights(space: Space) -> Uprights:
    """Every upright surface of a space, and the stretches that its edges are made of."""
    out = Uprights({}, [], {}, [], [])
    for number, e in enumerate(space.plan.edges):
        left, right = space.cells[e.left], space.cells[e.right]
        if left.room < 0 and right.room < 0:
            continue
        side_left = _side_use(space, e, left, True)
        side_right = _side_use(space, e, right, False)
        gap, ghost = _gap(space, e, side_left, side_right)
        if ghost:
            for room, side in (side_left, side_right):
                if room >= 0:
                    out.dead_ends.append((room, side))
        for t0, t1 in _ordered(e, left, right, gap):
            stretch = _stretch(space, out, number, (t0, t1), gap, ghost)
            out.stretches.append(stretch)
            out.by_edge.setdefault(number, []).append(stretch)
            if side_left[0] >= 0 and side_right[0] >= 0 and gap is not None:
                out.thin.extend(_thin(stretch, e, side_left, side_right[0], gap))
    return out


def _thin(s: Stretch, e: Edge, side: tuple[int, int], beyond: int, gap: Range) -> Iterable[Thin]:
    tm = (s.t0 + s.t1) / 2.0
    if max(height(s.left.floor, e, tm), height(s.right.floor, e, tm)) < gap[0] - TOUCH_MM:
        yield Thin(*side, beyond, False)
    if min(height(s.left.ceiling, e, tm), height(s.right.ceiling, e, tm)) > gap[1] + TOUCH_MM:
        yield Thin(*side, beyond, True)


def _side_use(space: Space, e: Edge, cell: Cell, same: bool) -> tuple[int, int]:
    """(room, side number) of the cell's own side along an edge; (−1, −1) for none."""
    for index, runs_along, _, _ in e.uses:
        ref = space.refs[index]
        if ref.kind == "side" and ref.room == cell.room and runs_along == same:
            return ref.room, ref.side
    return -1, -1


def _gap(space: Space, e: Edge, left: tuple[int, int], right: tuple[int, int]) -> tuple[Range | None, bool]:
    """Where both sides run into each other: everywhere inside a room, nowhere through a wall."""
    ranges = []
    for room, number in (left, right):
        if room < 0:
            continue
        side = side_at(space, room, number)
        if side.kind == "wall":
            return None, False
        lo = -math.inf if side.open_from_mm is None else side.open_from_mm
        hi = math.inf if side.open_to_mm is None else side.open_to_mm
        ranges.append((lo, hi))
    if not ranges:
        return EVERYWHERE, False
    gap = (max(r[0] for r in ranges), min(r[1] for r in ranges))
    lonely = space.cells[e.left].room < 0 or space.cells[e.right].room < 0
    return gap, lonely


def _sheets(left: Cell, right: Cell, gap: Range | None) -> list[Sheet]:
    found = [s for c in (left, right) if c.room >= 0 for s in (c.floor, c.ceiling)]
    if gap is not None:
        found += [Sheet(z, 0.0, 0.0) for z in gap if math.isfinite(z)]
    return found


def _ordered(e: Edge, left: Cell, right: Cell, gap: Range | None) -> list[Range]:
    length = e.curve.length
    distinct = list(dict.fromkeys(_sheets(left, right, gap)))
    profiles = [profile_on(s, e.curve) for s in distinct]
    if all(isinstance(p, Line) and p.slope == 0.0 for p in profiles):
        return [(0.0, length)]
    cuts = [0.0]
    us = sorted(
        u for i, p in enumerate(profiles) for q in profiles[i + 1 :] for u in crossings_between(p, q, 0.0, length)
    )
    for u in us:
        if u - cuts[-1] > SNAP_MM and length - u > SNAP_MM:
            cuts.append(u)
    cuts.append(length)
    return list(zip(cuts, cuts[1:], strict=False))  # noqa: RUF007 (plain and short)


def height(s: Sheet, e: Edge, t: float) -> float:
    """The height of a plane t along an edge."""
    return s.at(*e.curve.at(t))


def _void(cell: Cell, z: dict[Sheet, float]) -> tuple[Sheet, Sheet] | None:
    if cell.room < 0 or z[cell.ceiling] - z[cell.floor] <= HEIGHT_MM:
        return None
    return cell.floor, cell.ceiling


def _stretch(space: Space, out: Uprights, number: int, span: Range, gap: Range | None, ghost: bool) -> Stretch:
    e = space.plan.edges[number]
    left, right = space.cells[e.left], space.cells[e.right]
    tm = (span[0] + span[1]) / 2.0
    z = {s: height(s, e, tm) for s in _sheets(left, right, gap)}
    a, b = _void(left, z), _void(right, z)
    shared = _shared(a, b, gap, ghost, z)
    faces = []
    for looks_left, void, cell in ((True, a, left), (False, b, right)):
        if void is None:
            continue
        for lo, hi in _less(void, shared, z):
            key, carrier, at, step = _face_key(space, e, cell, looks_left, (lo, hi))
            face = out.faces.get(key)
            if face is None:
                face = out.faces[key] = Upright(key, carrier, [])
            u0, u1 = sorted((at + step * span[0], at + step * span[1]))
            face.patches.append(
                Patch(
                    max(u0, 0.0),
                    min(u1, carrier.length),
                    profile_on(lo, carrier),
                    profile_on(hi, carrier),
                    number,
                    looks_left,
                    lo == cell.floor,
                    hi == cell.ceiling,
                )
            )
            faces.append((key, len(face.patches) - 1, lo, hi, looks_left))
    return Stretch(number, span[0], span[1], left, right, e.left, e.right, gap, ghost, tuple(faces))


def _shared(
    a: tuple[Sheet, Sheet] | None, b: tuple[Sheet, Sheet] | None, gap: Range | None, ghost: bool, z: dict[Sheet, float]
) -> tuple[Sheet, Sheet] | None:
    """The lower and upper bound of what both sides share, as the planes that set them."""
    voids = [v for v in (a, b) if v is not None]
    if gap is None or not voids or (len(voids) == 1 and not ghost):
        return None
    lows = [v[0] for v in voids]
    highs = [v[1] for v in voids]
    if math.isfinite(gap[0]):
        lows.append(Sheet(gap[0], 0.0, 0.0))
    if math.isfinite(gap[1]):
        highs.append(Sheet(gap[1], 0.0, 0.0))
    lo, hi = max(lows, key=lambda s: z[s]), min(highs, key=lambda s: z[s])
    return (lo, hi) if z[hi] - z[lo] > HEIGHT_MM else None


def _less(
    void: tuple[Sheet, Sheet], shared: tuple[Sheet, Sheet] | None, z: dict[Sheet, float]
) -> Iterable[tuple[Sheet, Sheet]]:
    if shared is None:
        yield void
        return
    if z[shared[0]] - z[void[0]] > HEIGHT_MM:
        yield void[0], shared[0]
    if z[void[1]] - z[shared[1]] > HEIGHT_MM:
        yield shared[1], void[1]


def _face_key(
    space: Space, e: Edge, cell: Cell, looks_left: bool, bounds: tuple[Sheet, Sheet]
) -> tuple[FaceKey, Curve, float, float]:
    """The face a patch belongs to, its carrier, and u = at + step·t along the edge."""
    jump = "floor" if bounds[0] == cell.floor else "ceiling"
    best, smallest = None, math.inf
    for index, same, ta, _ in e.uses:
        ref = space.refs[index]
        if ref.kind == "side" and ref.room == cell.room and same == looks_left:
            best = (("side", ref.room, -1, ref.side, True), index, same, ta)
            break
        if ref.kind == jump and ref.room == cell.room:
            # Where the outlines of regions run along each other the jump is the inner one's.
            steps = space.rooms[ref.room].ceiling if jump == "ceiling" else space.rooms[ref.room].floor
            if steps[ref.item + 1].area < smallest:
                best = ((jump, ref.room, ref.item, ref.side, same == looks_left), index, same, ta)
                smallest = steps[ref.item + 1].area
    if best is None:
        # A jump that no region of this kind explains (a region of the joined room): named by
        # the linework that carries it.
        index, same, ta, _ = e.uses[0]
        best = ((jump, cell.room, -1, index, same == looks_left), index, same, ta)
    key, index, same, ta = best
    return key, space.curves[index], ta, 1.0 if same else -1.0


def face_region(space: Space, key: FaceKey) -> Region | None:
    """The region whose jump a drop face is; None for walls."""
    kind, room, item, _, _ = key
    if kind == "side" or item < 0:
        return None
    steps = space.rooms[room].ceiling if kind == "ceiling" else space.rooms[room].floor
    return steps[item + 1].region
