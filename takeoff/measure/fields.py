"""Height fields over a plan: which plane governs where, and the folds between planes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from takeoff.geometry.arrangement import TooMany
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.profiles import Line, Profile, Wave
from takeoff.geometry.rings import curves_area, ring_curves
from takeoff.geometry.tolerances import HEIGHT_MM
from takeoff.language import tr
from takeoff.plan.model import Field, Plane, Region

MOST_FOLDS = 1_000_000
"""So many folds between planes are tried, each against all others of its part: some seconds."""

_SLOPE = 1e-12
"""Slopes closer than this are equal: over a kilometre it moves a height by a nanometre."""


class Sheet(NamedTuple):
    """A plane in local coordinates: z = z0 + gx·x + gy·y."""

    z0: float
    gx: float
    gy: float

    def at(self, x: float, y: float) -> float:
        return self.z0 + self.gx * x + self.gy * y


def sheet(plane: Plane, origin: Point, lift_mm: float) -> Sheet:
    """A plane moved to local coordinates and raised by a build-up."""
    z = plane.z_mm + lift_mm
    z += plane.slope_x * (origin[0] - plane.at_x_mm) + plane.slope_y * (origin[1] - plane.at_y_mm)
    return Sheet(z, plane.slope_x, plane.slope_y)


def profile_on(s: Sheet, c: Curve) -> Profile:
    """The height of a plane along a curve, as a function of length along it."""
    if c.bulge == 0.0:
        return Line(s.at(c.x0, c.y0), s.gx * c.dx + s.gy * c.dy)
    steep = math.hypot(s.gx, s.gy)
    if steep * c.radius < HEIGHT_MM * 1e-6:
        return Line(s.at(c.cx, c.cy))
    return Wave(s.at(c.cx, c.cy), steep * c.radius, c.turn / c.radius, c.a0 - math.atan2(s.gy, s.gx))


class Level(NamedTuple):
    """One step of a field: the base (region None) or a region, with its own planes; ``area`` of its outline in
    plan, mm²: of those around a point the smaller stands within the larger, however they are listed."""

    region: Region | None
    op: str
    sheets: tuple[Sheet, ...]
    area: float


def levels(field: Field, origin: Point, lift_mm: float) -> tuple[Level, ...]:
    """The base of a field, then its regions in the order given."""
    base = Level(None, "set", tuple(sheet(p, origin, lift_mm) for p in field.planes), math.inf)
    return (base, *(_level(r, origin, lift_mm) for r in field.regions))


def _level(r: Region, origin: Point, lift_mm: float) -> Level:
    ring = ring_curves([(x - origin[0], y - origin[1], b) for x, y, b in r.outline])
    return Level(r, r.op, tuple(sheet(p, origin, lift_mm) for p in r.planes), abs(curves_area(ring)))


def governing(chain: Sequence[Level], x: float, y: float, lowest: bool) -> tuple[Sheet, Region | None]:
    """The plane that governs at a point and the region it belongs to, from the base inwards.

    ``lowest``: planes of one level combine to their lowest (ceilings), else to their highest.
    """
    pick = min if lowest else max
    best, owner = pick(chain[0].sheets, key=lambda s: s.at(x, y)), chain[0].region
    for level in chain[1:]:
        own = pick(level.sheets, key=lambda s: s.at(x, y))
        z, before = own.at(x, y), best.at(x, y)
        if level.op == "set" or (level.op == "lower" and z < before) or (level.op == "raise" and z > before):
            best, owner = own, level.region
    return best, owner


def folds(levels_: Sequence[Level], box: tuple[float, float, float, float], lowest: bool) -> list[Curve]:
    """Where the planes of one field meet, clipped to where they govern within their own level,
    and to a box; a single plane gives none. Raises TooMany for fields that nobody builds."""
    _bounded(levels_)
    found = []
    sign = 1.0 if lowest else -1.0
    for i, level in enumerate(levels_):
        own = level.sheets
        for a, s in enumerate(own):
            for b in range(a + 1, len(own)):
                rivals = [(s, r) for k, r in enumerate(own) if k not in (a, b)]
                found += _fold(s, own[b], rivals, box, sign)
        if level.op == "set":
            continue
        for k, other in enumerate(levels_):
            if other.area > level.area or (other.area == level.area and k < i):
                found += _between(level, other, box, sign)
    return found


def _bounded(levels_: Sequence[Level]) -> None:
    tried, before = 0, 0
    for level in sorted(levels_, key=lambda one: -one.area):
        own = len(level.sheets)
        tried += own * own * own // 2
        if level.op != "set":
            tried += before * own * (own + 1)
        before += own
    if tried > MOST_FOLDS:
        raise TooMany(
            tr(
                "its ceiling or floor has {planes} planes in {parts} parts: remove those that lie behind others",
                planes=before,
                parts=len(levels_),
            )
        )


def _between(level: Level, other: Level, box: tuple[float, float, float, float], sign: float) -> list[Curve]:
    found = []
    for s in level.sheets:
        for q in other.sheets:
            rivals = [(s, r) for r in level.sheets if r is not s]
            rivals += [(q, r) for r in other.sheets if r is not q]
            found += _fold(s, q, rivals, box, sign)
    return found


def meeting(s: Sheet, q: Sheet, box: tuple[float, float, float, float]) -> list[Curve]:
    """The line on which two planes are equally high, within a box; parallel planes give none."""
    return _fold(s, q, (), box, 1.0)


def _fold(
    s: Sheet, q: Sheet, rivals: Sequence[tuple[Sheet, Sheet]], box: tuple[float, float, float, float], sign: float
) -> list[Curve]:
    a, b, c = s.gx - q.gx, s.gy - q.gy, s.z0 - q.z0
    n = math.hypot(a, b)
    if n < _SLOPE:
        return []
    px, py = -a * c / n / n, -b * c / n / n
    dx, dy = -b / n, a / n
    t0, t1 = -math.inf, math.inf
    bounds = [(dx, px - box[0]), (-dx, box[2] - px), (dy, py - box[1]), (-dy, box[3] - py)]
    # A plane governs while its rivals lie on the far side of it.
    bounds += [
        (
            sign * (r.gx * dx + r.gy * dy - p.gx * dx - p.gy * dy),
            sign * (r.at(px, py) - p.at(px, py)) + HEIGHT_MM * 1e-3,
        )
        for p, r in rivals
    ]
    for slope, value in bounds:  # value + slope·t >= 0
        if abs(slope) < _SLOPE:
            if value < 0.0:
                return []
        elif slope > 0.0:
            t0 = max(t0, -value / slope)
        else:
            t1 = min(t1, -value / slope)
    if t1 - t0 <= HEIGHT_MM:
        return []
    return [Curve(px + dx * t0, py + dy * t0, px + dx * t1, py + dy * t1)]
