"""Windows side by side that only a post of their frame parts: one window, as one pays for it and plasters round it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.plan.model import Opening

POST_MM = 225.0
"""A pier of wall between two windows is a brick and a joint long or more; what is narrower is a post of their frame
(common practice, no source)."""
WORST = ("question", "check", "sure")


def as_one(openings: Sequence[Opening]) -> list[Opening]:
    """The openings, windows of one side with no more than a post between them as one of them all; those with marks
    of their own stay."""
    found: list[Opening] = []
    for opening in sorted(openings, key=lambda o: (o.room, o.side, o.offset_mm)):
        if found and _bays(found[-1], opening):
            found[-1] = _joined(found[-1], opening)
        else:
            found.append(opening)
    first = {opening.id: k for k, opening in enumerate(openings)}
    return sorted(found, key=lambda o: first[o.id])


def _bays(one: Opening, other: Opening) -> bool:
    """Whether two windows, the second farther along, are bays of one."""
    alike = (one.room, one.side, one.kind, one.mark) == (other.room, other.side, "window", other.mark)
    level = (one.sill_mm, one.head_mm) == (other.sill_mm, other.head_mm)
    return alike and level and not one.mark and other.offset_mm - one.offset_mm - one.width_mm <= POST_MM


def _joined(one: Opening, other: Opening) -> Opening:
    return msgspec.structs.replace(
        one,
        width_mm=max(one.offset_mm + one.width_mm, other.offset_mm + other.width_mm) - one.offset_mm,
        confidence=min(one.confidence, other.confidence, key=WORST.index),
        evidence=tuple(dict.fromkeys((*one.evidence, *other.evidence))),
    )
