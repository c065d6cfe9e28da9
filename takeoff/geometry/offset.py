"""Parallel offsets of a ring, each side by its own distance, arcs kept as arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.geometry.curves import Curve, Point, crossings
from takeoff.geometry.tolerances import ANGLE_RAD, SNAP_MM


def offset_ring(sides: Sequence[Curve], distances_mm: Sequence[float]) -> list[tuple[float, float, float, int]]:
    """The ring moved to the left of each side by its distance: [x, y, bulge, side index].

    Corners are mitred. Where two sides run on in one line but move by different distances a
    short side joins them (index −1). An arc that is offset past its centre is left out; a ring
    that shrinks too far crosses itself, which the caller sees by its negative winding.
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
