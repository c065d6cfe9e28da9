"""What can be reached from a point among lines without going through places that are narrower than a door.

The ground round the point is laid out in small squares. A disc that starts at the point and may not touch a
line comes into every part of the room that it fits into, and through no gap that is narrower than it: what it
covers is the room, but for the corners and niches that it is too large for. These are the small dead ends beside
what it covers; where more lies behind, there is a mouth, which ends at the two places that the disc touches."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

ROUND_MM = (200.0, 350.0, 480.0, 620.0, 900.0, 1300.0)
"""Half the widths of what is taken for shut: a small door, a usual one, one with its frame, a double door, and ways
between parts of a room (common practice, no source)."""
NICHE_MM2, NICHE_DEEP = 1.5e6, 1.6
"""A dead end of no more ground, and no deeper than so many times its mouth, belongs to the room."""
NICHE_ROUND_MM, NICHE_ROUND = 300.0, 0.42
"""Nothing larger fits into such a dead end: half its width in mm, or as a part of the disc's."""
TOUCH = 1.9
"""A line this many squares away is touched."""


class Field(NamedTuple):
    """Ground in squares of ``size_mm`` from ``low``: ``free`` (rows, columns) where no line is, and how far in mm the
    next one is."""

    low: tuple[float, float]
    size_mm: float
    free: Bools
    room_mm: NDArray[np.float32]


class Reached(NamedTuple):
    """``inside`` squares, first row and column of which in the field are ``at``; ``mouths``: for each two groups of
    squares (k, 2) rows and columns of the field, which lines touch where it ends; ``whole``: it ends within the
    field."""

    inside: Bools
    at: tuple[int, int]
    mouths: list[tuple[Ints, Ints]]
    whole: bool

    @property
    def inner(self) -> tuple[int, int]:
        """The first row and column that are inside."""
        rows, columns = np.flatnonzero(self.inside.any(axis=1)), np.flatnonzero(self.inside.any(axis=0))
        return self.at[0] + int(rows[0]), self.at[1] + int(columns[0])


def field(xy: Floats, low: tuple[float, float], high: tuple[float, float], size_mm: float) -> Field:
    """The ground between two corners with lines (n, 4) on it. Without lines all is free."""
    shape = tuple(int(np.ceil((b - a) / size_mm)) for a, b in zip(low[::-1], high[::-1], strict=True))
    free = np.ones(shape, bool)
    if len(xy):
        count = np.ceil(np.hypot(*(xy[:, 2:] - xy[:, :2]).T) / (size_mm * 0.45)).astype(np.int64) + 1
        row = np.repeat(np.arange(len(xy)), count + 1)
        nth = np.arange(len(row)) - np.repeat(np.cumsum(count + 1) - count - 1, count + 1)
        part = (nth / count[row])[:, None]
        spot = np.floor((xy[row, :2] * (1 - part) + xy[row, 2:] * part - low) / size_mm).astype(np.int64)
        spot = spot[((spot >= 0) & (spot < np.array(shape[::-1]))).all(axis=1)]
        free[spot[:, 1], spot[:, 0]] = False
    if free.all():
        return Field(low, size_mm, free, np.full(shape, 1e9, np.float32))
    return Field(low, size_mm, free, (ndimage.distance_transform_edt(free) * size_mm).astype(np.float32))


