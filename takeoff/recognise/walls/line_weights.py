"""Which pens draw walls, where layers say nothing but how heavy their lines are.

What is cut is drawn heavier than what is seen beyond it, dimensions thinnest (ISO 128 practice,
from memory). It is tried, not believed: a choice of pens counts by the spaces that it walls in."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.room_spaces import Space
from takeoff.recognise.walls.wall_reading import Reading

Bools = NDArray[np.bool_]

MOST_CUTS = 4
FEWEST_LINES = 8
"""Fewer heavy lines are a frame round the sheet, no walls."""
WALLED = 0.9
"""A space counts where so much of its border is wall or a gap in a wall."""
SMALLEST_MM2 = 1.0e6
AGREE_SHARE = 0.02


def heavier(drawing: Drawing, lines: Lines) -> list[Bools]:
    """Outlines of what is filled, then lines at least as heavy as each pen but the lightest, the heaviest
    pens first; none where layers tell what is wall, or all pens are alike and nothing is filled."""
    if is_role(lines, "wall").any():
        return []
    usable = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    solid = np.array([source.role == "solid" for source in drawing.sources] or [False])
    cuts = [usable & solid[lines.source]]
    weight = np.array([layer.weight_mm for layer in drawing.layers] or [0.0])[lines.layer]
    pens = np.unique(weight[usable])[::-1]
    if len(pens) and pens[0] > 0.0:
        # What is filled has no pen: it is at least as heavy as the heaviest.
        weight = np.where(solid[lines.source], pens[0], weight)
        cuts += [usable & (weight >= pen) for pen in pens[:-1]]
    different = [c for k, c in enumerate(cuts) if not any(np.array_equal(c, d) for d in cuts[:k])]
    return [cut for cut in different if cut.sum() >= FEWEST_LINES and (usable & ~cut).any()][:MOST_CUTS]


def by_pens(drawing: Drawing, lines: Lines, read: Callable[[Bools], Reading]) -> Reading | None:
    """The reading of the heavier lines that finds no fewer rooms than all lines together do; None
    where no choice of pens does.

    Rooms are spaces with a printed area in them, else with a name, since furniture along a wall looks
    like a wall too; on a plan without words, spaces that are walled in.
    """
    cuts = heavier(drawing, lines)
    if not cuts:
        return None
    everything = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    readings = [read(cut) for cut in (*cuts, everything)]
    counts = [_rooms(r) for r in readings]
    best = counts.index(max(counts))
    if best == len(cuts) or max(counts) == (0, 0, 0):
        return None
    return readings[best]._replace(wall_layers=True)


def _rooms(reading: Reading) -> tuple[int, int, int]:
    """(spaces whose printed area is theirs, nearly theirs, spaces that are rooms)"""
    kinds = [w.words.kind for w in reading.words]
    agree = (sum(agrees(reading, s, 0.0) for s in reading.spaces), sum(agrees(reading, s) for s in reading.spaces))
    for kind in ("area", "name"):
        if kind in kinds:
            return *agree, sum(any(kinds[w] == kind for w in s.words) for s in reading.spaces)
    return 0, 0, sum(s.support >= WALLED and s.polygon.area >= SMALLEST_MM2 for s in reading.spaces)


def agrees(reading: Reading, space: Space, share: float = AGREE_SHARE) -> bool:
    """Whether an area printed in a space is its own, within its rounding or this share of it."""
    area_m2 = float(space.polygon.area) / 1e6
    printed = [reading.words[w].words for w in space.words if reading.words[w].words.kind == "area"]
    return any(abs(p.value - area_m2) <= max(share * area_m2, p.rounding * (1 + 1e-9) + 1e-6) for p in printed)
