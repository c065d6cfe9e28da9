"""Ellipses and splines as points, close enough that their lengths are at most 0.02 % short."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.readers.dxf.shapes import CHORD_STEP_RAD

MOST_DEGREE = 25
MOST_CONTROL_POINTS = 20_000
MOST_FIT_POINTS = 2_000
MOST_CURVE_POINTS = 50_000
FULL_TURN = 2.0 * math.pi


def ellipse_sweep(start: float, end: float) -> float:
    """The sweep from one parameter to the other, anticlockwise, in (0, 2 pi]."""
    if not (math.isfinite(start) and math.isfinite(end)):
        raise ValueError("an ellipse's parameters are no numbers")
    sweep = (end - start) % FULL_TURN
    return FULL_TURN if sweep < 1e-9 else sweep


def ellipse_points(
    centre: tuple[float, float], major: tuple[float, float], minor: tuple[float, float],
    start: float, sweep: float,
) -> list[tuple[float, float]]:
    """Points along an ellipse from parameter ``start`` over ``sweep``, both ends included."""
    n = max(2, math.ceil(abs(sweep) / CHORD_STEP_RAD))
    points = []
    for i in range(n + 1):
        c, s = math.cos(start + sweep * i / n), math.sin(start + sweep * i / n)
        points.append((centre[0] + c * major[0] + s * minor[0], centre[1] + c * major[1] + s * minor[1]))
    return points


def spline_points(
    control: Sequence[Any], knots: Sequence[float], weights: Sequence[float], degree: int,
) -> Floats:
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
    spans = np.unique(knot[degree:n + 1])
    if len(spans) < 2:
        raise ValueError("a spline without length")
    per_span = 1 if degree == 1 else 8
    while True:
        at = np.concatenate([spans[:-1, None] + np.diff(spans)[:, None] * np.arange(per_span) / per_span])
        at = np.append(at.ravel(), spans[-1])
        made = _evaluate(points, knot, weight, degree, at)
        if degree == 1 or len(at) * 2 > MOST_CURVE_POINTS or _largest_turn(made) <= CHORD_STEP_RAD:
            return made
        per_span *= 2


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


def _largest_turn(points: Floats) -> float:
    """The largest turn between sides, leaving out true kinks (above 60 degrees) that no number of
    points would smooth."""
    d = np.diff(points, axis=0)
    d = d[(d != 0.0).any(axis=1)]
    if len(d) < 2:
        return 0.0
    turn = np.abs(np.arctan2(d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0], (d[:-1] * d[1:]).sum(axis=1)))
    smooth = turn[turn < math.radians(60.0)]
    return float(smooth.max()) if len(smooth) else 0.0
