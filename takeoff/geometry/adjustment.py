"""Points from more readings than they need: lengths and turns adjusted by weighted least squares.

Gauss and Newton's iteration on the readings' differences, each divided by its own standard
deviation, until nothing moves. Every iteration takes the smallest step that solves its linear
problem, so that the figure keeps its place and its direction without any point being held.
Differences that are larger than chance, in the sense of Baarda's data snooping (1968, from memory):
difference / (standard deviation · √ share of control).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Point = tuple[float, float]
Evaluate = Callable[[Array], tuple[Array, Array]]
"""Unknowns → (differences in standard deviations, their derivatives)."""

MOST_STEPS = 60
SMALL_STEP_MM = 1e-7
"""An iteration that moves nothing by more than this is the last."""

RANK_SHARE = 1e-7
"""A singular value under this share of the largest is nought in a step: nothing holds that movement."""

NORMAL_SHARE = 1e-12
"""The same of the normal matrix, whose values are squared; the square of the other share would lie below
what rounding leaves."""

LOOSE_SHARE = 1e-4
"""A point whose part in a free movement is larger than this can move."""

NO_CONTROL = 1e-4
"""A reading with a smaller share of control is checked by no other."""


class Distance(msgspec.Struct, frozen=True):
    """A length read between two points, by their numbers."""

    a: int
    b: int
    mm: float
    sigma_mm: float


class Turn(msgspec.Struct, frozen=True):
    """How much the way a → b → c turns at b, to the left counted positive."""

    a: int
    b: int
    c: int
    rad: float
    sigma_rad: float


Observation = Distance | Turn


class Fit(msgspec.Struct, frozen=True):
    """Unknowns that fit best; ``differences`` (adjusted − read) in standard deviations,
    ``control``: by how much each reading is checked by the others, 0 (not at all) to 1.

    ``rank`` of the readings; ``free``: by how much each unknown is held by no reading, 0 to 1: the squared
    length of its part in an orthonormal basis of the movements that nothing holds.
    """

    unknowns: Array
    differences: Array
    control: Array
    rank: int
    free: Array


class Adjusted(msgspec.Struct, frozen=True):
    """Adjusted points, and of each reading: difference (adjusted − read, mm or rad), share of control
    0 to 1, and its size in standard deviations of its own (0 where nothing checks it).

    ``loose``: points that the readings leave free to move; empty when the figure is fixed.
    ``surplus``: readings more than the figure needs. ``weighted_sum`` of squares, of about ``surplus``.
    """

    points: tuple[Point, ...]
    differences: tuple[float, ...]
    control: tuple[float, ...]
    standard: tuple[float, ...]
    loose: tuple[int, ...]
    surplus: int
    weighted_sum: float


def solve(evaluate: Evaluate, start: Sequence[float]) -> Fit:
    """The unknowns for which the sum of squared differences is least, from ``start``.

    A step that makes it worse is halved. Raises ValueError for no unknowns or no readings.
    """
    x = np.asarray(start, dtype=np.float64)
    r, j = evaluate(x)
    if not x.size or not r.size:
        raise ValueError("an adjustment needs unknowns and readings")
    for _ in range(MOST_STEPS):
        step: Array = np.asarray(np.linalg.lstsq(j, -r, rcond=RANK_SHARE)[0], dtype=np.float64)
        x, r, j, moved = _shortened(evaluate, x, r, j, step)
        if moved <= SMALL_STEP_MM:
            break
    return _fit(x, r, j)


def _shortened(evaluate: Evaluate, x: Array, r: Array, j: Array, step: Array) -> tuple[Array, Array, Array, float]:
    worth = float(r @ r)
    for _ in range(30):
        new_r, new_j = evaluate(x + step)
        if float(new_r @ new_r) <= worth:
            return x + step, new_r, new_j, float(np.max(np.abs(step)))
        step = step / 2.0
    return x, r, j, 0.0


def _fit(x: Array, r: Array, j: Array) -> Fit:
    # the singular values and right vectors of j, by its normal matrix: numpy's SVD of j itself takes thirty
    # times longer where other work wants the processor too, since it waits for its threads
    values, vectors = np.linalg.eigh(np.einsum("ki,kj->ij", j, j))
    held = values > NORMAL_SHARE * values[-1]
    answers = (j @ vectors[:, held]) ** 2 / values[held]
    control = 1.0 - answers.sum(axis=1)
    free = (vectors[:, ~held] ** 2).sum(axis=1)
    return Fit(x, r, np.clip(control, 0.0, 1.0), int(held.sum()), free)


def adjust(start: Sequence[Point], observations: Sequence[Observation]) -> Adjusted:
    """The points that fit all readings best, near ``start``, which also gives place and direction.

    ``start``: mm, roughly the right figure, no two joined points in one place. The first point stays
    where it was given, and so does the direction from it to the second.
    Raises ValueError for fewer than two points or no observations.
    """
    if len(start) < 2:
        raise ValueError("an adjustment needs two points or more")
    sigmas = np.array([o.sigma_mm if isinstance(o, Distance) else o.sigma_rad for o in observations])
    origin = np.array(start[0])

    def evaluate(flat: Array) -> tuple[Array, Array]:
        return _differences(flat.reshape(-1, 2), observations, sigmas)

    fit = solve(evaluate, (np.asarray(start, dtype=np.float64) - origin).ravel())
    points = _as_started(fit.unknowns.reshape(-1, 2), start)
    free = fit.control > NO_CONTROL
    standard = np.where(free, np.abs(fit.differences) / np.sqrt(np.where(free, fit.control, 1.0)), 0.0)
    return Adjusted(
        points=tuple((float(x), float(y)) for x, y in points),
        differences=tuple(float(d) for d in fit.differences * sigmas),
        control=tuple(float(c) for c in fit.control),
        standard=tuple(float(s) for s in standard),
        loose=_loose(fit.unknowns.reshape(-1, 2), fit.free),
        surplus=len(observations) - fit.rank,
        weighted_sum=float(fit.differences @ fit.differences),
    )


def _differences(points: Array, observations: Sequence[Observation], sigmas: Array) -> tuple[Array, Array]:
    r = np.zeros(len(observations))
    j = np.zeros((len(observations), points.size))
    for row, o in enumerate(observations):
        if isinstance(o, Distance):
            length, along = _way(points[o.a], points[o.b])
            r[row] = length - o.mm
            j[row, 2 * o.a : 2 * o.a + 2] -= along
            j[row, 2 * o.b : 2 * o.b + 2] += along
        else:
            r[row] = _turn_row(points, o, j[row])
    return r / sigmas, j / sigmas[:, None]


def _turn_row(points: Array, o: Turn, row: Array) -> float:
    before, into = _way(points[o.a], points[o.b])
    after, out = _way(points[o.b], points[o.c])
    turn = math.atan2(into[0] * out[1] - into[1] * out[0], float(into @ out))
    # the direction of a way changes by the movement across it, over its length
    across_in = np.array([-into[1], into[0]]) / before
    across_out = np.array([-out[1], out[0]]) / after
    row[2 * o.c : 2 * o.c + 2] += across_out
    row[2 * o.b : 2 * o.b + 2] -= across_out + across_in
    row[2 * o.a : 2 * o.a + 2] += across_in
    return math.remainder(turn - o.rad, math.tau)


def _way(a: Array, b: Array) -> tuple[float, Array]:
    """Length and unit direction; two points in one place are kept a hair apart."""
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    if length < 1e-9:
        return 1e-9, np.array([1.0, 0.0])
    return length, (b - a) / length


def _as_started(points: Array, start: Sequence[Point]) -> Array:
    """Moved and turned so that the first point and the direction to the second are as at the start."""
    wanted = math.atan2(start[1][1] - start[0][1], start[1][0] - start[0][0])
    found = math.atan2(points[1][1] - points[0][1], points[1][0] - points[0][0])
    cos, sin = math.cos(wanted - found), math.sin(wanted - found)
    turned = (points - points[0]) @ np.array([[cos, sin], [-sin, cos]])
    return np.asarray(turned + np.array(start[0]))


def _loose(points: Array, free: Array) -> tuple[int, ...]:
    """Points that take part in a free movement other than moving and turning the whole."""
    count = len(points)
    x, y = (points - points.mean(axis=0)).T
    rigid = np.zeros((3, 2 * count))
    rigid[0, 0::2] = rigid[1, 1::2] = 1.0
    rigid[2, 0::2], rigid[2, 1::2] = -y, x
    basis = np.linalg.qr(rigid.T)[0]
    # moving and turning the whole is always free: what is free beyond that
    rest = free - (basis**2).sum(axis=1)
    reach = np.sqrt(np.clip(rest, 0.0, 1.0).reshape(count, 2).sum(axis=1))
    return tuple(int(k) for k in np.flatnonzero(reach > LOOSE_SHARE))
