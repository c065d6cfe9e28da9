"""Which of many points lie near each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Pairs = tuple[Ints, Ints]

MOST_PAIRS = 5_000_000
"""Where more points lie near each other, what is drawn lies in heaps: to compare every pair would take minutes and
gigabytes."""
_MOST_TRIED = 3 * MOST_PAIRS
"""Nine squares cover three times what a circle does."""
_AT_ONCE = 200_000
_HAIR = 1.001
"""Squares are wider than the distance by so much, so that rounding parts no two points that are as far apart."""
_MOST_SQUARES = 2.0**53
"""So many are numbered exactly."""


def pairs_within(xy: Floats, distance: float | Floats) -> Pairs | None:
    """Of points (n, 2) the pairs within a distance, or each within its own (n,), of each other, both ways round, with
    each point and itself among them; without an order. None where they lie in heaps beyond counting, or farther
    apart than squares can be numbered."""
    reach = np.broadcast_to(np.asarray(distance, dtype=float), (len(xy),))
    squares: list[tuple[_Squares, Ints]] = []
    for asked, side in _alike(reach):
        numbered = _numbered(xy, side)
        if numbered is None:
            return None
        squares.append((_Squares(*numbered), asked))
    if sum(own.count(asked) for own, asked in squares) > _MOST_TRIED:
        return None
    found: list[Pairs] = []
    for own, asked in squares:
        for i, j in own.tried(asked):
            off = xy[i] - xy[j]
            near = off[:, 0] ** 2 + off[:, 1] ** 2 <= reach[i] ** 2
            found.append((i[near], j[near]))
    if sum(len(i) for i, _ in found) > MOST_PAIRS:
        return None
    none = np.zeros(0, np.int64)
    return np.concatenate([none, *(i for i, _ in found)]), np.concatenate([none, *(j for _, j in found)])


def with_company(xy: Floats, distance: float) -> Ints:
    """The points (n, 2) in whose square, or in one of the eight around it, another point lies: most ends of a drawing
    lie far from all others, and squares as wide as the distance tell that without measuring."""
    numbered = _numbered(xy, distance)
    if numbered is None:
        return np.arange(len(xy))
    square, rows = numbered
    kept, number, count = np.unique(square, return_inverse=True, return_counts=True)
    crowded = count > 1
    for step in (1, rows - 1, rows, rows + 1):
        at = np.searchsorted(kept, kept + step)
        at[at == len(kept)] = 0
        beside = kept[at] == kept + step
        crowded |= beside
        crowded[at[beside]] = True
    return np.flatnonzero(crowded[number.reshape(-1)])


def _numbered(xy: Floats, distance: float) -> tuple[Ints, int] | None:
    """The number of the square that each point lies in, and by how much those of the next column are higher; None
    where there are too many squares to number."""
    across = (xy - xy.min(axis=0)) // (_HAIR * distance) + 1
    columns, rows = (across.max(axis=0) + 2).tolist()
    if not columns * rows < _MOST_SQUARES:
        return None
    return across[:, 0].astype(np.int64) * int(rows) + across[:, 1].astype(np.int64), int(rows)


def _alike(reach: Floats) -> Iterator[tuple[Ints, float]]:
    """The points whose distances are within the double of each other, with the greatest."""
    left = np.flatnonzero(reach > 0)
    while len(left):
        most = float(reach[left].max())
        own = reach[left] > most / 2.0
        yield left[own], most
        left = left[~own]


class _Squares:
    """Points by the square of a raster that they lie in: those near one are in its square or in the eight around it.
    A tree of points finds the same, and takes five times as long for the points of a drawing."""

    def __init__(self, number: Ints, rows: int) -> None:
        self._number, self._rows = number, rows
        self._order = np.argsort(number)
        self._sorted = number[self._order]

    def count(self, asked: Ints) -> int:
        """How many pairs ``tried`` gives for them."""
        return int(sum(many.sum() for _, many in self._columns(self._number[asked])))

    def tried(self, asked: Ints) -> Iterator[Pairs]:
        """Those asked for with all in the squares about them, some at a time."""
        asked = asked[np.argsort(self._number[asked])]
        for first, count in self._columns(self._number[asked]):
            upto = np.cumsum(count)
            start = 0
            while start < len(asked):
                before = int(upto[start - 1]) if start else 0
                stop = max(start + 1, int(np.searchsorted(upto, before + _AT_ONCE, "right")))
                many = count[start:stop]
                i = np.repeat(np.arange(start, stop), many)
                j = np.arange(len(i)) + np.repeat(first[start:stop] - (upto[start:stop] - many - before), many)
                yield asked[i], self._order[j]
                start = stop

    def _columns(self, number: Ints) -> Iterator[Pairs]:
        """For each of the three columns about squares of these numbers, where the points there begin and how many
        there are."""
        for column in (number - self._rows, number, number + self._rows):
            first = np.searchsorted(self._sorted, column - 1, "left")
            yield first, np.searchsorted(self._sorted, column + 1, "right") - first
