"""Looking for the reading that is wrong: the one whose removal helps most."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.geometry.adjustment import NO_CONTROL, Adjusted, Distance, Observation, Point, adjust

SUSPECT = 3.29
"""Standard deviations above which a difference is hardly chance: one in a thousand, as is usual in
data snooping (Baarda 1968, from memory)."""

MOST_TRIED = 12
"""So many readings, those that stand out most, are left out in turn: the wrong one is among them, since
without bending leaving one out helps by the square of its own test."""

_ALIKE = 0.9
"""Readings whose removal helps nearly as much as that of the best cannot be told from it."""


def suspects(
    start: Sequence[Point], observations: Sequence[Observation], adjusted: Adjusted
) -> tuple[tuple[int, float], ...]:
    """(index, what the others say − what was read, mm or rad) of the reading whose removal helps most,
    and of those that cannot be told from it; () where all differences may be chance.

    Those that stand out are left out in turn and the figure adjusted again, since with a blunder of a metre
    the first figure is too far off for its own test to be trusted.
    """
    if adjusted.surplus < 1 or max(adjusted.standard) < SUSPECT:
        return ()
    helped = []
    checked = [index for index in range(len(observations)) if adjusted.control[index] >= NO_CONTROL]
    for index in sorted(checked, key=lambda index: -adjusted.standard[index])[:MOST_TRIED]:
        reading = observations[index]
        rest = [*observations[:index], *observations[index + 1 :]]
        without = adjust(start, rest)
        if without.loose:
            continue
        helped.append((adjusted.weighted_sum - without.weighted_sum, index, _said(without, reading)))
    best = max((gain for gain, _, _ in helped), default=0.0)
    if best < SUSPECT**2:
        return ()
    alike = sorted((-gain, index, off) for gain, index, off in helped if gain >= _ALIKE * best)
    return tuple((index, off) for _, index, off in alike)


def _said(without: Adjusted, reading: Observation) -> float:
    """What the other readings give for this one, less what was read."""
    a, b = without.points[reading.a], without.points[reading.b]
    if isinstance(reading, Distance):
        return math.dist(a, b) - reading.mm
    c = without.points[reading.c]
    into, out = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return math.remainder(out - into - reading.rad, math.tau)
