"""The slashes that end dimensions, where no layer tells them: they are no ends of walls, though one looks at the other
across a room's corner."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.walls.bounding_lines import Lines, is_role, laborious

Bools = NDArray[np.bool_]

TICK_MM = (50.0, 700.0)
"""On paper a slash is 1 to 7 mm long, on plans of 1:50 and 1:100 (common practice, no source)."""
LENGTH_STEP_MM, ANGLE_STEP_DEG = 10.0, 3.0
"""Slashes of one hand are as long and as slanted as one another, within these."""
FEWEST, MOST_PART = 8, 0.6
"""So many alike, and this part of them on a line, are slashes."""
ON_MM, SLANTED_SINE = 8.0, (0.5, 0.87)
"""A slash's middle lies on the line that it ends, at 30 to 60 degrees to it."""


def without_ticks(lines: Lines) -> Lines:
    """The lines, slashes that end dimensions given the role of dimensions where their layer says nothing or walls.
    Without such it is the same."""
    d = lines.xy[:, 2:] - lines.xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    own = is_role(lines, "unknown", "wall") & ~lines.hatch & ~lines.dashed & (lines.arc < 0)
    rows = np.flatnonzero(own & (length >= TICK_MM[0]) & (length <= TICK_MM[1]))
    if len(rows) < FEWEST or laborious(lines.xy[own]):
        return lines
    angle = np.degrees(np.arctan2(d[rows, 1], d[rows, 0])) % 180.0
    key = np.stack(
        [lines.layer[rows], np.round(length[rows] / LENGTH_STEP_MM), np.round(angle / ANGLE_STEP_DEG)], axis=1
    )
    group = np.unique(key.astype(np.int64), axis=0, return_inverse=True)[1].ravel()
    many = np.bincount(group) >= FEWEST
    rows, group = rows[many[group]], group[many[group]]
    if not len(rows):
        return lines
    slashed = _across_a_line(lines, rows, length)
    count, found = np.bincount(group), np.bincount(group, slashed)
    ticks = slashed & ((found >= FEWEST) & (found >= MOST_PART * count))[group]
    role = lines.role.copy()
    role[rows[ticks]] = "dimension"
    return lines._replace(role=role)


def _across_a_line(lines: Lines, rows: NDArray[np.int64], length: NDArray[np.float64]) -> Bools:
    """Which of these lines have their middle on a longer one, slanted to it."""
    longer = np.flatnonzero(~lines.hatch & (length > 2.0 * TICK_MM[0]))
    tree = shapely.STRtree(shapely.linestrings(lines.xy[longer].reshape(-1, 2, 2)))
    middle = (lines.xy[rows, :2] + lines.xy[rows, 2:]) / 2.0
    i, k = tree.query(shapely.points(middle), predicate="dwithin", distance=ON_MM)
    j = longer[k]
    unit = (lines.xy[:, 2:] - lines.xy[:, :2]) / np.maximum(length, 1e-9)[:, None]
    a, b = unit[rows[i]], unit[j]
    sine = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    fits = (sine >= SLANTED_SINE[0]) & (sine <= SLANTED_SINE[1]) & (length[j] > 2.0 * length[rows[i]])
    on = np.zeros(len(rows), bool)
    on[i[fits]] = True
    return on
