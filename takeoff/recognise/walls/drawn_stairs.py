"""Stairs among lines taken for walls: treads, the edges of landings, and the rails between two flights. Many
drawings have them on the layer of walls; a stair well is one room all the same."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.recognise.walls.bounding_lines import Lines
from takeoff.recognise.walls.furniture import TREAD_MM, TREAD_OFF_MM, flights

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FACE_MM = (45.0, 450.0)
"""The faces of a wall are so far apart. A line so near beyond the last tread is the other face of a wall, and the
tread may be its near one; the edge of a landing is longer than a tread, but has no longer one at such a distance."""
OVER_PART, SAME_LINE_MM = 0.9, 5.0
"""The edge of a landing runs along so much of a tread."""
RAIL_MM, FEWEST_RAILS, RAIL_OUT_MM = (90.0, 400.0), 3, 350.0
"""Two lines farther apart than the first, with nothing between them, may be a wall between two flights; up to the
second there is a well with rails, three lines or more, which go on beyond the treads by so much."""
PARALLEL_SINE = 0.02


class _Flight(NamedTuple):
    """``rows`` of its treads; its own axes: a point ``start``, the unit direction ``along`` a tread and ``across``
    them, and what it covers on both, ``reach`` along and ``going`` across."""

    rows: Ints
    start: Floats
    along: Floats
    across: Floats
    reach: tuple[float, float]
    going: tuple[float, float]


def treads(lines: Lines, walls: Bools) -> Bools:
    """(n,) which of the lines taken for walls draw stairs: treads, the landing's edge one going on from the last of
    them, and what lies between two flights side by side. A first or last tread stays where it may be the face of a
    wall that the flight runs from or to. Without flights none does."""
    rows = np.flatnonzero(walls)
    found = np.zeros(len(walls), bool)
    xy = lines.xy[rows]
    number = flights(xy)
    drawn = [_flight(xy, np.flatnonzero(number == k)) for k in np.unique(number[number >= 0]).tolist()]
    own = np.zeros(len(rows), bool)
    for flight in drawn:
        own[_of_flight(xy, flight)] = True
    for k, flight in enumerate(drawn):
        for other in drawn[k + 1 :]:
            own[_rails(xy, flight, other)] = True
    found[rows[own]] = True
    return found


def _flight(xy: Floats, rows: Ints) -> _Flight:
    start = xy[rows[0], :2]
    along = (xy[rows[0], 2:] - start) / float(np.hypot(*(xy[rows[0], 2:] - start)))
    across = np.array([-along[1], along[0]])
    ends = xy[rows].reshape(-1, 2) - start
    t, off = ends @ along, ends @ across
    return _Flight(rows, start, along, across, (float(t.min()), float(t.max())), (float(off.min()), float(off.max())))


def _placed(xy: Floats, flight: _Flight) -> tuple[Floats, Floats]:
    """(n, 2) each: where both ends of lines lie along the treads, the lesser first, and across them."""
    ends = xy.reshape(-1, 2, 2) - flight.start
    return np.sort(ends @ flight.along, axis=1), np.sort(ends @ flight.across, axis=1)


def _of_flight(xy: Floats, flight: _Flight) -> Ints:
    """Rows of its treads and of the landings' edges, but for what may be a wall's face."""
    t, off = _placed(xy, flight)
    length = t[:, 1] - t[:, 0]
    level = off[:, 1] - off[:, 0] <= PARALLEL_SINE * np.maximum(length, 1.0)
    low, high = flight.reach
    covers = np.minimum(t[:, 1], high) - np.maximum(t[:, 0], low) >= OVER_PART * (high - low)
    beside = np.flatnonzero(level & covers)
    middle = off[beside].mean(axis=1)
    longer = length[beside] > high - low + TREAD_OFF_MM
    taken = np.isin(beside, flight.rows)
    for edge, sign in ((flight.going[0], -1.0), (flight.going[1], 1.0)):
        beyond = sign * (middle - edge)
        nearest = float(beyond[beyond > TREAD_OFF_MM].min(initial=np.inf))
        within = -beyond[(beyond < -TREAD_OFF_MM) & taken]
        second = float(within.min(initial=np.inf))
        if FACE_MM[0] <= second < TREAD_MM[0]:
            # Both faces of a wall were taken for treads, one of them one going from the second tread.
            taken[beyond >= -second - TREAD_OFF_MM] = False
        elif FACE_MM[0] <= nearest < TREAD_MM[0] or _in_corners(t, off, flight, edge, sign):
            taken[np.abs(beyond) <= TREAD_OFF_MM] = False
        elif nearest <= TREAD_MM[1]:
            edges = np.abs(beyond - nearest) <= TREAD_OFF_MM
            taken[edges] = not (longer[edges].any() and _faced(beyond - nearest, longer))
    return beside[taken]


def _in_corners(t: Floats, off: Floats, flight: _Flight, edge: float, sign: float) -> bool:
    """Whether what bounds the flight on both sides ends at its first or last line, as walls do in the corners of a
    room; beside a tread they go on."""
    upright = t[:, 1] - t[:, 0] <= PARALLEL_SINE * np.maximum(off[:, 1] - off[:, 0], 1.0)

    def bounded(at: float, side: float) -> bool:
        here = upright & (np.abs(t.mean(axis=1) - side) <= TREAD_OFF_MM)
        return bool((here & (off[:, 0] < at) & (off[:, 1] > at)).any())

    inside, outside = edge - sign * 2 * TREAD_OFF_MM, edge + sign * 2 * TREAD_OFF_MM
    return all(bounded(inside, side) and not bounded(outside, side) for side in flight.reach)


def _faced(beyond: Floats, longer: Bools) -> bool:
    """Whether a longer line lies beyond another one as far as the two faces of a wall are apart."""
    return bool((longer & (beyond >= FACE_MM[0]) & (beyond <= FACE_MM[1])).any())


def _rails(xy: Floats, one: _Flight, other: _Flight) -> Ints:
    """Rows of what lies between two flights side by side, where it is more than the two faces of a wall."""
    if abs(float(one.along @ other.across)) > PARALLEL_SINE:
        return np.zeros(0, np.int64)
    t, off = _placed(xy, one)
    ends = xy[other.rows].reshape(-1, 2) - one.start
    low, high = float((ends @ one.along).min()), float((ends @ one.along).max())
    first, last = float((ends @ one.across).min()), float((ends @ one.across).max())
    left, right = (one.reach[1], low) if low >= one.reach[1] - TREAD_OFF_MM else (high, one.reach[0])
    beside = min(last, one.going[1]) - max(first, one.going[0])
    if beside <= 0 or not -TREAD_OFF_MM <= right - left <= RAIL_MM[1]:
        return np.zeros(0, np.int64)
    between = (t[:, 0] >= left - SAME_LINE_MM) & (t[:, 1] <= right + SAME_LINE_MM)
    between &= off[:, 0] >= min(first, one.going[0]) - RAIL_OUT_MM
    between &= off[:, 1] <= max(last, one.going[1]) + RAIL_OUT_MM
    long = between & (off[:, 1] - off[:, 0] >= beside / 2)
    kinds = len(np.unique(np.round(t[long].mean(axis=1) / SAME_LINE_MM)))
    if right - left > RAIL_MM[0] and kinds < FEWEST_RAILS:
        return np.zeros(0, np.int64)
    return np.flatnonzero(between)
