"""Doors and windows drawn over walls that run through: over single lines, or without jambs."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components
from takeoff.recognise.openings.hosting import Candidate
from takeoff.recognise.walls.evidence import Evidence

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

TOGETHER_MM = 60.0
"""Lines of one window lie within this of each other."""
DEEPEST_MM = 700.0
"""A window is no deeper than a thick wall."""
REACH_MM = 380.0
"""From the middle of a window or a leaf to the face of its wall."""
WIDTH_MM = (300.0, 6000.0)
NEAR_MM = 250.0
BESIDE_MM = 10.0
"""The middle of a window lies in its wall, but for this."""


def loose_openings(
    evidence: Evidence, found: list[Candidate], bodies: NDArray[np.object_] | None = None
) -> tuple[list[Candidate], list[Candidate]]:
    """(windows, doors) drawn where no candidate *found* before accounts for them. ``bodies``: those
    of the walls where they are drawn with two lines; glass that stands in front of one is no window."""
    quads = [shapely.buffer(shapely.multipoints(c.lines.reshape(-1, 2)).convex_hull, NEAR_MM) for c in found]
    taken = shapely.STRtree(quads)
    windows = _windows(evidence.glass_lines, taken)
    if bodies is not None and windows:
        middle = shapely.points([(c.lines[0, :2] + c.lines[0, 2:]) / 2 for c in windows])
        at, _ = shapely.STRtree(bodies).query(middle, predicate="dwithin", distance=BESIDE_MM)
        windows = [windows[k] for k in np.unique(at).tolist()]
    return windows, _doors(evidence, taken)


def _free(points: Floats, taken: shapely.STRtree) -> NDArray[np.bool_]:
    free = np.ones(len(points), bool)
    if len(points) and len(taken.geometries):
        at, _ = taken.query(shapely.points(points), predicate="within")
        free[at] = False
    return free


def _windows(glass: Floats, taken: shapely.STRtree) -> list[Candidate]:
    if not len(glass):
        return []
    glass = glass[_free((glass[:, :2] + glass[:, 2:]) / 2, taken)]
    if not len(glass):
        return []
    drawn = shapely.linestrings(glass.reshape(-1, 2, 2))
    a, b = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=TOGETHER_MM)
    label = components(len(drawn), a, b)
    windows = []
    for group in np.unique(label):
        shape = shapely.oriented_envelope(shapely.multilinestrings(list(drawn[label == group])))
        line = _long_axis(shape)
        if line is not None:
            why = ("glazing drawn over the wall",)
            windows.append(Candidate(line[None, :], "window", "sure", 0.0, why, reach_mm=REACH_MM))
    return windows


def _long_axis(shape: shapely.Geometry) -> Floats | None:
    """[x0, y0, x1, y1] down the middle of a window's rectangle, if it has a window's size."""
    xy = shapely.get_coordinates(shape)
    if len(xy) == 2:
        line = np.concatenate([xy[0], xy[1]])
    elif len(xy) == 5:
        u, v = xy[1] - xy[0], xy[2] - xy[1]
        if np.hypot(*u) < np.hypot(*v):
            xy = np.roll(xy[:4], -1, axis=0)
            u, v = v, u
        if np.hypot(*v) > DEEPEST_MM:
            return None
        line = (
            np.concatenate([xy[0] + v / 2, xy[0] + v / 2 + u])
            if len(xy) == 5
            else np.concatenate([(xy[0] + xy[3]) / 2, (xy[1] + xy[2]) / 2])
        )
    else:
        return None
    width = float(np.hypot(*(line[2:] - line[:2])))
    return line if WIDTH_MM[0] <= width <= WIDTH_MM[1] else None


def _doors(evidence: Evidence, taken: shapely.STRtree) -> list[Candidate]:
    """A swing on a wall that runs through; which end of the arc is the closed one shows where a
    wall runs."""
    swings = evidence.swings
    free = _free(swings.hinge, taken)
    doors = []
    for row in np.flatnonzero(free).tolist():
        lines = np.array([(*swings.hinge[row], *end) for end in swings.ends[row]])
        doors.append(
            Candidate(lines, "door", "check", 0.0, ("a door's swing on a wall that runs through",), reach_mm=REACH_MM)
        )
    return doors
