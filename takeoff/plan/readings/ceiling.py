"""A ceiling from heights read at corners and in the middle."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from takeoff.geometry.adjustment import Point
from takeoff.plan.model import Field, Plane

FLAT_MM = 10.0
"""Heights within this of each other are one flat ceiling, and a plane this near them fits them
(common practice, no source)."""

Height = tuple[Point, float]
"""((x, y), height above the floor), mm"""


class CeilingProposal(msgspec.Struct, frozen=True):
    """Planes for the heights (the lowest counts). ``off_mm``: the largest difference to a reading;
    ``words`` says what was made of them; ``sure``: nothing else fits as well."""

    field: Field
    off_mm: float
    words: str
    sure: bool = True


def ceiling_from_heights(corners: Sequence[Height], middle: Height | None = None) -> CeilingProposal | None:
    """Flat where all heights are within 10 mm, else one plane, else two that meet in a ridge or hip;
    else the plane nearest to the heights, which is then to be looked at. None for no heights.

    ``corners`` in the order of the outline.
    """
    heights = [*corners, *([middle] if middle else [])]
    if not heights:
        return None
    values = [z for _, z in heights]
    if max(values) - min(values) <= FLAT_MM:
        mean = sum(values) / len(values)
        return CeilingProposal(_field(Plane(z_mm=mean)), max(abs(z - mean) for z in values), "flat")
    one, off = _plane(heights)
    if off <= FLAT_MM and len(heights) > 3:
        return CeilingProposal(_field(one), off, "one slope")
    if off <= FLAT_MM:
        return CeilingProposal(_field(one), off, "one slope", sure=len(heights) == 3)
    pairs = sorted(_pairs(corners, middle), key=lambda pair: pair[0])
    if not pairs:
        return CeilingProposal(_field(one), off, "one slope", sure=False)
    off, first, second = pairs[0]
    alike = len(pairs) > 1 and pairs[1][0] - off <= FLAT_MM
    return CeilingProposal(_field(first, second), off, "two slopes", sure=not alike)


def _field(*planes: Plane) -> Field:
    return Field(planes=planes, source="site")


def _plane(heights: Sequence[Height]) -> tuple[Plane, float]:
    """The plane nearest to the heights (the least steep where they leave it open), and the largest
    difference to them."""
    xy = np.array([p for p, _ in heights])
    z = np.array([value for _, value in heights])
    at = xy.mean(axis=0)
    a, b = np.linalg.lstsq(xy - at, z - z.mean(), rcond=1e-9)[0]
    off = float(np.max(np.abs((xy - at) @ np.array([a, b]) + z.mean() - z)))
    return Plane(
        z_mm=float(z.mean()), slope_x=float(a), slope_y=float(b), at_x_mm=float(at[0]), at_y_mm=float(at[1])
    ), off


def _pairs(corners: Sequence[Height], middle: Height | None) -> list[tuple[float, Plane, Plane]]:
    """(largest difference, two planes) for every split of the corners into two runs along the outline
    such that the lower of two planes through them, and the middle in both, fits every height."""
    found = []
    count = len(corners)
    for start in range(count):
        for long in range(2, count - 1):
            if start + long > count:
                continue
            inside = [corners[(start + k) % count] for k in range(long)]
            outside = [corners[(start + k) % count] for k in range(long, count)]
            both = [middle] if middle else []
            # without a middle the ridge has to be seen from three heights on each side
            if min(len(inside), len(outside)) + len(both) < 3:
                continue
            first, off_a = _plane([*inside, *both])
            second, off_b = _plane([*outside, *both])
            off = max(off_a, off_b, _worst((first, second), [*corners, *both]))
            if off <= FLAT_MM:
                found.append((off, first, second))
    return found


def _worst(planes: Sequence[Plane], heights: Sequence[Height]) -> float:
    return max(abs(min(height_at(plane, p) for plane in planes) - z) for p, z in heights)


def height_at(plane: Plane, point: Point) -> float:
    """The plane's height over a point, mm."""
    return plane.z_mm + plane.slope_x * (point[0] - plane.at_x_mm) + plane.slope_y * (point[1] - plane.at_y_mm)
