"""Doors that swing both ways, drawn as a half circle about the hinge with the leaf open to both sides: they become the
two quarter circles that they stand for, each with its leaf, which shut where they meet."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.recognise.walls.opening_evidence import (
    BARE_TOUCH_MM,
    LEAF_MM,
    LEAF_SLACK_MM,
    ONE_CENTRE_MM,
    QUARTER_BULGE,
    ROUND_WALL_MM,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HALF_BULGE = (0.96, 1.05)
"""Of an arc that is a half circle, but for a few degrees."""
SAME_MM = 5.0
"""The other half of a whole circle is as large, but for so much."""


def with_both_ways(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with two quarters in place of each such half circle, and each line of its leaf cut at the
    hinge. Without such it is the same drawing."""
    work = drawing.lines
    rows = _half_circles(work.arcs)
    if not len(rows) or not len(work.segments):
        return drawing
    tree = shapely.STRtree(shapely.linestrings(work.segments.reshape(-1, 2, 2)))
    cut: dict[int, Floats] = {}
    swung = []
    for row in rows.tolist():
        hinge = work.arcs[row, :4].reshape(2, 2).mean(axis=0)
        leaf = _leaf(work, tree, row)
        hung = np.setdiff1d(tree.query(shapely.Point(hinge), predicate="dwithin", distance=BARE_TOUCH_MM), leaf)
        if len(leaf) and len(hung):
            swung.append(row)
            cut |= dict.fromkeys(leaf.tolist(), hinge)
    if not swung:
        return drawing
    quarters = np.concatenate([_quarters(arc) for arc in work.arcs[swung]])
    halves = np.concatenate([_cut_at(work.segments[k], hinge) for k, hinge in cut.items()])
    arcs, lines = np.ones(len(work.arcs), bool), np.ones(len(work.segments), bool)
    arcs[swung], lines[list(cut)] = False, False
    twice_arcs, twice_lines = np.repeat(swung, 2), np.repeat(list(cut), 2)
    new = Linework(
        np.concatenate([work.segments[lines], halves]),
        np.concatenate([work.segment_layer[lines], work.segment_layer[twice_lines]]),
        np.concatenate([work.segment_source[lines], work.segment_source[twice_lines]]),
        np.concatenate([work.arcs[arcs], quarters]),
        np.concatenate([work.arc_layer[arcs], work.arc_layer[twice_arcs]]),
        np.concatenate([work.arc_source[arcs], work.arc_source[twice_arcs]]),
    )
    return msgspec.structs.replace(drawing, lines=new)


def _half_circles(arcs: Floats) -> Ints:
    """The rows of half circles as large as a leaf; a whole circle, which is two of them, and the faces of a round wall,
    one about the other, are no doors."""
    radius = np.hypot(arcs[:, 2] - arcs[:, 0], arcs[:, 3] - arcs[:, 1]) / 2
    bend = np.abs(arcs[:, 4])
    half = np.flatnonzero((bend >= HALF_BULGE[0]) & (bend <= HALF_BULGE[1]))
    middle = shapely.points((arcs[half, :2] + arcs[half, 2:4]) / 2)
    one, other = shapely.STRtree(middle).query(middle, predicate="dwithin", distance=ONE_CENTRE_MM)
    apart = np.abs(radius[half[one]] - radius[half[other]])
    beside = (one != other) & ((apart <= SAME_MM) | ((apart >= ROUND_WALL_MM[0]) & (apart <= ROUND_WALL_MM[1])))
    rows = np.delete(half, one[beside])
    return np.asarray(rows[(radius[rows] >= LEAF_MM[0]) & (radius[rows] <= LEAF_MM[1])])


def _leaf(work: Linework, tree: shapely.STRtree, row: int) -> Ints:
    """The lines that run across a half circle from one of its ends to the other, as a leaf does that is drawn open to
    both sides; one beside the other where it has a thickness."""
    ends = work.arcs[row, :4].reshape(2, 2)
    near = tree.query(shapely.linestrings(ends), predicate="dwithin", distance=LEAF_SLACK_MM)
    lines = work.segments[near].reshape(-1, 2, 2)
    off = [np.hypot(*np.moveaxis(lines - way, 2, 0)).max(axis=1) for way in (ends, ends[::-1])]
    return np.asarray(near[(np.minimum(*off) <= LEAF_SLACK_MM) & (work.segment_layer[near] == work.arc_layer[row])])


def _quarters(arc: Floats) -> Floats:
    """(2, 5): both halves of a half circle, from its ends to its middle."""
    start, end = arc[:2], arc[2:4]
    half = (end - start) / 2
    # a positive bulge turns left from start to end, and so bows out to the right of the chord
    top = (start + end) / 2 + np.array([half[1], -half[0]]) * arc[4]
    bulge = np.copysign(QUARTER_BULGE, arc[4])
    return np.array([(*start, *top, bulge), (*top, *end, bulge)])


def _cut_at(line: Floats, hinge: Floats) -> Floats:
    """(2, 4): a line in two, where the hinge lies beside it."""
    way = line[2:] - line[:2]
    at = line[:2] + way * float((hinge - line[:2]) @ way) / float(way @ way)
    return np.array([(*line[:2], *at), (*at, *line[2:])])
