"""What was said along a wall, said along what the wall is now.

It follows the wall and not its old millimetres: what began at a corner begins at that corner, what reached to the end
reaches to the end, what stood in between stands where it stood in plan. Where a wall was cut, each piece has what lay
on it.
"""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Behind, Exclusion, Part, Side, WallTreatment

replace = msgspec.structs.replace

END_MM = 1.0
"""What ends this near to the end of a wall ends with it."""
LEAST_MM = 1.0
"""What is shorter is nothing."""


class Along(NamedTuple):
    """A wall of the job (``old`` mm long) and what it is now, or a piece of it (``new`` mm long), which begins
    ``shift`` mm from the wall's old start (negative: before it). ``at_start``, ``at_end``: it begins and ends where
    the wall does, wherever that is now."""

    old: float
    new: float
    shift: float
    at_start: bool = True
    at_end: bool = True

    @property
    def is_same(self) -> bool:
        """Whether nothing along it stands elsewhere."""
        return self.at_start and self.at_end and abs(self.shift) < 1e-6 and abs(self.old - self.new) < 1e-6

    def start(self, u: float) -> float:
        """Where a stretch begins that began at u."""
        if self.at_start and u <= END_MM:
            return 0.0
        return self._within(u)

    def end(self, u: float | None) -> float | None:
        """Where a stretch ends that ended at u; None: at the end of the wall."""
        if u is None or u >= self.old - END_MM:
            reaches = self.at_end or self.old - self.shift >= self.new - END_MM
            return None if reaches else self._within(self.old)
        found = self._within(u)
        return found if found < self.new or self.at_end else None

    def _within(self, u: float) -> float:
        return min(max(u - self.shift, 0.0), self.new)

    def stretch(self, from_mm: float, to_mm: float | None) -> tuple[float, float | None] | None:
        """A stretch of the wall now; None where nothing of it is left."""
        start, end = self.start(from_mm), self.end(to_mm)
        if (self.new if end is None else end) - start < LEAST_MM:
            return None
        return start, end


def along_now(old: Curve, new: Curve, at_start: bool = True, at_end: bool = True) -> Along:
    """How what a wall is now lies along what it was."""
    if old.bulge or new.bulge:
        return Along(old.length, new.length, 0.0, at_start, at_end)
    dx, dy = old.direction(0.0)
    shift = (new.x0 - old.x0) * dx + (new.y0 - old.y0) * dy
    return Along(old.length, new.length, shift, at_start, at_end)


def side_along(side: Side, along: Along) -> Side:
    """What was said of a side, along what it is now; its place and its id are not touched."""
    if along.is_same:
        return side
    behind = []
    for one in side.behind:
        stretch = along.stretch(one.from_mm, one.to_mm)
        if stretch is not None:
            behind.append(replace(one, from_mm=stretch[0], to_mm=stretch[1]))
    treatment = side.treatment and treatment_along(side.treatment, along)
    return replace(side, behind=tuple(behind), treatment=treatment)


def treatment_along(treatment: WallTreatment, along: Along) -> WallTreatment:
    """A treatment along what its wall is now."""
    parts = [s for part in treatment.parts_mm if (s := along.stretch(*part)) is not None]
    start = treatment.start_mm
    if start is not None and not along.at_start:
        left = start - along.shift
        start = left if left >= LEAST_MM else None
    end = treatment.end_mm
    if end is not None and not along.at_end:
        left = along.shift + along.new - (along.old - end)
        end = left if left >= LEAST_MM else None
    in_part = treatment.coat and not treatment.is_whole
    return replace(
        treatment,
        coat=treatment.coat and not (in_part and start is None and end is None and not parts),
        start_mm=start,
        end_mm=end,
        parts_mm=tuple(parts),
        exclusions=tuple(e for one in treatment.exclusions if (e := exclusion_along(one, along)) is not None),
    )


def exclusion_along(exclusion: Exclusion, along: Along) -> Exclusion | None:
    """What is left out of a wall, on what the wall is now; None where it lies on it no more."""
    us = [u for u, _, _ in exclusion.outline]
    low, high = min(us), max(us)
    from_start = along.at_start and low <= END_MM
    to_end = along.at_end and high >= along.old - END_MM
    by = -along.shift
    if from_start and to_end:
        grown = along.new - along.old
        outline = tuple((u + grown if u >= along.old - END_MM else u, z, b) for u, z, b in exclusion.outline)
        return replace(exclusion, outline=outline)
    if from_start:
        by = 0.0
    elif to_end:
        by = along.new - along.old
    if high + by < LEAST_MM or low + by > along.new - LEAST_MM:
        return None
    if abs(by) < 1e-9:
        return exclusion
    return replace(exclusion, outline=tuple((u + by, z, bulge) for u, z, bulge in exclusion.outline))


def parts_of(side: Side) -> tuple[tuple[Part, ...], tuple[Behind, ...], tuple[Exclusion, ...]]:
    """The stretches that are said along a side: coated, behind it, left out."""
    treatment = side.treatment
    return (treatment.parts_mm if treatment else (), side.behind, treatment.exclusions if treatment else ())
