"""Straight sides and arcs in plan, and where they meet.

A curve runs from (x0, y0) to (x1, y1) with a bulge as in DXF: tan of a quarter of its sweep,
positive when it turns left, 0 when straight. Parameters ``t`` are lengths along the curve in mm.
"""

from __future__ import annotations

import math

from takeoff.geometry.tolerances import SNAP_MM

Point = tuple[float, float]


class Curve:
    """A straight segment or a circular arc, with what is asked of it again and again."""

    __slots__ = ("a0", "box", "bulge", "cx", "cy", "dx", "dy", "length", "radius", "turn", "x0", "x1", "y0", "y1")

    def __init__(self, x0: float, y0: float, x1: float, y1: float, bulge: float = 0.0) -> None:
        self.x0, self.y0, self.x1, self.y1 = x0, y0, x1, y1
        chord = math.hypot(x1 - x0, y1 - y0)
        # A bulge whose rise over the chord is below the snap distance is a straight side.
        self.bulge = bulge if abs(bulge) * chord / 2.0 > SNAP_MM else 0.0
        if self.bulge == 0.0:
            self._straight(chord)
        else:
            self._arc(chord)

    def _straight(self, chord: float) -> None:
        self.length, self.radius, self.turn = chord, 0.0, 0.0
        self.cx = self.cy = self.a0 = 0.0
        self.dx = (self.x1 - self.x0) / chord if chord else 0.0
        self.dy = (self.y1 - self.y0) / chord if chord else 0.0
        x0, x1, y0, y1 = self.x0, self.x1, self.y0, self.y1
        self.box = (x0 if x0 < x1 else x1, y0 if y0 < y1 else y1, x1 if x0 < x1 else x0, y1 if y0 < y1 else y0)

    def _arc(self, chord: float) -> None:
        b = self.bulge
        sweep = 4.0 * math.atan(b)
        self.radius = chord * (1.0 + b * b) / (4.0 * abs(b))
        self.length = self.radius * abs(sweep)
        self.turn = 1.0 if b > 0 else -1.0
        # Centre: from the chord's middle, square to it, by the signed apothem.
        apothem = chord * (1.0 - b * b) / (4.0 * b)
        ux, uy = (self.x1 - self.x0) / chord, (self.y1 - self.y0) / chord
        self.cx = (self.x0 + self.x1) / 2.0 - uy * apothem
        self.cy = (self.y0 + self.y1) / 2.0 + ux * apothem
        self.a0 = math.atan2(self.y0 - self.cy, self.x0 - self.cx)
        self.dx, self.dy = ux, uy
        xs, ys = [self.x0, self.x1], [self.y0, self.y1]
        for k in range(4):
            a = k * math.pi / 2.0
            turned = ((a - self.a0) * self.turn) % (2.0 * math.pi)
            if turned * self.radius < self.length:
                xs.append(self.cx + self.radius * math.cos(a))
                ys.append(self.cy + self.radius * math.sin(a))
        self.box = (min(xs), min(ys), max(xs), max(ys))

    def at(self, t: float) -> Point:
        """The point t mm along the curve."""
        if self.bulge == 0.0:
            return self.x0 + self.dx * t, self.y0 + self.dy * t
        a = self.a0 + self.turn * t / self.radius
        return self.cx + self.radius * math.cos(a), self.cy + self.radius * math.sin(a)

    def direction(self, t: float) -> Point:
        """The unit tangent t mm along the curve, in its sense of travel."""
        if self.bulge == 0.0:
            return self.dx, self.dy
        a = self.a0 + self.turn * t / self.radius
        return -self.turn * math.sin(a), self.turn * math.cos(a)

    def beside(self, t: float, off_mm: float) -> Point:
        """The point so far to the left of the one t mm along the curve: of a room's side, inside the room."""
        (x, y), (dx, dy) = self.at(t), self.direction(t)
        return x - dy * off_mm, y + dx * off_mm

    @property
    def curvature(self) -> float:
        """Signed 1/radius in 1/mm, positive to the left, 0 when straight."""
        return self.turn / self.radius if self.bulge else 0.0

    def where(self, x: float, y: float) -> tuple[float, float]:
        """(t, distance): the parameter nearest to a point, unclamped when straight; the distance
        of the point from the endless line or the full circle, mm."""
        if self.bulge == 0.0:
            px, py = x - self.x0, y - self.y0
            return px * self.dx + py * self.dy, abs(px * self.dy - py * self.dx)
        px, py = x - self.cx, y - self.cy
        around = ((math.atan2(py, px) - self.a0) * self.turn) % (2.0 * math.pi)
        t = around * self.radius
        full = 2.0 * math.pi * self.radius
        if t > (self.length + full) / 2.0:
            t -= full
        return t, abs(math.hypot(px, py) - self.radius)

    def part(self, t0: float, t1: float) -> Curve:
        """The piece between two parameters, t0 < t1."""
        xa, ya = self.at(t0)
        xb, yb = self.at(t1)
        bulge = 0.0 if self.bulge == 0.0 else self.turn * math.tan((t1 - t0) / self.radius / 4.0)
        return Curve(xa, ya, xb, yb, bulge)

    def reversed(self) -> Curve:
        """The same course the other way."""
        return Curve(self.x1, self.y1, self.x0, self.y0, -self.bulge)

    def segment_area(self) -> float:
        """Signed area between the arc and its chord (mm²), positive when it turns left."""
        if self.bulge == 0.0:
            return 0.0
        sweep = self.length / self.radius
        return self.turn * self.radius * self.radius * (sweep - math.sin(sweep)) / 2.0


