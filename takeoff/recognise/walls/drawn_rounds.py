"""Swings of doors that are drawn as many short lines, as programs write them that know no arcs (a PDF brought back
into a drawing, a plotter's file): they become the arcs that they stand for."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FEWEST_CHORDS = 4
TURN_DEG = (1.0, 50.0)
"""From one chord of an arc to the next the way turns by so much."""
SWEEP_DEG = (28.0, 185.0)
RADIUS_MM = (450.0, 1600.0)
"""A leaf is as wide, and no more open than that (common practice, no source)."""
OFF_MM, OFF_PART = 4.0, 0.05
"""Corners lie this near to their circle, or within this part of its radius: leaves are drawn a little shorter than
their gap is wide, and the swing from the one to the other."""
MEET_MM = 1.0
AT_HINGE, LEAF_PART = 0.2, (0.8, 1.1)
"""A leaf is drawn from near the middle of its swing, and so long, in parts of its radius."""


def with_rounds(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with an arc in place of each run of chords that is the swing of a door: as large as a
    leaf, with a line of a leaf's length from its middle. Without such it is the same drawing."""
    work = drawing.lines
    seg = work.segments
    runs = _bent_runs(seg, work.segment_layer)
    swings = _with_leaf(seg, [(run, *found) for run in runs if (found := _arc(seg[run])) is not None])
    if not swings:
        return drawing
    keep = np.ones(len(seg), bool)
    for run, _ in swings:
        keep[run] = False
    first = np.array([run[0] for run, _ in swings], np.int64)
    new = Linework(
        seg[keep],
        work.segment_layer[keep],
        work.segment_source[keep],
        np.concatenate([work.arcs, np.array([arc for _, arc in swings])]),
        np.concatenate([work.arc_layer, work.segment_layer[first]]),
        np.concatenate([work.arc_source, work.segment_source[first]]),
    )
    return msgspec.structs.replace(drawing, lines=new)


def _bent_runs(seg: Floats, layer: NDArray[np.int32]) -> list[Ints]:
    """Rows of segments that follow each other end to end, all turning to one side by a little."""
    if len(seg) < FEWEST_CHORDS:
        return []
    d = seg[:, 2:] - seg[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    meets = (np.abs(seg[1:, :2] - seg[:-1, 2:]).max(axis=1) <= MEET_MM) & (layer[1:] == layer[:-1])
    meets &= (length[1:] > 0) & (length[:-1] > 0) & (np.maximum(length[1:], length[:-1]) <= RADIUS_MM[1])
    turn = np.degrees(np.arctan2(d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0], (d[:-1] * d[1:]).sum(axis=1)))
    bends = meets & (np.abs(turn) >= TURN_DEG[0]) & (np.abs(turn) <= TURN_DEG[1])
    side = np.where(bends, np.sign(turn), 0.0).astype(np.int64)
    starts = np.flatnonzero(np.concatenate([[True], side[1:] != side[:-1]]))
    stops = np.append(starts[1:], len(side))
    return [
        np.arange(start, stop + 1)
        for start, stop in zip(starts.tolist(), stops.tolist(), strict=True)
        if side[start] and stop - start + 1 >= FEWEST_CHORDS
    ]


def _arc(run: Floats) -> tuple[tuple[float, ...], tuple[float, float]] | None:
    """(the arc [x0, y0, x1, y1, bulge] through the corners of a run of chords, its centre), None where it is no
    leaf's."""
    corners = np.concatenate([run[:1, :2], run[:, 2:]])
    low = corners.mean(axis=0)
    p = corners - low
    solved, _, rank, _ = np.linalg.lstsq(np.c_[2 * p, np.ones(len(p))], (p**2).sum(axis=1), rcond=None)
    if rank < 3:
        return None
    centre = solved[:2]
    radius = math.sqrt(max(float(solved[2] + centre @ centre), 0.0))
    off = np.abs(np.hypot(*(p - centre).T) - radius)
    if not RADIUS_MM[0] <= radius <= RADIUS_MM[1] or off.max() > max(OFF_MM, OFF_PART * radius):
        return None
    z = (p[:, 0] - centre[0]) + 1j * (p[:, 1] - centre[1])
    sweep = float(np.angle(z[1:] / z[:-1]).sum())
    if not SWEEP_DEG[0] <= abs(math.degrees(sweep)) <= SWEEP_DEG[1]:
        return None
    (x0, y0), (x1, y1) = corners[0].tolist(), corners[-1].tolist()
    return (x0, y0, x1, y1, math.tan(sweep / 4)), (float(centre[0] + low[0]), float(centre[1] + low[1]))


def _with_leaf(
    seg: Floats, fitted: list[tuple[Ints, tuple[float, ...], tuple[float, float]]]
) -> list[tuple[Ints, tuple[float, ...]]]:
    """(rows, arc) of those with a line of a leaf's length that begins near their middle: that end is the hinge, about
    which they are drawn."""
    if not fitted:
        return []
    length = np.hypot(*(seg[:, 2:] - seg[:, :2]).T)
    long = np.flatnonzero((length >= LEAF_PART[0] * RADIUS_MM[0]) & (length <= LEAF_PART[1] * RADIUS_MM[1]))
    ends = seg[long].reshape(-1, 2)
    tree = shapely.STRtree(shapely.points(ends))
    found = []
    for run, arc, centre in fitted:
        radius = math.dist(arc[:2], centre)
        near = tree.query(shapely.Point(centre), predicate="dwithin", distance=AT_HINGE * radius)
        leaf = length[long[near // 2]]
        near = near[(leaf >= LEAF_PART[0] * radius) & (leaf <= LEAF_PART[1] * radius)]
        if len(near):
            hinge = min(ends[near].tolist(), key=lambda end: _uneven(arc, end))
            found.append((run, _about(arc, hinge)))
    return found


def _uneven(arc: tuple[float, ...], hinge: list[float]) -> float:
    return abs(math.dist(arc[:2], hinge) - math.dist(arc[2:4], hinge))


def _about(arc: tuple[float, ...], hinge: list[float]) -> tuple[float, ...]:
    """The arc with its ends, about the place next to a hinge that is as far from both."""
    x0, y0, x1, y1, bulge = arc
    half = math.dist((x0, y0), (x1, y1)) / 2
    side = math.copysign(1.0, bulge)
    off = side * ((x1 - x0) * (hinge[1] - (y0 + y1) / 2) - (y1 - y0) * (hinge[0] - (x0 + x1) / 2)) / (2 * half)
    return (x0, y0, x1, y1, side * math.tan(math.atan2(half, off) / 2))
