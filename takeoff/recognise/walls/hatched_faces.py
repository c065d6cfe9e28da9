"""Walls that are told by what fills them: strokes of hatching that run from one face to the other.

What is cut is hatched on working drawings, what is seen beyond it is not (ISO 128 practice, from memory): where many
lines have such strokes ending on them all along, these are the faces of the walls, and furniture, fittings, axes and
dimension lines are not."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.walls.bounding_lines import THICKEST_MM, Lines, is_role

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

STROKE_MM = (40.0, 2.0 * THICKEST_MM)
"""Strokes of hatching between faces are as long as walls are thick, or half as long again where they slant."""
ON_MM, SLANT_SINE = 6.0, 0.35
"""A stroke ends on a face within the first, at 20 degrees to it or more."""
FEWEST_ENDS, ALONG_PART, SPACING_MM = 3, 0.6, 450.0
"""A face has so many ends of strokes on it, no farther apart than the last, along this part of its length."""
FEWEST_FACES = 12
"""Fewer faces are a column or a sample in a legend."""
SQUARE_SINE, ALONG_SINE = 0.9, 0.05
CLOSING_MM, TOUCH_MM = 1.3 * THICKEST_MM, 12.0
"""What ends walls at openings runs from face to face, and is no longer."""


def hatched_faces(lines: Lines) -> Bools:
    """Which lines are faces of walls that are filled with strokes, and those that end such walls; none where hardly a
    wall is."""
    none = np.zeros(len(lines.xy), bool)
    d = lines.xy[:, 2:] - lines.xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    shown = ~lines.hidden & ~lines.dashed & (lines.arc < 0)
    strokes = shown & is_role(lines, "hatch") & (length >= STROKE_MM[0]) & (length <= STROKE_MM[1])
    usable = shown & ~lines.hatch & is_role(lines, "unknown", "wall", "column") & (length >= STROKE_MM[0])
    rows, faces = np.flatnonzero(strokes), np.flatnonzero(usable)
    if len(rows) < FEWEST_FACES or not len(faces):
        return none
    ends = lines.xy[rows].reshape(-1, 2)
    tree = shapely.STRtree(shapely.linestrings(lines.xy[faces].reshape(-1, 2, 2)))
    i, k = tree.query(shapely.points(ends), predicate="dwithin", distance=ON_MM)
    stroke, face = rows[i // 2], faces[k]
    sine = np.abs(d[stroke, 0] * d[face, 1] - d[stroke, 1] * d[face, 0]) / (length[stroke] * length[face])
    i, face = i[sine >= SLANT_SINE], face[sine >= SLANT_SINE]
    along = ((ends[i] - lines.xy[face, :2]) * d[face]).sum(axis=1) / length[face]
    found = none.copy()
    order = np.lexsort((along, face))
    starts = np.flatnonzero(np.diff(face[order], prepend=-1))
    for at in np.split(order, starts[1:]) if len(order) else ():
        row = int(face[at[0]])
        steps = np.diff(np.clip(along[at], 0.0, length[row]), prepend=0.0, append=length[row])
        covered = steps[steps <= SPACING_MM].sum()
        found[row] = len(at) >= FEWEST_ENDS and covered >= ALONG_PART * length[row]
    if found.sum() < FEWEST_FACES:
        return none
    return found | _between(lines, usable & ~found & (length <= CLOSING_MM), found)


def _between(lines: Lines, short: Bools, faces: Bools) -> Bools:
    """Which of the short lines have both ends on faces that they stand square to."""
    on = np.zeros(len(lines.xy), bool)
    rows, own = np.flatnonzero(short), np.flatnonzero(faces)
    if not len(rows):
        return on
    d = lines.xy[:, 2:] - lines.xy[:, :2]
    length = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
    tree = shapely.STRtree(shapely.linestrings(lines.xy[own].reshape(-1, 2, 2)))
    i, k = tree.query(shapely.points(lines.xy[rows].reshape(-1, 2)), predicate="dwithin", distance=TOUCH_MM)
    a, b = rows[i // 2], own[k]
    square = np.abs(d[a, 0] * d[b, 1] - d[a, 1] * d[b, 0]) >= SQUARE_SINE * length[a] * length[b]
    hit = np.zeros(2 * len(rows), bool)
    hit[i[square]] = True
    on[rows] = hit.reshape(-1, 2).all(axis=1)
    return on


def filled_borders(lines: Lines, solid: Bools) -> Bools:
    """Which lines are drawn along borders of what is filled in one ink; ``solid``: which lines are such borders."""
    found = np.zeros(len(lines.xy), bool)
    shown = ~lines.hidden & ~lines.dashed & ~lines.hatch & ~solid & is_role(lines, "unknown", "wall", "column")
    d = lines.xy[:, 2:] - lines.xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    rows, own = np.flatnonzero(shown & (length >= STROKE_MM[0])), np.flatnonzero(solid & (length >= STROKE_MM[0]))
    if not len(rows) or not len(own):
        return found
    tree = shapely.STRtree(shapely.linestrings(lines.xy[own].reshape(-1, 2, 2)))
    middle = (lines.xy[rows, :2] + lines.xy[rows, 2:]) / 2.0
    i, k = tree.query(shapely.points(middle), predicate="dwithin", distance=ON_MM)
    a, b = rows[i], own[k]
    sine = np.abs(d[a, 0] * d[b, 1] - d[a, 1] * d[b, 0]) / (length[a] * length[b])
    found[a[sine <= ALONG_SINE]] = True
    return found
