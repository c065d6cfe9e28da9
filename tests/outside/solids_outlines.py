"""Random outlines of rooms on a grid: straight corners, chamfers, oblique sides, piers."""

from __future__ import annotations

import math
from random import Random

from shapely.affinity import rotate
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

GRID_MM = 50
MOST_SIDES = 12
THINNEST_MM = 300.0
SHORTEST_SIDE_MM = 150.0
SHARPEST_DEG = 28.0
NEARLY_STRAIGHT_DEG = 8.0
"""A corner of the outline bends at least so much, or not at all."""

Points = list[tuple[float, float]]


def grid(rng: Random, least_mm: float, most_mm: float, step_mm: float = GRID_MM) -> float:
    """A multiple of the step between two bounds (the lower one where nothing fits)."""
    low, high = math.ceil(least_mm / step_mm), math.floor(most_mm / step_mm)
    return step_mm * rng.randint(low, max(low, high))


def corners(shape: Polygon) -> Points:
    """The outer ring anticlockwise, without points on straight sides."""
    ring = [(float(x), float(y)) for x, y in orient(shape).exterior.coords[:-1]]
    kept: Points = []
    for before, at, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
        area = (at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])
        if abs(area) > 1e-6:
            kept.append(at)
    return kept


def usable(ring: Points) -> bool:
    """True where a ring is simple, not too narrow, and clear of near coincidences."""
    shape = Polygon(ring)
    if not (3 <= len(ring) <= MOST_SIDES and shape.is_valid and shape.area > 1.5e6):
        return False
    inner = shape.buffer(-THINNEST_MM / 2, join_style="mitre")
    outer = shape.buffer(60, join_style="mitre")
    if not isinstance(inner, Polygon) or inner.is_empty or not isinstance(outer, Polygon) or outer.interiors:
        return False
    for before, at, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
        turn = math.degrees(
            math.atan2(after[1] - at[1], after[0] - at[0]) - math.atan2(at[1] - before[1], at[0] - before[0])
        )
        turn = abs((turn + 180) % 360 - 180)
        if turn < NEARLY_STRAIGHT_DEG or turn > 180 - SHARPEST_DEG or math.dist(before, at) < SHORTEST_SIDE_MM:
            return False
    return True


def straight_cornered(rng: Random) -> Points:
    """A room of one to three rectangles."""
    while True:
        parts = []
        for _ in range(rng.choice((1, 2, 2, 3, 3))):
            x, y = grid(rng, 0, 3000), grid(rng, 0, 3000)
            parts.append(box(x, y, x + grid(rng, 800, 5000), y + grid(rng, 800, 5000)))
        shape = unary_union(parts)
        if isinstance(shape, Polygon) and not shape.interiors and usable(corners(shape)):
            return corners(shape)


def chamfered(rng: Random) -> Points:
    """A straight-cornered room with one or two corners cut off."""
    while True:
        ring = straight_cornered(rng)
        for _ in range(rng.choice((1, 2))):
            i = rng.randrange(len(ring))
            before, at, after = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
            if min(math.dist(before, at), math.dist(at, after)) < SHORTEST_SIDE_MM:
                continue
            cut = [toward(at, before, grid(rng, 200, 900)), toward(at, after, grid(rng, 200, 900))]
            ring = [*ring[:i], *cut, *ring[i + 1 :]]
        if usable(ring):
            return ring


def toward(at: tuple[float, float], to: tuple[float, float], by_mm: float) -> tuple[float, float]:
    share = by_mm / math.dist(at, to)
    return at[0] + share * (to[0] - at[0]), at[1] + share * (to[1] - at[1])


def oblique(rng: Random) -> Points:
    """A room with three to twelve sides at any angle, around a middle."""
    while True:
        count = rng.randint(3, MOST_SIDES)
        turns = sorted(rng.uniform(0, 360) for _ in range(count))
        ring = []
        for turn in turns:
            radius = rng.uniform(1200, 4000)
            x, y = radius * math.cos(math.radians(turn)), radius * math.sin(math.radians(turn))
            ring.append((10.0 * round(x / 10), 10.0 * round(y / 10)))
        if usable(corners(Polygon(ring))):
            return corners(Polygon(ring))


def with_point_on_a_side(rng: Random, ring: Points) -> Points:
    """The ring with one side parted in two that run on straight (only on upright or level sides)."""
    fit = [i for i, (a, b) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True))
           if (a[0] == b[0] or a[1] == b[1]) and math.dist(a, b) >= 600]  # fmt: skip
    if not fit or len(ring) >= MOST_SIDES:
        return ring
    i = rng.choice(fit)
    a, b = ring[i], ring[(i + 1) % len(ring)]
    return [*ring[: i + 1], toward(a, b, grid(rng, 250, math.dist(a, b) - 250)), *ring[i + 1 :]]


def piers(rng: Random, outline: Points, most: int) -> list[Points]:
    """Clockwise rings of up to ``most`` piers, clear of the walls and of each other."""
    free = Polygon(outline).buffer(-200)
    made: list[Points] = []
    for _ in range(4 * most):
        if len(made) == most or free.is_empty:
            break
        x0, y0, x1, y1 = free.bounds
        x, y = grid(rng, x0, x1), grid(rng, y0, y1)
        pier = box(x, y, x + grid(rng, 200, 700), y + grid(rng, 200, 700))
        if rng.random() < 0.4:
            turned = rotate(pier, rng.uniform(12, 78))
            pier = Polygon([(10 * round(a / 10), 10 * round(b / 10)) for a, b in turned.exterior.coords[:-1]])
        if free.contains(pier):
            made.append(corners(pier)[::-1])
            free = free.difference(pier.buffer(200))
    return made


def outline(rng: Random, kind: str) -> tuple[Points, list[Points]]:
    """The outer ring and the piers of a room of the given kind."""
    make = {"straight": straight_cornered, "chamfered": chamfered, "oblique": oblique}[kind]
    ring = make(rng)
    if kind != "oblique" and rng.random() < 0.2:
        ring = with_point_on_a_side(rng, ring)
    return ring, piers(rng, ring, rng.choice((0, 0, 1, 2)))
