"""Parallel offsets of a ring, each side by its own distance, arcs kept as arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from takeoff.geometry.curves import Curve, Point, crossings, meet
from takeoff.geometry.rings import ring_curves
from takeoff.geometry.tolerances import ANGLE_RAD, SNAP_MM

Vertices = list[tuple[float, float, float]]


def offset_ring(sides: Sequence[Curve], distances_mm: Sequence[float]) -> list[tuple[float, float, float, int]]:
    """The ring moved to the left of each side by its distance: [x, y, bulge, side index].

    Corners are mitred. Where two sides run on in one line but move by different distances a
    short side joins them (index −1). An arc that is offset past its centre is left out; whether a ring
    shrank too far is told by ``keeps_its_shape``.
    No sides give an empty list.
    """
    moved = [_shift(c, d) for c, d in zip(sides, distances_mm, strict=True)]
    kept = [i for i, c in enumerate(moved) if c is not None]
    corners: list[list[Point]] = []
    for k, i in enumerate(kept):
        before, here = moved[kept[k - 1]], moved[i]
        assert before is not None
        assert here is not None
        corners.append(_corner(before, here))
    out: list[tuple[float, float, float, int]] = []
    for k, i in enumerate(kept):
        here = moved[i]
        assert here is not None
        start = corners[k][-1]
        end = corners[(k + 1) % len(kept)][0]
        if len(corners[k]) == 2:
            out.append((*corners[k][0], 0.0, -1))
        out.append((*start, _bulge(here, start, end), i))
    return out


def keeps_its_shape(
    rings: Sequence[Sequence[Curve]], moved: Sequence[Sequence[tuple[float, float, float, int]]]
) -> bool:
    """Whether offset rings still run as the ones they came from: every side there, none turned round, and no two
    crossing or touching but at their own corners. Otherwise they moved too far, and enclose nothing that counts."""
    pieces = []
    for r, (sides, ring) in enumerate(zip(rings, moved, strict=True)):
        curves = ring_curves([(x, y, b) for x, y, b, _ in ring])
        if sum(i >= 0 for *_, i in ring) < len(sides) or any(
            i >= 0 and not _runs_as(c, sides[i]) for c, (*_, i) in zip(curves, ring, strict=True)
        ):
            return False
        pieces += [(c, r, k, len(curves)) for k, c in enumerate(curves)]
    return not any(
        meet(a, b)
        for (a, ra, ka, n), (b, rb, kb, _) in combinations(pieces, 2)
        if ra != rb or (kb - ka) % n not in (1, n - 1)
    )


def _runs_as(moved: Curve, side: Curve) -> bool:
    if side.bulge == 0.0:
        return moved.length > SNAP_MM and moved.dx * side.dx + moved.dy * side.dy > 0.0
    return moved.length / moved.radius < side.length / side.radius + math.pi


def strips_along(sides: Sequence[Curve], distances_mm: Sequence[float]) -> list[tuple[int, Vertices]]:
    """For each side of a ring that has a distance: (its index, a ring round all that lies within that distance to
    its left, square to it). Mitred where a corner opens; elsewhere strips of neighbours lie over each other.
    No sides give an empty list."""
    moved = [_shift(c, d) for c, d in zip(sides, distances_mm, strict=True)]
    found: list[tuple[int, Vertices]] = []
    for i, (c, d) in enumerate(zip(sides, distances_mm, strict=True)):
        here, before, after = moved[i], moved[i - 1], moved[(i + 1) % len(moved)]
        if d <= 0.0:
            continue
        if here is None:  # further than an arc's centre: all of its sector
            found.append((i, [(c.x0, c.y0, c.bulge), (c.x1, c.y1, 0.0), (c.cx, c.cy, 0.0)]))
            continue
        start, end = (here.x0, here.y0), (here.x1, here.y1)
        mitre = [] if before is None else _corner(before, here)
        if len(mitre) == 1 and here.where(*mitre[0])[0] < -SNAP_MM:
            start = mitre[0]
        mitre = [] if after is None else _corner(here, after)
        if len(mitre) == 1 and here.where(*mitre[0])[0] > here.length + SNAP_MM:
            end = mitre[0]
        far = -_bulge(here, start, end)
        found.append((i, [(c.x0, c.y0, c.bulge), (c.x1, c.y1, 0.0), (*end, far), (*start, 0.0)]))
    return found


def _shift(c: Curve, d: float) -> Curve | None:
    if d == 0.0:
        return c
    if c.bulge == 0.0:
        nx, ny = -c.dy * d, c.dx * d
        return Curve(c.x0 + nx, c.y0 + ny, c.x1 + nx, c.y1 + ny)
    scale = (c.radius - c.turn * d) / c.radius
    if scale * c.radius <= SNAP_MM:
        return None
    return Curve(
        c.cx + (c.x0 - c.cx) * scale,
        c.cy + (c.y0 - c.cy) * scale,
        c.cx + (c.x1 - c.cx) * scale,
        c.cy + (c.y1 - c.cy) * scale,
        c.bulge,
    )


def _corner(before: Curve, here: Curve) -> list[Point]:
    """One point where the moved sides meet, or two where a jog joins them."""
    end, start = (before.x1, before.y1), (here.x0, here.y0)
    if math.dist(end, start) <= SNAP_MM:
        return [start]
    if before.bulge == 0.0 and here.bulge == 0.0:
        cross = before.dx * here.dy - before.dy * here.dx
        if abs(cross) < ANGLE_RAD:
            return [end, start]
        t = ((here.x0 - before.x0) * here.dy - (here.y0 - before.y0) * here.dx) / cross
        return [(before.x0 + before.dx * t, before.y0 + before.dy * t)]
    return _round_corner(before, here, end, start)


def _round_corner(before: Curve, here: Curve, end: Point, start: Point) -> list[Point]:
    found = crossings(before, here)
    if not found:
        return [end, start]
    middle = ((end[0] + start[0]) / 2.0, (end[1] + start[1]) / 2.0)
    return [min(found, key=lambda p: math.dist(p, middle))]


def _bulge(c: Curve, start: Point, end: Point) -> float:
    if c.bulge == 0.0:
        return 0.0
    a = math.atan2(start[1] - c.cy, start[0] - c.cx)
    b = math.atan2(end[1] - c.cy, end[0] - c.cx)
    sweep = ((b - a) * c.turn) % (2.0 * math.pi)
    return c.turn * math.tan(sweep / 4.0)
