"""A first figure for the adjustment: the walk with the turns as typed, closed evenly."""

from __future__ import annotations

import math
from itertools import count

import numpy as np

from takeoff.geometry.adjustment import Point
from takeoff.plan.base import SideId
from takeoff.plan.read_on_site import ReadSide

SHORTEST_START_MM = 100.0
"""A side that nobody measured starts at least this long."""

_USUAL_MM = 3000.0
"""A side that nobody measured starts near this length, where nothing else says it."""


def length_of(side: ReadSide) -> float | None:
    """What was read of its length: the side itself, else the end of its running dimensions."""
    return side.length_mm if side.length_mm is not None else side.run_mm


def side_ids(sides: tuple[ReadSide, ...]) -> tuple[SideId, ...]:
    """The ids of the room's sides as walked: each its own, else the first s1, s2 … that is unused."""
    taken = {side.id for side in sides if side.id}
    free = (f"s{number}" for number in count(1) if f"s{number}" not in taken)
    return tuple(SideId(side.id or next(free)) for side in sides)


def way_round(sides: tuple[ReadSide, ...]) -> int:
    """+1 walked anticlockwise (more turns to the left), −1 clockwise."""
    return 1 if sum(side.turn_deg for side in sides) > 0 else -1


def turned_deg(sides: tuple[ReadSide, ...]) -> float:
    """What the typed turns add up to; ±360 for a walk that comes back to its start."""
    return sum(side.turn_deg for side in sides)


def closing_gap(sides: tuple[ReadSide, ...]) -> tuple[float, float] | None:
    """(x, y) in mm by which the walk with lengths and turns as typed misses its start; None where a
    length was not read or a turn is left to the other readings."""
    lengths = [length_of(side) for side in sides]
    if any(length is None for length in lengths) or any(side.turn == "free" for side in sides):
        return None
    x, y = _walk(sides, [length or 0.0 for length in lengths], 0.0)[-1]
    return x, y


def walked(sides: tuple[ReadSide, ...]) -> tuple[Point, ...]:
    """Corners of a walk that is not closed yet, up to the first side without a length."""
    lengths: list[float] = []
    for side in sides:
        length = length_of(side)
        if length is None:
            break
        lengths.append(length)
    return tuple(_walk(sides, lengths, 0.0))


def first_figure(sides: tuple[ReadSide, ...]) -> tuple[Point, ...]:
    """A closed figure near the readings, corner 0 at the origin and the first side along x.

    Turns that do not add up to a whole turn are mended evenly, sides without a length get the one
    that closes best, and what is left open is spread over the sides by their lengths.
    """
    spread = (360.0 * way_round(sides) - turned_deg(sides)) / len(sides)
    known = [length_of(side) for side in sides]
    lengths = _with_missing(sides, known, spread)
    corners = _walk(sides, lengths, spread)
    gap_x, gap_y = corners[-1]
    whole, done, figure = sum(lengths), 0.0, [(0.0, 0.0)]
    for (x, y), length in zip(corners[1:-1], lengths, strict=False):
        done += length
        figure.append((x - gap_x * done / whole, y - gap_y * done / whole))
    return tuple(figure)


def _walk(sides: tuple[ReadSide, ...], lengths: list[float], spread_deg: float) -> list[Point]:
    corners, heading, x, y = [(0.0, 0.0)], 0.0, 0.0, 0.0
    for side, length in zip(sides, lengths, strict=False):
        x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        corners.append((x, y))
        heading += math.radians(side.turn_deg + spread_deg)
    return corners


def _with_missing(sides: tuple[ReadSide, ...], known: list[float | None], spread_deg: float) -> list[float]:
    """Lengths, those not read so that the walk closes as well as it can."""
    missing = [k for k, length in enumerate(known) if length is None]
    if not missing:
        return [length or 0.0 for length in known]
    ones = np.array(_walk(sides, [1.0] * len(sides), spread_deg))
    directions = np.diff(ones, axis=0)
    fixed = sum(((length or 0.0) * directions[k] for k, length in enumerate(known)), np.zeros(2))
    # a weak pull to a usual length decides what closing alone leaves open
    pull = 1e-3
    left = np.vstack([directions[missing].T, pull * np.eye(len(missing))])
    right = np.concatenate([-fixed, np.full(len(missing), pull * _USUAL_MM)])
    found = np.linalg.lstsq(left, right, rcond=None)[0]
    lengths = [length or 0.0 for length in known]
    for k, length in zip(missing, found, strict=True):
        lengths[k] = max(float(length), SHORTEST_START_MM)
    return lengths
