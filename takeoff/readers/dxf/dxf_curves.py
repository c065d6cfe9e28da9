"""Ellipses and splines as points, close enough that their lengths are at most 0.02 % short."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.readers.dxf.dxf_shapes import CHORD_STEP_RAD

MOST_DEGREE = 25
MOST_CONTROL_POINTS = 20_000
MOST_FIT_POINTS = 2_000
MOST_CURVE_POINTS = 50_000
FIRST_CUT = 8
"""Pieces per span between knots before the turns are looked at."""
MOST_HALVINGS = 10
"""A true kink keeps its turn however fine it is cut, so cutting ends."""
FULL_TURN = 2.0 * math.pi


def ellipse_sweep(start: float, end: float) -> float:
    """The sweep from one parameter to the other, anticlockwise, in (0, 2 pi]."""
    if not (math.isfinite(start) and math.isfinite(end)):
        raise ValueError("an ellipse's parameters are no numbers")
    sweep = (end - start) % FULL_TURN
    return FULL_TURN if sweep < 1e-9 else sweep


def ellipse_points(
    centre: tuple[float, float], major: tuple[float, float], minor: tuple[float, float], start: float, sweep: float
) -> list[tuple[float, float]]:
    """Points along an ellipse from parameter ``start`` over ``sweep``, both ends included."""
    n = max(2, math.ceil(abs(sweep) / CHORD_STEP_RAD))
    t = start + sweep * np.arange(n + 1) / n
    c, s = np.cos(t), np.sin(t)
    x, y = centre[0] + c * major[0] + s * minor[0], centre[1] + c * major[1] + s * minor[1]
    return list(zip(x.tolist(), y.tolist(), strict=True))


def spline_points(control: Sequence[Any], knots: Sequence[float], weights: Sequence[float], degree: int) -> Floats:
    """Points along a B-spline, (n, 2), turning at most 1.5 degrees from one to the next where
    MOST_CURVE_POINTS allow it. Missing knots are uniform and clamped.

    Raises ValueError where the spline is none (degree, counts or knots out of order).
    """
    n = len(control)
    if not 1 <= degree <= MOST_DEGREE or not degree < n <= MOST_CONTROL_POINTS:
        raise ValueError(f"a spline of degree {degree} with {n} control points")
    points = np.array([(p[0], p[1]) for p in control], np.float64)
    knot = np.array(knots, np.float64) if len(knots) == n + degree + 1 else _clamped(n, degree)
    weight = np.array(weights, np.float64) if len(weights) == n else np.ones(n)
    finite = np.isfinite(points).all() and np.isfinite(knot).all() and np.isfinite(weight).all()
    if not finite or (np.diff(knot) < 0.0).any() or (weight <= 0.0).any():
        raise ValueError("a spline whose points, knots or weights are no usable numbers")
    at = np.unique(knot[degree : n + 1])
    if len(at) < 2:
        raise ValueError("a spline without length")
    if degree > 1:
        cuts = np.diff(at)[:, None] * np.arange(FIRST_CUT) / FIRST_CUT
        at = np.append((at[:-1, None] + cuts).ravel(), at[-1])
    made = _evaluate(points, knot, weight, degree, at)
    for _ in range(MOST_HALVINGS if degree > 1 else 0):
        rough = np.flatnonzero(_turns(made) > CHORD_STEP_RAD)
        if not len(rough) or len(at) + 2 * len(rough) > MOST_CURVE_POINTS:
            break
        both = np.unique(np.concatenate((rough, rough + 1)))
        at = np.insert(at, both + 1, (at[both] + at[both + 1]) / 2)
        made = _evaluate(points, knot, weight, degree, at)
    return made


def _clamped(n: int, degree: int) -> Floats:
    inner = np.arange(1.0, n - degree)
    return np.concatenate((np.zeros(degree + 1), inner, np.full(degree + 1, float(n - degree))))


def _evaluate(points: Floats, knot: Floats, weight: Floats, degree: int, at: Floats) -> Floats:
    """De Boor's algorithm for all parameters at once (from memory)."""
    n = len(points)
    span = np.clip(np.searchsorted(knot, at, side="right") - 1, degree, n - 1)
    homogeneous = np.column_stack((points * weight[:, None], weight))
    d = homogeneous[span[:, None] + np.arange(-degree, 1)]
    for r in range(1, degree + 1):
        for j in range(degree, r - 1, -1):
            i = span + j - degree
            low, high = knot[i], knot[i + degree - r + 1]
            width = np.where(high > low, high - low, 1.0)
            share = np.where(high > low, (at - low) / width, 0.0)[:, None]
            d[:, j] = (1.0 - share) * d[:, j - 1] + share * d[:, j]
    result: Floats = d[:, degree, :2] / d[:, degree, 2:]
    return result


def _turns(points: Floats) -> Floats:
    """How far each side turns from the one before it, in radians; 0 where a side has no length."""
    d = np.diff(points, axis=0)
    cross = d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]
    turns: Floats = np.abs(np.arctan2(cross, (d[:-1] * d[1:]).sum(axis=1)))
    return turns
