"""Doors that are drawn off every wall."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import Finding, Where
from takeoff.geometry.runs import components
from takeoff.recognise.openings.hosting import Candidate
from takeoff.recognise.walls.evidence import Evidence

Floats = NDArray[np.float64]

FRAME_MM = 150.0
"""The parts of one door's drawing lie within this of each other."""
LEAST_DOOR_MM = 500.0
NEAR_OPENING_MM = 300.0


def doors_off_walls(evidence: Evidence, found: list[Candidate], origin: tuple[float, float]) -> list[Finding]:
    """A finding for every door that is drawn where no gap and no wall was found."""
    lines = evidence.leaves
    if not len(lines):
        return []
    taken = [shapely.multipoints(c.lines.reshape(-1, 2)).convex_hull.buffer(NEAR_OPENING_MM) for c in found]
    drawn = shapely.linestrings(lines.reshape(-1, 2, 2))
    a, b = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=FRAME_MM)
    _, label = np.unique(components(len(drawn), a, b), return_inverse=True)
    used = np.zeros(label.max() + 1, bool)
    if taken:
        at, _ = shapely.STRtree(taken).query(drawn, predicate="intersects")
        used[label[at]] = True
    low, high = np.full((len(used), 2), np.inf), np.full((len(used), 2), -np.inf)
    for ends in (lines[:, :2], lines[:, 2:]):
        np.minimum.at(low, label, ends)
        np.maximum.at(high, label, ends)
    size = (high - low).max(axis=1)
    findings = []
    for group in np.flatnonzero(~used & (size >= LEAST_DOOR_MM)).tolist():
        x, y = ((low[group] + high[group]) / 2 + np.array(origin)).tolist()
        text = (
            f"A door is drawn at {x:.0f}, {y:.0f}, some {size[group]:.0f} mm wide, where no gap in a "
            "wall was found: set it by hand if there is one."
        )
        findings.append(Finding("door-off-wall", "check", text, Where(x_mm=x, y_mm=y)))
    return findings
