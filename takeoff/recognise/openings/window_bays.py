"""Bays side by side that only a line or a post of their frame parts: one window, as one pays for it and plasters round
it. Windows of unlike widths are windows of their own."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.plan.model import Opening
from takeoff.recognise.walls.believed_gaps import PLAIN_GAP

POST_MM, LINE_MM = 110.0, 5.0
"""A pier of wall between two windows is half a brick wide or more, and has reveals of its own; what is narrower is a
post of their frame (common practice, no source), and what is no wider than a line parts one window."""
ALIKE = 0.8
"""Bays with a post between them are alike: the narrower one is so many times as wide as the other."""
WORST = ("question", "check", "sure")


def as_one(openings: Sequence[Opening]) -> list[Opening]:
    """The openings, bays of one window as one of them all; those with marks of their own stay."""
    groups: list[list[Opening]] = []
    for opening in sorted(openings, key=lambda o: (o.room, o.side, o.offset_mm)):
        if groups and _bays(groups[-1][-1], opening):
            groups[-1].append(opening)
        else:
            groups.append([opening])
    first = {opening.id: k for k, opening in enumerate(openings)}
    return sorted((_joined(group) for group in groups), key=lambda o: first[o.id])


def _bays(one: Opening, other: Opening) -> bool:
    """Whether two windows, the second farther along, are bays of one."""
    same = (one.room, one.side, one.kind, one.mark) == (other.room, other.side, "window", other.mark)
    # A gap may be the pier beside a window: one in question, and one in which nothing is drawn beside glass.
    told = "question" not in (one.confidence, other.confidence)
    told &= (PLAIN_GAP in one.evidence) == (PLAIN_GAP in other.evidence)
    level = (one.sill_mm, one.head_mm) == (other.sill_mm, other.head_mm)
    apart = other.offset_mm - one.offset_mm - one.width_mm
    alike = min(one.width_mm, other.width_mm) >= ALIKE * max(one.width_mm, other.width_mm)
    return same and told and level and not one.mark and (apart <= LINE_MM or (alike and apart <= POST_MM))


def _joined(bays: list[Opening]) -> Opening:
    if len(bays) == 1:
        return bays[0]
    return msgspec.structs.replace(
        bays[0],
        width_mm=max(o.offset_mm + o.width_mm for o in bays) - bays[0].offset_mm,
        confidence=min((o.confidence for o in bays), key=WORST.index),
        evidence=tuple(dict.fromkeys(why for o in bays for why in o.evidence)),
    )
