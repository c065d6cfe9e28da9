"""Planes through heights at places of a plan: one where they allow it, else the lowest that reach all."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.errors import InputError

FIT_MM = 10.0
"""Heights this near to a plane lie in it (common practice, no source)."""

_IN_LINE_MM2 = 1e3
"""Three places that span less than this lie in one line."""

_MOST = 40
"""More heights than these are no ceiling that anybody measures corner by corner."""

Height = tuple[float, float, float]
"""(x, y, height), mm"""


class Surface(msgspec.Struct, frozen=True):
    """A plane z = z_mm + slope_x·(x − at_x_mm) + slope_y·(y − at_y_mm)."""

    z_mm: float
    slope_x: float
    slope_y: float
    at_x_mm: float
    at_y_mm: float

    def at(self, x_mm: float, y_mm: float) -> float:
        """Its height over a place, mm."""
        return self.z_mm + self.slope_x * (x_mm - self.at_x_mm) + self.slope_y * (y_mm - self.at_y_mm)


class Through(msgspec.Struct, frozen=True):
    """Planes whose lowest passes through heights; ``off_mm``: by how much it misses each of them."""

    planes: tuple[Surface, ...]
    off_mm: tuple[float, ...]

    @property
    def worst_mm(self) -> float:
        """The largest miss."""
        return max((abs(off) for off in self.off_mm), default=0.0)


def planes_through(heights: Sequence[Height]) -> Through:
    """One height: level. Two: rising from one to the other, level across. More: the plane nearest to all
    where it misses none by more than 10 mm; else the lowest planes that lie under none of them, which
    meet in ridges and hips and pass through every height at a corner that does not jut into the room.

    Raises InputError for no heights and for more than forty.
    """
    if not 0 < len(heights) <= _MOST:
        raise InputError(f"A ceiling is set by one to {_MOST} heights: type some, or set slopes by their eaves.")
    spots = np.array(heights, float)
    one = _nearest(spots)
    missed = _through(spots, (one,))
    if missed.worst_mm <= FIT_MM or len(heights) < 3:
        return missed
    above = _above(spots)
    return _through(spots, above) if above else missed


def _nearest(spots: NDArray[np.float64]) -> Surface:
    """The plane nearest to all heights; the least steep one where they leave it open."""
    middle = spots.mean(axis=0)
    slopes = np.linalg.lstsq(spots[:, :2] - middle[:2], spots[:, 2] - middle[2], rcond=1e-9)[0]
    return Surface(float(middle[2]), float(slopes[0]), float(slopes[1]), float(middle[0]), float(middle[1]))


def _above(spots: NDArray[np.float64]) -> tuple[Surface, ...]:
    """The planes through three heights each that no other height lies above: a roof over all of them."""
    found: list[Surface] = []
    for three in itertools.combinations(range(len(spots)), 3):
        corner = spots[list(three)]
        u, v = corner[1] - corner[0], corner[2] - corner[0]
        across = u[0] * v[1] - u[1] * v[0]
        if abs(across) < _IN_LINE_MM2:
            continue
        slope_x = (u[2] * v[1] - v[2] * u[1]) / across
        slope_y = (v[2] * u[0] - u[2] * v[0]) / across
        plane = Surface(float(corner[0][2]), float(slope_x), float(slope_y), float(corner[0][0]), float(corner[0][1]))
        over = plane.z_mm + slope_x * (spots[:, 0] - plane.at_x_mm) + slope_y * (spots[:, 1] - plane.at_y_mm)
        if float((spots[:, 2] - over).max()) <= FIT_MM / 2.0 and not _known(plane, found, spots):
            found.append(plane)
    return tuple(found)


def _known(plane: Surface, others: Sequence[Surface], spots: NDArray[np.float64]) -> bool:
    """Whether a plane is one of those already, over all the places."""
    return any(all(abs(plane.at(x, y) - other.at(x, y)) <= FIT_MM for x, y, _ in spots) for other in others)


def _through(spots: NDArray[np.float64], planes: tuple[Surface, ...]) -> Through:
    off = tuple(min(plane.at(x, y) for plane in planes) - z for x, y, z in spots)
    return Through(planes, tuple(float(value) for value in off))
