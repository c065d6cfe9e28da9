"""Strokes that bound nothing, and of which there are thousands: what fills the cut, as insulation drawn as a zigzag or
as loops between the faces of a wall by one polyline, and letters and dots where words came as lines."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import THICKEST_MM, Asked, Lines, is_role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

STROKE_MM = 60.0
"""The chords of loops are no longer."""
FEWEST_CHORDS, WOUND = 30, 2.5
"""Loops have so many, and are together so many times as long as the box round them is wide and high: a circle is 1.6
times, a wall's outline less."""
FEWEST_TEETH, TOOTH_MM, ALIKE, SHARP_COS = 10, 400.0, 0.25, -0.1
"""A zigzag has so many strokes, each no longer, as long as the next but for so much, and turns back at each end; the
steps of stairs turn square (common practice, no source)."""

LETTER_MM, APART_MM = 400.0, 0.5
"""A letter, a dot or a figure is drawn with strokes as short as those of loops, that end on each other within the
second, and is no larger than the first on a plan of 1:200 (common practice, no source)."""


def without_letters(lines: Lines) -> Lines:
    """The lines, those of letters and dots given the role of text where their layer says nothing: a drawing that was
    taken from paper has its words as strokes. Without such it is the same."""
    xy = lines.xy
    short = np.hypot(*(xy[:, 2:] - xy[:, :2]).T) <= STROKE_MM
    if not (short & is_role(lines, "unknown")).any():
        return lines
    grid = np.round(xy.reshape(-1, 2) / APART_MM).astype(np.int64)
    node = np.unique(grid, axis=0, return_inverse=True)[1].reshape(-1, 2)
    group = components(int(node.max()) + 1, node[:, 0], node[:, 1])[node[:, 0]]
    low, high = np.full((group.max() + 1, 2), np.inf), np.full((group.max() + 1, 2), -np.inf)
    for ends in (xy[:, :2], xy[:, 2:]):
        np.minimum.at(low, group, ends)
        np.maximum.at(high, group, ends)
    with np.errstate(invalid="ignore"):
        small = (high - low).max(axis=1) <= LETTER_MM
    long = np.bincount(group[~short], minlength=len(small)) > 0
    letters = (small & ~long)[group] & is_role(lines, "unknown")
    return lines._replace(role=np.where(letters, "text", lines.role))


def without_strokes(lines: Lines, asked: Asked | None = None) -> Lines:
    """The lines, those of such strokes given the role of hatching where their layer says nothing or walls. Without
    such it is the same. ``asked``: what is known of how many lines there are."""
    own = is_role(lines, "unknown", "wall", "column") & ~lines.hatch
    rows = np.flatnonzero(own)
    if len(rows) < FEWEST_TEETH:
        return lines
    strokes = np.zeros(len(lines.xy), bool)
    strokes[rows] = _wound(lines.xy[rows], lines.source[rows]) | _zigzag(lines.xy[rows], lines.source[rows])
    if not (asked or Asked()).laborious(lines.xy[rows]):
        strokes[rows] |= _between_faces(lines.xy[rows])
    if not strokes.any():
        return lines
    return lines._replace(role=np.where(strokes, "hatch", lines.role))


def _wound(xy: Floats, source: Ints) -> Bools:
    """The short lines of each entity, each from the end of the one before, that winds about in a small space."""
    short = np.hypot(*(xy[:, 2:] - xy[:, :2]).T) <= STROKE_MM
    follows = _follows(xy, source)
    short &= np.append(False, follows) | np.append(follows, False)
    count = int(source.max()) + 1
    many = np.bincount(source[short], minlength=count)
    length = np.bincount(source[short], np.hypot(*(xy[short, 2:] - xy[short, :2]).T), minlength=count)
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    for ends in (xy[short, :2], xy[short, 2:]):
        np.minimum.at(low, source[short], ends)
        np.maximum.at(high, source[short], ends)
    with np.errstate(invalid="ignore"):
        size = (high - low).sum(axis=1)
        winding = (many >= FEWEST_CHORDS) & (length >= WOUND * size)
    return np.asarray(short & winding[source])