def reached(ground: Field, points: Floats, round_mm: float) -> list[Reached]:
    """What a disc reaches that starts so as to cover one of the points (n, 2); none where it does not fit in."""
    size = ground.size_mm
    spots = np.floor((points - np.array(ground.low)) / size).astype(np.int64)
    starts = {start for column, row in spots.tolist() if (start := _start(ground, row, column, round_mm)) is not None}
    if not starts:
        return []
    labels, _ = ndimage.label(ground.room_mm > round_mm)
    boxes = ndimage.find_objects(labels)
    pad = int(round_mm / size) + 4
    found = []
    for label in dict.fromkeys(int(labels[start]) for start in sorted(starts)):
        box = tuple(
            slice(max(s.start - pad, 0), min(s.stop + pad, n))
            for s, n in zip(boxes[label - 1], labels.shape, strict=True)
        )
        core, free, room = labels[box] == label, ground.free[box], ground.room_mm[box]
        at = (box[0].start, box[1].start)
        rim = core[0].any() or core[-1].any() or core[:, 0].any() or core[:, -1].any()
        if rim:
            found.append(Reached(core, at, [], False))
            continue
        grown = (ndimage.distance_transform_edt(~core) * size <= round_mm) & free
        whole = not (grown[0].any() or grown[-1].any() or grown[:, 0].any() or grown[:, -1].any())
        inside, mouths = _with_niches(grown, free, room, round_mm, size)
        shift = np.array(at)
        found.append(Reached(inside, at, [(a + shift, b + shift) for a, b in mouths], whole))
    return found


def _start(ground: Field, row: int, column: int, round_mm: float) -> tuple[int, int] | None:
    """The square with most room round it whose disc covers the point."""
    reach = int(round_mm / ground.size_mm)
    top, left = max(row - reach, 0), max(column - reach, 0)
    near = ground.room_mm[top : row + reach + 1, left : column + reach + 1]
    if not near.size:
        return None
    rows, columns = np.ogrid[top : top + near.shape[0], left : left + near.shape[1]]
    off = np.hypot(rows - row, columns - column) * ground.size_mm
    fits = np.where((near > round_mm) & (off < near), near - off, -1.0)
    if fits.max() < 0:
        return None
    k = np.unravel_index(int(fits.argmax()), fits.shape)
    return int(k[0]) + top, int(k[1]) + left


def _with_niches(
    grown: Bools, free: Bools, room: NDArray[np.float32], round_mm: float, size: float
) -> tuple[Bools, list[tuple[Ints, Ints]]]:
    labels, count = ndimage.label(free & ~grown)
    inside = grown.copy()
    mouths: list[tuple[Ints, Ints]] = []
    if not count:
        return inside, mouths
    edge = ndimage.binary_dilation(grown) & (labels > 0)
    area = np.bincount(labels.ravel(), minlength=count + 1) * size * size
    contact = np.bincount(labels[edge], minlength=count + 1) * size
    widest = ndimage.maximum(room, labels, np.arange(count + 1))
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    niche = (area <= NICHE_MM2) & (widest <= max(NICHE_ROUND_MM, NICHE_ROUND * round_mm))
    niche &= area <= NICHE_DEEP * contact**2
    niche[rim] = False
    niche[0] = False
    inside |= niche[labels]
    beyond = edge & ~niche[labels]
    curves, _many = ndimage.label(beyond, np.ones((3, 3)))
    for k, spot in enumerate(ndimage.find_objects(curves), 1):
        grow = tuple(slice(max(s.start - 3, 0), s.stop + 3) for s in spot)
        ends = _ends(curves[grow] == k, ~free[grow])
        shift = np.array([grow[0].start, grow[1].start])
        mouths += [(a + shift, b + shift) for a, b in ends]
    return inside, mouths


def _ends(curve: Bools, lines: Bools) -> list[tuple[Ints, Ints]]:
    """The groups of line squares that a curve of squares touches, by two."""
    near = lines & (ndimage.distance_transform_edt(~curve) <= TOUCH)
    groups, count = ndimage.label(near, np.ones((3, 3)))
    spots = [np.argwhere(groups == k) for k in range(1, count + 1)]
    if len(spots) < 2:
        return []
    if len(spots) == 2:
        return [(spots[0], spots[1])]
    middles = np.array([s.mean(axis=0) for s in spots])
    # along the curve from the two that lie farthest apart
    far = np.hypot(*(middles[:, None] - middles[None]).transpose(2, 0, 1))
    first = int(np.unravel_index(int(far.argmax()), far.shape)[0])
    order = np.argsort(far[first])
    return [(spots[a], spots[b]) for a, b in itertools.pairwise(order.tolist())]
