"""Which pens draw walls, where layers say nothing but how heavy their lines are.

What is cut is drawn heavier than what is seen beyond it, dimensions thinnest (ISO 128 practice,
from memory). It is tried, not believed: a choice of pens counts by the spaces that it walls in.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.linework import Lines, is_role
from takeoff.recognise.reading import Reading

Bools = NDArray[np.bool_]

MOST_CUTS = 4
FEWEST_LINES = 8
"""Fewer heavy lines are a frame round the sheet, no walls."""
WALLED = 0.9
"""A space counts where so much of its border is wall or a gap in a wall."""
SMALLEST_MM2 = 1.0e6


def heavier(drawing: Drawing, lines: Lines) -> list[Bools]:
    """Lines at least as heavy as each pen but the lightest, the heaviest pens first; none where
    layers tell what is wall, or all pens are alike."""
    weights = np.array([layer.weight_mm for layer in drawing.layers] or [0.0])
    if not weights.any() or is_role(lines, "wall").any():
        return []
    usable = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    weight = weights[lines.layer]
    pens = np.unique(weight[usable])[::-1]
    cuts = [usable & (weight >= pen) for pen in pens[:-1]]
    return [cut for cut in cuts if cut.sum() >= FEWEST_LINES][:MOST_CUTS]


def by_pens(drawing: Drawing, lines: Lines, read: Callable[[Bools], Reading]) -> Reading | None:
    """The reading of the heavier lines that walls in more spaces than all lines together do, or as
    many with fewer lines; None where no choice of pens does."""
    cuts = heavier(drawing, lines)
    if not cuts:
        return None
    everything = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    readings = [read(cut) for cut in (*cuts, everything)]
    counts = [sum(s.support >= WALLED and s.polygon.area >= SMALLEST_MM2 for s in r.spaces) for r in readings]
    best = int(np.argmax(counts))
    return readings[best] if best < len(cuts) and counts[best] else None