def _follows(xy: Floats, source: Ints) -> Bools:
    """Whether each line but the first goes on from the end of the one before, in the same entity."""
    return np.asarray((source[1:] == source[:-1]) & (np.abs(xy[1:, :2] - xy[:-1, 2:]).max(axis=1) < 1.0))


def _zigzag(xy: Floats, source: Ints) -> Bools:
    """The strokes of each run of lines of one entity, each from the end of the one before, that turn back left and
    right in turns."""
    found = np.zeros(len(xy), bool)
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    follows = _follows(xy, source)
    cosine = (d[1:] * d[:-1]).sum(axis=1) / np.maximum(length[1:] * length[:-1], 1e-9)
    turn = np.sign(d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0])
    near = (length[1:] <= TOOTH_MM) & (np.abs(length[1:] - length[:-1]) <= ALIKE * length[1:])
    tooth = follows & near & (cosine <= SHARP_COS)
    on = tooth[1:] & tooth[:-1] & (turn[1:] == -turn[:-1])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int8)))
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        # so many turns in a row that alternate have two strokes more
        if last - first + 2 >= FEWEST_TEETH:
            found[first : last + 2] = True
    return found


SLANTED, ON_FACE_MM, FACE_PARTS, OFF_CORNER_MM = (0.5, 0.87), 3.0, 2.0, 5.0
"""A stroke of hatching runs at 30° to 60° from one face to the other, and the faces are so many times as long."""
FEWEST_STROKES, SAME_WAY_DEG = 8, 1.0
"""Hatching has so many strokes that run the same way between walls (common practice, no source)."""


def _between_faces(xy: Floats) -> Bools:
    """Which lines run slanted from one of two parallel lines to the other, a wall's thickness away, as many do that
    run the same way."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
    rows = np.flatnonzero((length >= STROKE_MM) & (length <= THICKEST_MM / SLANTED[0]))
    found = np.zeros(len(xy), bool)
    if len(rows) < FEWEST_STROKES:
        return found
    ends = shapely.points(xy[rows].reshape(-1, 2))
    i, j = shapely.STRtree(shapely.linestrings(xy.reshape(-1, 2, 2))).query(
        ends, predicate="dwithin", distance=ON_FACE_MM
    )
    own = rows[i // 2]
    sine = (d[own, 0] * d[j, 1] - d[own, 1] * d[j, 0]) / (length[own] * length[j])
    fits = (np.abs(sine) >= SLANTED[0]) & (np.abs(sine) <= SLANTED[1]) & (length[j] >= FACE_PARTS * length[own])
    at = xy[rows].reshape(-1, 2)[i]
    # A splayed jamb ends at the ends of faces.
    for tip in (xy[j, :2], xy[j, 2:]):
        fits &= np.hypot(*(at - tip).T) > OFF_CORNER_MM
    i, j, own = i[fits], j[fits], own[fits]
    way = np.round(np.degrees(np.arctan2(d[j, 1], d[j, 0])) % 180.0 / SAME_WAY_DEG) % round(180.0 / SAME_WAY_DEG)
    both = [set(zip(own[i % 2 == k].tolist(), way[i % 2 == k].tolist(), strict=True)) for k in (0, 1)]
    strokes = np.array(sorted({row for row, _ in both[0] & both[1]}), np.int64)
    if not len(strokes):
        return found
    runs = np.round(np.degrees(np.arctan2(d[strokes, 1], d[strokes, 0])) % 180.0 / SAME_WAY_DEG).astype(np.int64)
    runs %= round(180.0 / SAME_WAY_DEG)
    found[strokes[np.bincount(runs)[runs] >= FEWEST_STROKES]] = True
    return found
