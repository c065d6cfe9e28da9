"""A ceiling from heights read at corners and in the middle."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.geometry.planes import Height, Through, planes_through
from takeoff.plan.model import Field


class CeilingProposal(msgspec.Struct, frozen=True):
    """Planes for the heights (the lowest counts). ``off_mm``: the largest difference to a reading;
    ``words`` says what was made of them; ``sure``: nothing else fits as well."""

    field: Field
    off_mm: float
    words: str
    sure: bool = True


def ceiling_from_heights(corners: Sequence[Height], middle: Height | None = None) -> CeilingProposal | None:
    """The ceiling of the fewest planes through the heights, as ``planes_through`` finds it; to be looked at where
    it misses one by more than 10 mm, and where another ceiling would do as well. None for no heights.

    ``corners`` in the order of the outline.
    """
    if not corners and middle is None:
        return None
    through = planes_through(corners, middle)
    return CeilingProposal(
        Field(planes=through.planes, source="site"), through.worst_mm, _words(through), through.only and through.fits
    )


def _words(through: Through) -> str:
    count = len(through.planes)
    if count > 1:
        return "two slopes" if count == 2 else f"{count} slopes"
    plane = through.planes[0]
    return "one slope" if plane.slope_x or plane.slope_y else "flat"
