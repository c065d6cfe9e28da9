"""Béziers become what a plan is drawn with: straight sides, arcs of circles, else chords."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Floats

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

ROUND_SHARE = 6e-4
"""A cubic that stands for a quarter of a circle is off it by 2.7e-4 of the radius at most."""
ROUND_MM = 0.005
"""And coordinates are rounded: so much on paper, 0.5 mm of a building at 1:100."""
STRAIGHT_MM = 0.005
CHORD_MM = 0.005
MOST_CHORDS = 64
LEAST_BULGE = 1e-4
SAMPLES = np.arange(1, 8) / 8.0
MOST_PIECES = 1_000_000
"""Sides and chords of a page, counted before they are made: 300,000 curves of a file of 1 MB would come to
20 million and take 7 GB. A sheet of a whole tower with its hatches has some 300,000."""


class TooManyPieces(Exception):
    """The curves of a page would come to more pieces than MOST_PIECES."""

    def __init__(self, count: int) -> None:
        super().__init__(count)
        self.count = count


class Pieces(NamedTuple):
    """Straight sides and arcs in drawing order, mm on paper: ``xyxyb`` (n, 5) x0 y0 x1 y1 bulge,
    ``path`` (n,) the subpath of each; ``chorded`` how many curves were cut into chords."""

    xyxyb: Floats
    path: Ints
    chorded: int


def pieces(sides: Floats, curve: Ints, path: Ints, controls: Floats) -> Pieces:
    """The pieces of all sides (n, 4); ``curve`` (n,) is the row in ``controls`` (c, 4) or -1."""
    straight = np.column_stack((sides, np.zeros(len(sides))))
    bent = np.flatnonzero(curve >= 0)
    if not len(bent):
        return Pieces(straight, path, 0)
    points = np.concatenate((sides[bent, :2], controls[curve[bent]], sides[bent, 2:]), axis=1)
    points = points.reshape(-1, 4, 2)
    bulge, simple = _circular(points)
    straight[bent[simple], 4] = bulge[simple]
    cut = bent[~simple]
    count = np.ones(len(sides), np.int64)
    count[cut] = _chords(points[~simple])
    refuse_too_many(count)
    owner = np.repeat(np.arange(len(sides)), count)
    made = straight[owner]
    _fill_chords(made, owner, cut, points[~simple], count)
    return Pieces(made, path[owner], len(cut))


def refuse_too_many(count: Ints) -> None:
    """Raises TooManyPieces where so many come of each side that they are more than can be measured."""
    total = int(count.sum())
    if total > MOST_PIECES:
        raise TooManyPieces(total)


def _circular(p: Floats) -> tuple[Floats, Bools]:
    """Bulge of each cubic (n, 4, 2), 0 for a straight one, and whether it is straight or round."""
    chord = p[:, 3] - p[:, 0]
    length = np.hypot(chord[:, 0], chord[:, 1])
    safe = np.where(length > 0.0, length, 1.0)
    off = _cross(chord[:, None, :], p[:, 1:3] - p[:, :1]) / safe[:, None]
    straight = (np.abs(off).max(axis=1) <= STRAIGHT_MM) & (length > STRAIGHT_MM)
    middle = cubic(p, np.array([0.5]))[:, 0]
    bulge = -2.0 * _cross(chord, middle - p[:, 0]) / safe**2
    bent = (np.abs(bulge) > LEAST_BULGE) & (length > STRAIGHT_MM) & ~straight
    b = np.where(bent, bulge, 1.0)
    left = np.stack((-chord[:, 1], chord[:, 0]), axis=1)
    centre = (p[:, 0] + p[:, 3]) / 2.0 + left * ((1.0 - b * b) / (4.0 * b))[:, None]
    radius = length * (1.0 + b * b) / (4.0 * np.abs(b))
    away = np.hypot(*np.moveaxis(cubic(p, SAMPLES) - centre[:, None, :], 2, 0)) - radius[:, None]
    limit = ROUND_SHARE * radius + np.minimum(ROUND_MM, np.abs(b) * length / 20.0)
    round_ = bent & (np.abs(away).max(axis=1) <= limit)
    return np.where(round_, bulge, 0.0), straight | round_


def cubic(p: Floats, t: Floats) -> Floats:
    """Points (n, k, 2) of cubics (n, 4, 2) at the parameters (k,)."""
    s = 1.0 - t
    weights = np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3), axis=1)
    return np.asarray(np.einsum("kj,njc->nkc", weights, p))


def _chords(p: Floats) -> Ints:
    """How many chords keep within CHORD_MM of each cubic."""
    bend = np.maximum(np.hypot(*(p[:, 0] - 2 * p[:, 1] + p[:, 2]).T), np.hypot(*(p[:, 1] - 2 * p[:, 2] + p[:, 3]).T))
    count = np.ceil(np.sqrt(0.75 * bend / CHORD_MM))
    return np.asarray(np.clip(count, 1, MOST_CHORDS), np.int64)


def _fill_chords(made: Floats, owner: Ints, cut: Ints, p: Floats, count: Ints) -> None:
    """Writes the chords of the cubics that sides ``cut`` are into their rows of ``made``."""
    first = np.concatenate(([0], np.cumsum(count)))[cut]
    number = count[cut]
    row = np.repeat(np.arange(len(cut)), number)
    nth = np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)
    rows = first[row] + nth
    for column, shift in ((0, 0), (2, 1)):
        t = (nth + shift) / number[row]
        s = 1.0 - t
        weights = np.stack((s**3, 3 * s * s * t, 3 * s * t * t, t**3), axis=1)
        made[rows, column : column + 2] = np.einsum("nj,njc->nc", weights, p[row])


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
