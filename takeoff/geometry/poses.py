"""Rigid figures set against each other: where each stands, by weighted least squares."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np

from takeoff.geometry.adjustment import Array, Point, solve

Pose = tuple[float, float, float]
"""(x, y, direction in radians) of a figure's own origin"""


class Meet(msgspec.Struct, frozen=True):
    """A point of figure ``a`` lies on a point of figure ``b``; both in their figure's own mm.

    ``across``: only along this direction of figure ``a`` (walls back to back may slide).
    """

    a: int
    a_point: Point
    b: int
    b_point: Point
    sigma_mm: float
    across: Point | None = None


class Apart(msgspec.Struct, frozen=True):
    """A length read between a point of figure ``a`` and one of figure ``b``."""

    a: int
    a_point: Point
    b: int
    b_point: Point
    mm: float
    sigma_mm: float


Tie = Meet | Apart


class Posed(msgspec.Struct, frozen=True):
    """Where each figure stands, and for each tie by how much it is off, mm (a ``Meet``: the distance
    left between its points, along ``across`` where it has one). ``loose``: figures not fixed."""

    poses: tuple[Pose, ...]
    off_mm: tuple[float, ...]
    loose: tuple[int, ...]


def set_out(start: Sequence[Pose], ties: Sequence[Tie], held: int = 0) -> Posed:
    """Poses that fit the ties best, near ``start``; figure ``held`` stays.

    Raises ValueError where there is no other figure or no tie.
    """
    moving = [k for k in range(len(start)) if k != held]
    # directions in units of a thousandth, so that they weigh like millimetres over a metre
    flat = [v for k in moving for v in (start[k][0], start[k][1], start[k][2] * 1000.0)]

    def poses(x: Array) -> list[Pose]:
        found = list(start)
        for row, k in enumerate(moving):
            found[k] = float(x[3 * row]), float(x[3 * row + 1]), float(x[3 * row + 2]) / 1000.0
        return found

    def evaluate(x: Array) -> tuple[Array, Array]:
        there = poses(x)
        rows = [_rows(tie, there) for tie in ties]
        r = np.array([value for values, _ in rows for value in values])
        j = np.zeros((len(r), len(x)))
        line = 0
        for values, parts in rows:
            for n in range(len(values)):
                for figure, slopes in parts[n]:
                    if figure != held:
                        at = 3 * moving.index(figure)
                        j[line, at : at + 3] += slopes
                line += 1
        return r, j

    fit = solve(evaluate, flat)
    there = tuple(poses(fit.unknowns))
    off = tuple(math.hypot(*_rows(tie, there)[0]) * tie.sigma_mm for tie in ties)
    reach = np.sqrt(fit.free.reshape(len(moving), 3).sum(axis=1))
    return Posed(there, off, tuple(moving[k] for k in np.flatnonzero(reach > 1e-4)))


def put(pose: Pose, point: Point) -> Point:
    """A figure's own point where the pose puts it."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    return pose[0] + point[0] * cos - point[1] * sin, pose[1] + point[0] * sin + point[1] * cos


_Row = list[tuple[int, Array]]


def _rows(tie: Tie, poses: Sequence[Pose]) -> tuple[list[float], list[_Row]]:
    """Differences of a tie in standard deviations, and their slopes by figure."""
    (ax, ay), (bx, by) = put(poses[tie.a], tie.a_point), put(poses[tie.b], tie.b_point)
    gap = np.array([bx - ax, by - ay])
    by_a, by_b = _slopes(poses[tie.a], tie.a_point), _slopes(poses[tie.b], tie.b_point)
    if isinstance(tie, Apart):
        far = max(float(np.hypot(*gap)), 1e-9)
        along = gap / far
        return [(far - tie.mm) / tie.sigma_mm], [
            [(tie.a, -along @ by_a / tie.sigma_mm), (tie.b, along @ by_b / tie.sigma_mm)]
        ]
    if tie.across is None:
        return [float(v) / tie.sigma_mm for v in gap], [
            [(tie.a, -by_a[n] / tie.sigma_mm), (tie.b, by_b[n] / tie.sigma_mm)] for n in (0, 1)
        ]
    cos, sin = math.cos(poses[tie.a][2]), math.sin(poses[tie.a][2])
    n = np.array([cos * tie.across[0] - sin * tie.across[1], sin * tie.across[0] + cos * tie.across[1]])
    turned = np.array([0.0, 0.0, (-n[1] * gap[0] + n[0] * gap[1]) / 1000.0])
    return [float(n @ gap) / tie.sigma_mm], [
        [(tie.a, (turned - n @ by_a) / tie.sigma_mm), (tie.b, n @ by_b / tie.sigma_mm)]
    ]


def _slopes(pose: Pose, point: Point) -> Array:
    """How (x, y) of a point moves with its figure's (x, y, thousandth of direction)."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    return np.array(
        [
            [1.0, 0.0, (-point[0] * sin - point[1] * cos) / 1000.0],
            [0.0, 1.0, (point[0] * cos - point[1] * sin) / 1000.0],
        ]
    )
