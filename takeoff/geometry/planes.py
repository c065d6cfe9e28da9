"""Planes over a plan: their height over a place, and those that pass through heights read at places.

A ceiling is given here by the lowest of its planes, so that two of them meet in a ridge and three in hips.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

FIT_MM = 10.0
"""Heights within this of each other are level, and heights this near to a plane lie in it (common practice,
no source)."""

_ALIKE_MM = 1.0
"""Of ceilings of equally many planes none misses less by less than this: heights are read to the millimetre."""

_IN_LINE_MM2 = 1e3
"""Three places that span less than this lie in one line."""

_MOST_BY_THREES = 40
"""Of more heights than these not every three are tried: no room is measured at so many corners."""


class Height(NamedTuple):
    """How high a ceiling was read over a place, mm."""

    x_mm: float
    y_mm: float
    z_mm: float


class Plane(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A plane over the plan: z = z_mm + slope_x·(x − at_x_mm) + slope_y·(y − at_y_mm)."""

    z_mm: float
    slope_x: float = 0.0
    slope_y: float = 0.0
    at_x_mm: float = 0.0
    at_y_mm: float = 0.0

    def at(self, x_mm: float, y_mm: float) -> float:
        """Its height over a place of the plan, mm."""
        return self.z_mm + self.slope_x * (x_mm - self.at_x_mm) + self.slope_y * (y_mm - self.at_y_mm)


class Through(msgspec.Struct, frozen=True):
    """Planes whose lowest passes through heights; ``off_mm``: by how much it misses each of them, corners
    first. ``only``: no other ceiling of so many planes passes as near."""

    planes: tuple[Plane, ...]
    off_mm: tuple[float, ...]
    only: bool = True

    @property
    def worst_mm(self) -> float:
        """The largest miss."""
        return max((abs(off) for off in self.off_mm), default=0.0)

    @property
    def fits(self) -> bool:
        """Whether no height is missed by more than 10 mm."""
        return self.worst_mm <= FIT_MM

    @property
    def left_out(self) -> int:
        """How many heights are missed by more than 10 mm."""
        return sum(abs(off) > FIT_MM for off in self.off_mm)


def planes_through(corners: Sequence[Height], middle: Height | None = None) -> Through:
    """The ceiling of the fewest planes that misses no height by more than 10 mm, of equally many the one that
    misses least: level; one slope; two that meet in a ridge or hip; the lowest planes over all heights, which
    pass through every one at a corner that does not jut into the room. Where none fits, the one that leaves
    out the fewest heights, then the one that misses least. (Common practice, no source.)

    ``corners`` in the order of the outline; at least one height is given. One is level; two rise from one to
    the other, level across.
    """
    heights = [*corners, *([middle] if middle is not None else [])]
    level = sum(h.z_mm for h in heights) / len(heights)
    if max(h.z_mm for h in heights) - min(h.z_mm for h in heights) <= FIT_MM:
        return _through(heights, (Plane(z_mm=level),))
    one = _through(heights, (_nearest(heights),), only=len(heights) >= 3)
    if one.fits or len(heights) < 3:
        return one
    found = _ridged(corners, middle)
    if not found or found[0].worst_mm > _ALIKE_MM:
        found += _over_all(heights)
    fitting = [through for through in found if through.fits]
    if fitting:
        return min(fitting, key=lambda t: (len(t.planes), _misses(t)))
    return min((one, *found), key=lambda t: (t.left_out, _misses(t), len(t.planes)))


def _misses(through: Through) -> float:
    """The largest miss in steps that count, so that the first of ceilings alike is taken."""
    return through.worst_mm // _ALIKE_MM


def _through(heights: Sequence[Height], planes: tuple[Plane, ...], only: bool = True) -> Through:
    off = tuple(min(plane.at(h.x_mm, h.y_mm) for plane in planes) - h.z_mm for h in heights)
    return Through(planes, off, only)


def _nearest(heights: Sequence[Height]) -> Plane:
    """The plane nearest to the heights; the least steep one where they leave it open."""
    import numpy as np  # the plan's values are there before the first figure is worked out

    xy = np.array([(h.x_mm, h.y_mm) for h in heights])
    z = np.array([h.z_mm for h in heights])
    at = xy.mean(axis=0)
    a, b = np.linalg.lstsq(xy - at, z - z.mean(), rcond=1e-9)[0]
    return Plane(z_mm=float(z.mean()), slope_x=float(a), slope_y=float(b), at_x_mm=float(at[0]), at_y_mm=float(at[1]))


def _ridged(corners: Sequence[Height], middle: Height | None) -> list[Through]:
    """The best of the ceilings of two planes that fit: for every split of the corners into two runs along the
    outline, the planes nearest to them, with the middle in both; none where no split fits."""
    found = []
    both = [middle] if middle is not None else []
    heights = [*corners, *both]
    for inside, outside in _splits(corners):
        # without a middle the ridge has to be seen from three heights on each side
        if min(len(inside), len(outside)) + len(both) < 3:
            continue
        runs = ([*inside, *both], [*outside, *both])
        planes = (_nearest(runs[0]), _nearest(runs[1]))
        of_runs = (_through(run, (plane,)) for run, plane in zip(runs, planes, strict=True))
        off = max(_through(heights, planes).worst_mm, *(own.worst_mm for own in of_runs))
        if off <= FIT_MM:
            found.append((off, planes))
    found.sort(key=lambda pair: pair[0])
    alike = len(found) > 1 and found[1][0] - found[0][0] <= FIT_MM
    return [_through(heights, planes, only=not alike) for _, planes in found[:1]]


def _splits(corners: Sequence[Height]) -> Iterator[tuple[list[Height], list[Height]]]:
    """An outline's corners as two runs of at least two and the rest, every split once."""
    count = len(corners)
    for start in range(count):
        for long in range(2, count - 1):
            if start + long <= count:
                run = [corners[(start + k) % count] for k in range(count)]
                yield run[:long], run[long:]


def _over_all(heights: Sequence[Height]) -> list[Through]:
    """The lowest planes that lie under no height, as one ceiling: each through three heights that no other lies
    above. None where all places lie in one line, or are too many."""
    if len(heights) > _MOST_BY_THREES:
        return []
    found: list[Plane] = []
    for three in itertools.combinations(heights, 3):
        plane = _through_three(*three)
        if plane is None or any(z - plane.at(x, y) > FIT_MM / 2.0 for x, y, z in heights):
            continue
        if not any(all(abs(plane.at(x, y) - other.at(x, y)) <= FIT_MM for x, y, _ in heights) for other in found):
            found.append(plane)
    return [_through(heights, tuple(found), only=len(found) <= 2)] if found else []


def _through_three(a: Height, b: Height, c: Height) -> Plane | None:
    """The plane through three heights; None where their places lie in one line."""
    bx, by, bz = b.x_mm - a.x_mm, b.y_mm - a.y_mm, b.z_mm - a.z_mm
    cx, cy, cz = c.x_mm - a.x_mm, c.y_mm - a.y_mm, c.z_mm - a.z_mm
    across = bx * cy - by * cx
    if abs(across) < _IN_LINE_MM2:
        return None
    slope_x, slope_y = (bz * cy - cz * by) / across, (cz * bx - bz * cx) / across
    return Plane(z_mm=a.z_mm, slope_x=slope_x, slope_y=slope_y, at_x_mm=a.x_mm, at_y_mm=a.y_mm)
