"""Leaves that slide into the wall beside their way, or along it, drawn half open: between its faces as a pocket holds
them, or close before one of them (common practice of drawing, no source)."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.reasons import because
from takeoff.recognise.walls.believed_gaps import DOORWAY_MM, SLID_LENGTH, Gap, frame_of, placed_along

Floats = NDArray[np.float64]

THICK_MM = (15.0, 60.0)
"""The two faces of a leaf lie so far apart (common practice, no source)."""
INSET_MM = 10.0
"""A leaf clears the faces of its wall by so much: what runs along a face is a lining, a sill or a threshold."""
ALIKE_MM = 5.0
IN_WAY, IN_POCKET = 0.15, 0.15
"""So much of the way's width lies before the leaf, and so much of it within the wall beside."""
BEFORE_MM, BEFORE_WAY = (5.0, 120.0), 0.5
"""A leaf that runs before its wall hangs so far from the face, and shuts more of the way than it leaves open: shelves
and boards stand beside a way."""


def with_pocket_doors(gaps: list[Gap], leaves: Floats) -> list[Gap]:
    """The gaps, plain ones as wide as a door now doors where a leaf among ``leaves`` (n, 4), lines that are no walls,
    runs from the way into the wall beside it."""
    if not gaps or not len(leaves):
        return gaps
    near = shapely.STRtree(shapely.linestrings(leaves.reshape(-1, 2, 2)))
    return [_slid(gap, leaves, near) for gap in gaps]


def _slid(gap: Gap, leaves: Floats, near: shapely.STRtree) -> Gap:
    bridge = gap.bridge
    plain = gap.kind == "open" and not gap.confirmed and len(bridge.lines) == 2
    if not plain or not DOORWAY_MM[0] <= bridge.width_mm <= DOORWAY_MM[1]:
        return gap
    start, along, sides = frame_of(bridge)
    rows = near.query(gap.quad, predicate="dwithin", distance=BEFORE_MM[1]).tolist()
    beside = [placed_along(leaves[row], start, along) for row in rows]
    faces = [_span(t, off) for t, off in beside if _half_open(t, off, bridge.width_mm, sides)]
    for k, (low, high, at) in enumerate(faces):
        for other_low, other_high, other in faces[:k]:
            level = max(abs(low - other_low), abs(high - other_high)) <= ALIKE_MM
            if level and THICK_MM[0] <= abs(at - other) <= THICK_MM[1]:
                return gap._replace(kind="door", confirmed=True, why=(because("sliding-leaf"),))
    return gap


def _span(along: Floats, off: Floats) -> tuple[float, float, float]:
    """Where a line begins and ends along the wall, and where it lies across it."""
    return float(along.min()), float(along.max()), float(off.mean())


def _half_open(along: Floats, off: Floats, width: float, sides: tuple[float, float]) -> bool:
    """Whether a line is a leaf's face that stands partly in the way, or before it, and partly in the wall beside."""
    low, high, _at = _span(along, off)
    level = float(off.max() - off.min()) <= ALIKE_MM
    within = sides[0] + INSET_MM <= off.min() and off.max() <= sides[1] - INSET_MM
    clear = max(sides[0] - float(off.max()), float(off.min()) - sides[1])
    before = BEFORE_MM[0] <= clear <= BEFORE_MM[1]
    long = SLID_LENGTH[0] * width <= high - low <= SLID_LENGTH[1] * width
    in_way = min(high, width) - max(low, 0.0)
    in_wall = max(-low, high - width)
    shuts = within or (before and in_way >= BEFORE_WAY * width)
    return level and shuts and long and in_way >= IN_WAY * width and in_wall >= IN_POCKET * width
