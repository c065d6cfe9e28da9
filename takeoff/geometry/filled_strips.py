"""Lines that a driver wrote as shapes: thin filled strips, square at their ends or mitred where the next goes on."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

HAIR_MM = 0.4
"""On paper: filled strips this thin and at least SLENDER times as long are lines, drawn as shapes."""
SLENDER = 5.0
LEVEL_SINE, MITRE_COS, LEAST_MM = 0.02, 0.75, 1e-6
"""Long sides are parallel; the ends are cut at no more than about 45°, as where two lines meet square."""
STUB, ALIKE, REACH, TIMES = 1.0, 1.4, 0.75, 3
"""What is no shorter than it is wide goes on from a line that is as wide but for so much, where it ends so many widths
off that one: the end of a wall between its faces, a bend, and what follows on that, so often."""


class FilledStrips(NamedTuple):
    """For each filled shape of four sides: whether it is a thin strip, the line along its middle (n, 4), how wide it
    is. Where it is none the rest says nothing."""

    thin: Bools
    middle: Floats
    wide: Floats


class _Way(NamedTuple):
    """Shapes taken as strips along one pair of their sides: the middle (n, 4), how wide and how long they are, and
    whether they may be strips that way at all."""

    middle: Floats
    wide: Floats
    long: Floats
    fits: Bools


def filled_strips(sides: Floats, pen: Ints) -> FilledStrips:
    """``sides`` (n, 3, 4): the first three sides of each shape, mm on paper; ``pen`` (n,): its ink and layer."""
    corners = np.concatenate((sides[:, :, :2], sides[:, 2:, 2:4]), axis=1)
    ways = (_way(corners), _way(np.roll(corners, 1, axis=1)))
    longer = ways[0].long * ways[0].fits >= ways[1].long * ways[1].fits
    middle, wide, long, fits = (
        np.where(longer[:, None] if one.ndim == 2 else longer, one, other) for one, other in zip(*ways, strict=True)
    )
    thin = fits & (wide <= HAIR_MM) & (long >= SLENDER * wide)
    for _ in range(TIMES):
        more = np.zeros(len(thin), bool)
        for way in ways:
            stubs = np.flatnonzero(way.fits & ~thin & ~more & (way.wide <= HAIR_MM) & (way.long >= STUB * way.wide))
            met = stubs[_going_on(way.middle[stubs], way.wide[stubs], pen[stubs], middle[thin], wide[thin], pen[thin])]
            middle[met], wide[met], more[met] = way.middle[met], way.wide[met], True
        if not more.any():
            break
        thin |= more
    return FilledStrips(thin, middle, wide)


def _way(corners: Floats) -> _Way:
    """Along the first and the third side of shapes (n, 4, 2)."""
    a, b, c, d = (corners[:, k] for k in range(4))
    start, end = (a + d) / 2.0, (b + c) / 2.0
    along = end - start
    long = np.hypot(*along.T)
    one, other = b - a, c - d
    sizes = np.hypot(*one.T), np.hypot(*other.T)
    sine = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
    fits = (long > LEAST_MM) & (np.minimum(*sizes) > LEAST_MM) & (sine <= LEVEL_SINE * sizes[0] * sizes[1])
    wide = np.zeros(len(corners))
    for cut in (d - a, c - b):
        size = np.maximum(np.hypot(*cut.T), LEAST_MM)
        across = np.abs(along[:, 0] * cut[:, 1] - along[:, 1] * cut[:, 0]) / np.maximum(long, LEAST_MM)
        fits &= across >= np.sqrt(1.0 - MITRE_COS**2) * size
        wide = np.maximum(wide, across)
    return _Way(np.hstack((start, end)), wide, long, fits)


def _going_on(middle: Floats, wide: Floats, pen: Ints, lines: Floats, thick: Floats, of: Ints) -> Bools:
    """Which strips end on one of the lines, of their pen and as wide."""
    found = np.zeros(len(middle), bool)
    if not len(middle) or not len(lines):
        return found
    ends = shapely.points(middle.reshape(-1, 2))
    tree = shapely.STRtree(shapely.linestrings(lines.reshape(-1, 2, 2)))
    at, line = tree.query(ends, predicate="dwithin", distance=REACH * np.repeat(wide, 2))
    row = at // 2
    alike = (pen[row] == of[line]) & (np.abs(np.log2(wide[row] / thick[line])) <= np.log2(ALIKE))
    found[row[alike]] = True
    return found
