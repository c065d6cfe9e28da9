"""Heights along a developed face: z as a function of u, integrated in closed form.

A plane over a straight wall is a line; over a curved wall, with u along the arc, a wave; the
head of an arched opening is a bow. Each gives its height at u, the area under it between two u
(mm², above z = 0) and its length.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

import numpy as np

from takeoff.geometry.curves import Curve

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_GAUSS = tuple(zip(_NODES.tolist(), _WEIGHTS.tolist(), strict=True))


class Line:
    """z = z0 + slope·u"""

    __slots__ = ("slope", "z0")

    def __init__(self, z0: float, slope: float = 0.0) -> None:
        self.z0, self.slope = z0, slope

    def at(self, u: float) -> float:
        return self.z0 + self.slope * u

    def under(self, u0: float, u1: float) -> float:
        return (u1 - u0) * (self.z0 + self.slope * (u0 + u1) / 2.0)

    def length(self, u0: float, u1: float) -> float:
        return (u1 - u0) * math.hypot(1.0, self.slope)

    def raised(self, by: float) -> Line:
        return Line(self.z0 + by, self.slope)


class Wave:
    """z = z0 + swing·cos(k·u + phase): a sloping plane cut by an upright cylinder."""

    __slots__ = ("k", "phase", "swing", "z0")

    def __init__(self, z0: float, swing: float, k: float, phase: float) -> None:
        self.z0, self.swing, self.k, self.phase = z0, swing, k, phase

    def at(self, u: float) -> float:
        return self.z0 + self.swing * math.cos(self.k * u + self.phase)

    def under(self, u0: float, u1: float) -> float:
        k, f = self.k, self.phase
        return self.z0 * (u1 - u0) + self.swing / k * (math.sin(k * u1 + f) - math.sin(k * u0 + f))

    def length(self, u0: float, u1: float) -> float:
        # An incomplete elliptic integral; Gauss-Legendre on parts of at most an eighth of a turn
        # reaches the last digit and keeps scipy out of the engine.
        parts = max(1, math.ceil(abs(self.k) * (u1 - u0) / (math.pi / 4.0)))
        step = (u1 - u0) / parts
        total = 0.0
        for i in range(parts):
            middle = u0 + (i + 0.5) * step
            for node, weight in _GAUSS:
                slope = -self.swing * self.k * math.sin(self.k * (middle + node * step / 2.0) + self.phase)
                total += weight * math.hypot(1.0, slope) * step / 2.0
        return total

    def raised(self, by: float) -> Wave:
        return Wave(self.z0 + by, self.swing, self.k, self.phase)


class Bow:
    """The upper (sign 1) or lower (sign −1) half of a circle round (uc, zc)."""

    __slots__ = ("radius", "sign", "uc", "zc")

    def __init__(self, uc: float, zc: float, radius: float, sign: float) -> None:
        self.uc, self.zc, self.radius, self.sign = uc, zc, radius, sign

    def _turn(self, u: float) -> float:
        return math.asin(min(1.0, max(-1.0, (u - self.uc) / self.radius)))

    def at(self, u: float) -> float:
        x = u - self.uc
        return self.zc + self.sign * math.sqrt(max(0.0, self.radius * self.radius - x * x))

    def under(self, u0: float, u1: float) -> float:
        r, a, b = self.radius, self._turn(u0), self._turn(u1)
        cap = r * r / 2.0 * ((b - a) + (math.sin(2.0 * b) - math.sin(2.0 * a)) / 2.0)
        return self.zc * (u1 - u0) + self.sign * cap

    def length(self, u0: float, u1: float) -> float:
        return self.radius * (self._turn(u1) - self._turn(u0))

    def raised(self, by: float) -> Bow:
        return Bow(self.uc, self.zc + by, self.radius, self.sign)


Profile = Line | Wave | Bow


def crossings_between(p: Profile, q: Profile, u0: float, u1: float) -> list[float]:
    """Every u in the open stretch where two profiles cross; those that coincide give none."""
    if isinstance(p, Line) and isinstance(q, Line):
        if p.slope == q.slope:
            return []
        u = (q.z0 - p.z0) / (p.slope - q.slope)
        return [u] if u0 < u < u1 else []
    steps = 24
    us = [u0 + (u1 - u0) * i / steps for i in range(steps + 1)]
    gaps = [p.at(u) - q.at(u) for u in us]
    found = []
    for i in range(steps):
        if gaps[i] * gaps[i + 1] < 0.0:
            found.append(_root(p, q, us[i], us[i + 1], gaps[i]))
        elif gaps[i] == 0.0 and i > 0 and gaps[i - 1] * gaps[i + 1] < 0.0:
            found.append(us[i])
    return found


def _root(p: Profile, q: Profile, a: float, b: float, gap_a: float) -> float:
    for _ in range(80):  # bisection: 80 halvings exhaust a double
        m = (a + b) / 2.0
        gap = p.at(m) - q.at(m)
        if gap == 0.0 or b - a < 1e-12 * max(1.0, abs(m)):
            return m
        if (gap > 0.0) == (gap_a > 0.0):
            a = m
        else:
            b = m
    return (a + b) / 2.0


Stretch = tuple[float, float, Profile]
"""u from, u to, and the profile between them"""

UPRIGHT_MM = 1e-6
"""A course shorter than this in u is upright and bounds nothing from above or below."""


def monotone(curves: Iterable[Curve]) -> tuple[Stretch, ...]:
    """The curves of a closed outline as profiles over x: arcs as upper and lower halves, upright
    sides left out. A point is inside where an odd number of them pass below it."""
    found: list[Stretch] = []
    for c in curves:
        if c.bulge:
            found += _halves(c)
        elif abs(c.x1 - c.x0) > UPRIGHT_MM:
            slope = (c.y1 - c.y0) / (c.x1 - c.x0)
            found.append((min(c.x0, c.x1), max(c.x0, c.x1), Line(c.y0 - slope * c.x0, slope)))
    return tuple(found)


def _halves(c: Curve) -> list[Stretch]:
    cuts = [0.0, c.length]
    for x in (c.cx - c.radius, c.cx + c.radius):
        t, _ = c.where(x, c.cy)
        if UPRIGHT_MM < t < c.length - UPRIGHT_MM:
            cuts.append(t)
    cuts.sort()
    found: list[Stretch] = []
    for i in range(len(cuts) - 1):
        sign = 1.0 if c.at((cuts[i] + cuts[i + 1]) / 2.0)[1] > c.cy else -1.0
        a, b = sorted((c.at(cuts[i])[0], c.at(cuts[i + 1])[0]))
        if b - a > UPRIGHT_MM:
            found.append((a, b, Bow(c.cx, c.cy, c.radius, sign)))
    return found


def strips_between(outline: Iterable[Stretch]) -> list[tuple[float, float]]:
    """An area as strips (width, mean height) in order of x, which add up to it exactly; strips
    between the same two lines are joined. An empty outline gives none."""
    return [(s.width, s.mean) for s in _strips(outline)]


class _Strip(NamedTuple):
    """A strip from u0 to u1 between two profiles."""

    u0: float
    u1: float
    lo: Profile
    hi: Profile
    width: float
    mean: float


def strips_and_widths(outline: Iterable[Stretch]) -> tuple[list[tuple[float, float]], list[float]]:
    """The strips of ``strips_between``, and how wide the area is at each of them at the narrower: the strip's mean
    height, or, where that is less, how far the area goes on from side to side at its middle height."""
    strips = _strips(outline)
    return [(s.width, s.mean) for s in strips], _narrower(strips)


def _narrower(strips: Sequence[_Strip]) -> list[float]:
    columns = [_column(list(group)) for _, group in groupby(strips, key=lambda strip: strip.u0)]
    found = []
    for k, column in enumerate(columns):
        for s in column.strips:
            um = (s.u0 + s.u1) / 2.0
            middle = (s.lo.at(um) + s.hi.at(um)) / 2.0
            across = s.width + _goes_on(s.u0, middle, (columns[j] for j in range(k - 1, -1, -1)), False, s.mean)
            across += _goes_on(s.u1, middle, (columns[j] for j in range(k + 1, len(columns))), True, s.mean)
            found.append(min(s.mean, across))
    return found


class _Column(NamedTuple):
    """The strips between the same two places, one above the other, and where they begin and end in the middle."""

    u0: float
    u1: float
    width: float
    strips: list[_Strip]
    begins: list[float]
    ends: list[float]

    def holds(self, height: float) -> bool:
        """Whether one of the strips is there at this height."""
        k = bisect_left(self.begins, height) - 1
        return k >= 0 and height < self.ends[k]


def _column(strips: list[_Strip]) -> _Column:
    u0, u1 = strips[0].u0, strips[0].u1
    um = (u0 + u1) / 2.0
    return _Column(u0, u1, strips[0].width, strips, [s.lo.at(um) for s in strips], [s.hi.at(um) for s in strips])


def _goes_on(u: float, height: float, columns: Iterable[_Column], forward: bool, enough: float) -> float:
    """How far the area goes on from u at a height, over columns in order away from there; no further is
    looked once it is ``enough``."""
    total = 0.0
    for column in columns:
        near, far = (column.u0, column.u1) if forward else (column.u1, column.u0)
        if total >= enough or abs(near - u) > UPRIGHT_MM or not column.holds(height):
            break
        total, u = total + column.width, far
    return total


def _strips(outline: Iterable[Stretch]) -> list[_Strip]:
    edges = list(outline)
    us: list[float] = []
    for u in sorted(u for a, b, _ in edges for u in (a, b)):
        if not us or u - us[-1] > UPRIGHT_MM:
            us.append(u)
    out: list[_Strip] = []
    last: tuple[Profile, Profile] | None = None
    for i in range(len(us) - 1):
        u0, u1 = us[i], us[i + 1]
        um = (u0 + u1) / 2.0
        here = sorted((f for a, b, f in edges if a < um < b), key=lambda f: f.at(um))
        pairs = list(zip(here[::2], here[1::2], strict=False))
        for lo, hi in pairs:
            area = hi.under(u0, u1) - lo.under(u0, u1)
            if len(pairs) == 1 and last is not None and _alike(last[0], lo) and _alike(last[1], hi):
                before, width = out[-1], out[-1].width + u1 - u0
                out[-1] = before._replace(u1=u1, width=width, mean=(before.width * before.mean + area) / width)
            else:
                out.append(_Strip(u0, u1, lo, hi, u1 - u0, area / (u1 - u0)))
            last = (lo, hi) if len(pairs) == 1 else None
    return out


def _alike(p: Profile, q: Profile) -> bool:
    return (
        isinstance(p, Line) and isinstance(q, Line) and abs(p.slope - q.slope) < 1e-12 and abs(p.z0 - q.z0) < UPRIGHT_MM
    )