def rise_through(start: Point, end: Point, at: Point) -> float:
    """The rise over its chord of the arc from start to end through a point, mm: positive at the right of
    the chord, at most half of it, nothing for a point in line with it."""
    chord = math.dist(start, end)
    if chord <= 0:
        return 0.0
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    along = (at[0] - start[0]) * ux + (at[1] - start[1]) * uy
    off = (at[0] - start[0]) * uy - (at[1] - start[1]) * ux
    if abs(off) < 1e-9:
        return 0.0
    # the chord is seen under one angle from every point of the arc, also from its middle
    seen = math.atan2(chord * abs(off), off * off - along * (chord - along))
    rise = chord / 2.0 / math.tan(seen / 2.0)
    return math.copysign(min(rise, chord / 2.0), off)


def meet(a: Curve, b: Curve) -> list[tuple[float, float]]:
    """Parameters (ta, tb) where two curves cross or touch, ends included.

    Curves that run along each other give the ends of the stretch they share. Nothing in common
    gives an empty list.
    """
    ba, bb = a.box, b.box
    if ba[0] > bb[2] + SNAP_MM or bb[0] > ba[2] + SNAP_MM or ba[1] > bb[3] + SNAP_MM or bb[1] > ba[3] + SNAP_MM:
        return []
    found = []
    # Ends on the other curve come first: they also settle overlaps and tangencies.
    for t, x, y in ((0.0, a.x0, a.y0), (a.length, a.x1, a.y1)):
        tb, off = b.where(x, y)
        if off <= SNAP_MM and -SNAP_MM <= tb <= b.length + SNAP_MM:
            found.append((t, min(max(tb, 0.0), b.length)))
    for t, x, y in ((0.0, b.x0, b.y0), (b.length, b.x1, b.y1)):
        ta, off = a.where(x, y)
        if off <= SNAP_MM and -SNAP_MM <= ta <= a.length + SNAP_MM:
            found.append((min(max(ta, 0.0), a.length), t))
    if found and max(t for t, _ in found) - min(t for t, _ in found) > SNAP_MM:
        # Lines that share two places run along each other, and two circles have no third place
        # in common: what the arithmetic calls a crossing there is noise.
        return found
    for x, y in crossings(a, b):
        ta, _ = a.where(x, y)
        tb, _ = b.where(x, y)
        if -SNAP_MM <= ta <= a.length + SNAP_MM and -SNAP_MM <= tb <= b.length + SNAP_MM:
            found.append((min(max(ta, 0.0), a.length), min(max(tb, 0.0), b.length)))
    return found


def crossings(a: Curve, b: Curve) -> list[Point]:
    """Points where the endless lines or full circles of two curves cross; parallel gives none."""
    if a.bulge == 0.0 and b.bulge == 0.0:
        cross = a.dx * b.dy - a.dy * b.dx
        if abs(cross) < 1e-12:  # unit vectors: parallel to better than any drawing
            return []
        t = ((b.x0 - a.x0) * b.dy - (b.y0 - a.y0) * b.dx) / cross
        return [(a.x0 + a.dx * t, a.y0 + a.dy * t)]
    if a.bulge == 0.0:
        return _line_circle(a, b)
    if b.bulge == 0.0:
        return _line_circle(b, a)
    return _circle_circle(a, b)


def _line_circle(line: Curve, arc: Curve) -> list[Point]:
    px, py = arc.cx - line.x0, arc.cy - line.y0
    foot = px * line.dx + py * line.dy
    off = px * line.dy - py * line.dx
    rest = arc.radius * arc.radius - off * off
    if rest < 0.0:
        return []
    half = math.sqrt(rest)
    return [(line.x0 + line.dx * t, line.y0 + line.dy * t) for t in (foot - half, foot + half)]


def _circle_circle(a: Curve, b: Curve) -> list[Point]:
    dx, dy = b.cx - a.cx, b.cy - a.cy
    d = math.hypot(dx, dy)
    if d < SNAP_MM or d > a.radius + b.radius or d < abs(a.radius - b.radius):
        return []
    along = (d * d + a.radius * a.radius - b.radius * b.radius) / (2.0 * d)
    rest = a.radius * a.radius - along * along
    if rest < 0.0:
        return []
    half = math.sqrt(rest)
    ux, uy = dx / d, dy / d
    mx, my = a.cx + ux * along, a.cy + uy * along
    return [(mx - uy * half, my + ux * half), (mx + uy * half, my - ux * half)]
