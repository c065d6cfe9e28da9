"""Lines of sections that go on with a jog, and end in an arrow, on the layer of walls: bent lines that touch nothing,
drawn right through walls. As ``section_lines``, but for a line whose ends are the ends of something."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import cluster
from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import Lines
from takeoff.recognise.walls.inferred_layers import paired_part

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

LONG_MM, MEET_MM = 5000.0, 10.0
"""Such a chain is no shorter; lines that end so near to each other hang together."""
FEWEST_FACES = 4
"""It crosses both faces of two walls."""
FACE_MM, MOST_FACED = 250.0, 0.4
"""Shorter lines are no faces; the faces of walls have each other beside them along more of their length."""


def section_chains(lines: Lines, walls: Bools) -> Bools:
    """(n,) which of the lines taken for walls are in such a chain: one without a loop, that ends on nothing and on
    which nothing ends, and that crosses the faces of walls."""
    rows = np.flatnonzero(walls & (lines.arc < 0))
    found = np.zeros(len(walls), bool)
    if len(rows) < 2:
        return found
    xy = lines.xy[rows]
    node = cluster(np.concatenate([xy[:, :2], xy[:, 2:]]), MEET_MM).reshape(2, -1)
    group = components(int(node.max()) + 1, node[0], node[1])
    own = group[node[0]]
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    count = int(group.max()) + 1
    nodes = np.bincount(group[np.unique(node)], minlength=count)
    tree = np.bincount(own, minlength=count) == nodes - 1
    tried = tree & (np.bincount(own, length, minlength=count) >= LONG_MM) & (nodes > 2)
    if not tried.any():
        return found
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    index = shapely.STRtree(drawn)
    for chain in np.flatnonzero(tried).tolist():
        mine = own == chain
        through = _faces(mine, drawn, index) >= FEWEST_FACES and _alone(xy, mine, drawn, index)
        if through and _faced(xy[length >= FACE_MM], mine[length >= FACE_MM]) < MOST_FACED:
            found[rows[mine]] = True
    return found


def _faced(xy: Floats, mine: Bools) -> float:
    """Which part of these lines has another one beside it as the faces of walls have."""
    length = np.hypot(*(xy[mine, 2:] - xy[mine, :2]).T)
    return float((paired_part(xy)[mine] * length).sum() / max(float(length.sum()), 1e-9))


def _alone(xy: Floats, mine: Bools, drawn: NDArray[np.object_], index: shapely.STRtree) -> bool:
    """Whether none of these lines ends on another one, and no other one on these."""
    own, near = index.query(drawn[mine], predicate="dwithin", distance=MEET_MM)
    own, near = own[~mine[near]], near[~mine[near]]
    pieces = drawn[mine][own]
    for at in (xy[near, :2], xy[near, 2:]):
        if shapely.dwithin(shapely.points(at), pieces, MEET_MM).any():
            return False
    ends = shapely.points(xy[mine].reshape(-1, 2))
    _end, line = index.query(ends, predicate="dwithin", distance=MEET_MM)
    return bool(mine[line].all())


def _faces(mine: Bools, drawn: NDArray[np.object_], index: shapely.STRtree) -> int:
    """How many other lines these cross."""
    _own, other = index.query(drawn[mine], predicate="crosses")
    return len(np.unique(other[~mine[other]]))
