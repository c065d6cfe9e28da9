"""Walls drawn as one thick line: polylines as wide as a wall get the two faces that they show."""

from __future__ import annotations

import itertools

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.geometry.curves import Curve
from takeoff.geometry.offset import offset_ring
from takeoff.geometry.rings import ring_curves

Floats = NDArray[np.float64]

THINNEST_MM, THICKEST_MM = 45.0, 700.0
"""The widths that a wall can have; thinner lines are drawn so for the print (common practice)."""
SAME_MM = 1e-3
SLENDER = 2.0
"""A line shorter than this many widths is a mark or an arrow, no wall."""


def with_faces(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with every straight polyline that is as wide as a wall replaced by the
    outline of what it covers. Without such lines it is the same drawing."""
    widths = np.array([s.width for s in drawing.sources] or [0.0]) * drawing.unit_mm
    wall = (widths >= THINNEST_MM) & (widths <= THICKEST_MM)
    lines = drawing.lines
    if not len(lines.segments) or not wall.any():
        return drawing
    curved = np.zeros(len(wall), bool)
    curved[lines.arc_source] = True
    wide = (wall & ~curved)[lines.segment_source]
    if not wide.any():
        return drawing
    rows = np.flatnonzero(wide)
    made: list[Floats] = []
    owner: list[int] = []
    for chain in _chains(lines.segments, lines.segment_source, rows):
        width = float(widths[lines.segment_source[chain[0]]])
        outline = _outline(lines.segments[chain], width)
        made += outline
        owner += [int(chain[0])] * len(outline)
    new = np.array(made).reshape(-1, 4)
    own = np.array(owner, np.int64)
    segments = np.concatenate([lines.segments[~wide], new])
    layer = np.concatenate([lines.segment_layer[~wide], lines.segment_layer[own]])
    source = np.concatenate([lines.segment_source[~wide], lines.segment_source[own]])
    work = Linework(segments, layer, source, lines.arcs.copy(), lines.arc_layer.copy(), lines.arc_source.copy())
    return msgspec.structs.replace(drawing, lines=work)


def _chains(segments: Floats, source: NDArray[np.int32], rows: NDArray[np.int64]) -> list[list[int]]:
    """Rows of segments that run on from one another in one polyline."""
    chains: list[list[int]] = []
    for row in rows.tolist():
        last = chains[-1][-1] if chains else -1
        if (
            last == row - 1
            and source[last] == source[row]
            and (np.abs(segments[last, 2:] - segments[row, :2]).max() <= SAME_MM)
        ):
            chains[-1].append(row)
        else:
            chains.append([row])
    return chains


def _outline(run: Floats, width: float) -> list[Floats]:
    points = [tuple(run[0, :2]), *(tuple(p) for p in run[:, 2:])]
    length = float(np.hypot(*(run[:, 2:] - run[:, :2]).T).sum())
    if length < SLENDER * width:
        return list(run)
    half = width / 2.0
    if len(points) > 3 and np.hypot(points[0][0] - points[-1][0], points[0][1] - points[-1][1]) <= SAME_MM:
        sides = ring_curves([(x, y, 0.0) for x, y in points[:-1]])
        rings = [offset_ring(sides, [d] * len(sides)) for d in (half, -half)]
    else:
        # There and back along the line, then outwards all round: the ends become square.
        there = [Curve(*a, *b) for a, b in itertools.pairwise(points)]
        back = [c.reversed() for c in reversed(there)]
        rings = [offset_ring([*there, *back], [-half] * (2 * len(there)))]
    found: list[Floats] = []
    for ring in rings:
        corners = np.array([(x, y) for x, y, _, _ in ring])
        found += list(np.hstack([corners, np.roll(corners, -1, axis=0)]))
    return found
