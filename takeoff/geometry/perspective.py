"""Pictures of sheets: straightened by four picked points, scaled by one known length.

A homography maps points (x, y) to (X, Y)/w with [X, Y, w] = H · [x, y, 1]; it is the general
change of view of a plane, and four points of which no three are in line settle it (projective
geometry, textbook).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from takeoff.errors import InputError
from takeoff.language import tr

Floats = NDArray[np.float64]
Point = tuple[float, float]

LEAST_TRIANGLE_SHARE = 1e-3
"""Three of the four points enclosing less than this share of their span squared are in line."""
SHORTEST_SHARE = 1e-9
LARGEST_MM = 1e9
HORIZON = 1e-12


def straighten(points4: Sequence[Point], width: float, height: float) -> Floats:
    """The homography (3, 3) that takes four picked points to a rectangle of known sides.

    ``points4``: its lower left, lower right, upper right and upper left corner as picked, in the
    picture's own coordinates, whichever way its y points. The rectangle is (0, 0) to (width,
    height), y up. Raises InputError where the points make no quadrilateral that can be a
    rectangle in perspective, or a side is no positive number.
    """
    p = np.array(points4, np.float64)
    if p.shape != (4, 2) or not np.isfinite(p).all():
        raise InputError(tr("Straightening needs four points: pick the four corners of a rectangle."))
    if not all(0.0 < side < LARGEST_MM for side in (width, height)):
        raise InputError(tr("The rectangle's sides must be lengths above zero: type its width and height."))
    if not _convex(p):
        raise InputError(
            tr("The four points are in line or out of order: pick a rectangle's corners one after the other.")
        )
    q = np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])
    return _homography(p, q)


def _convex(p: Floats) -> bool:
    """Do the four points turn the same way at every corner, and clearly?"""
    span = float(np.ptp(p, axis=0).max())
    a, b = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    turn = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0
    least = LEAST_TRIANGLE_SHARE * span * span
    return bool(span > 0.0 and (np.all(turn > least) or np.all(turn < -least)))


def _homography(p: Floats, q: Floats) -> Floats:
    """The homography that takes points p (4, 2) to q (4, 2). Both are brought near the unit square
    first, so that the equations are well conditioned whatever the units."""
    to_p, to_q = _normal(p), _normal(q)
    p, q = apply(to_p, p), apply(to_q, q)
    rows, right = [], []
    for (x, y), (u, v) in zip(p.tolist(), q.tolist(), strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    h = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    whole = np.linalg.inv(to_q) @ h @ to_p
    return np.asarray(whole / whole[2, 2])


def _normal(p: Floats) -> Floats:
    """The matrix that brings points about the origin at unit size."""
    middle = p.mean(axis=0)
    k = 1.0 / float(np.abs(p - middle).max())
    return np.array([[k, 0.0, -k * middle[0]], [0.0, k, -k * middle[1]], [0.0, 0.0, 1.0]])


def apply(matrix: Floats, points: Floats) -> Floats:
    """The points (n, 2) seen through a homography; empty gives empty. Points on the horizon, which
    have no place in the plane, become NaN."""
    if not len(points):
        return np.zeros((0, 2))
    xyw = np.column_stack((points, np.ones(len(points)))) @ matrix.T
    w = np.where(np.abs(xyw[:, 2:]) < HORIZON, np.nan, xyw[:, 2:])
    return np.asarray(xyw[:, :2] / w)


def inverse(matrix: Floats) -> Floats:
    """The homography the other way, scaled so that its last number is 1 where it can be."""
    back = np.linalg.inv(matrix)
    scale = float(back[2, 2])
    return np.asarray(back / (scale if abs(scale) > HORIZON else 1.0), np.float64)


def scale_from_known_length(p: Point, q: Point, length_mm: float) -> float:
    """mm per drawing unit (per pixel, or the scale of a sheet in mm) from one known length between
    two points. Raises InputError where the points are one or the length is no positive number.

    >>> scale_from_known_length((0.0, 0.0), (30.0, 40.0), 5000.0)
    100.0
    """
    apart = math.hypot(q[0] - p[0], q[1] - p[1])
    size = max(1.0, *(abs(c) for c in (*p, *q)))
    if not math.isfinite(apart) or apart <= SHORTEST_SHARE * size:
        raise InputError(tr("The two points of the known length are one: pick two that lie far apart."))
    if not 0.0 < length_mm < LARGEST_MM:
        raise InputError(tr("The known length must be above zero: type what is written beside it."))
    return length_mm / apart
