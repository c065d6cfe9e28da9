"""Specks strewn over what is cut: the dots, dashes and tiny triangles of a hatch for concrete, earth or grass, which a
page has as lines like any others."""

from __future__ import annotations

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.geometry.noding import cluster
from takeoff.geometry.runs import components
from takeoff.readers.pdf.beziers import Bools, Ints

SPECK_MM = 1.0
"""On paper: a speck is no larger, 100 mm of a building at 1:100."""
FEWEST = 60
"""Fewer on one layer are nibs, sockets and bolts."""
MEET_MM = 0.02
MOST_ENDS = 2_000_000


def strewn(xyxy: Floats, path: Ints, layer: Ints) -> Bools:
    """Which subpaths (count,) are specks: what hangs together by its ends is that small, and so are very many on their
    layer. ``xyxy`` (n, 4) mm on paper with the subpath of each in ``path`` (n,), ``layer`` (count,), -1
    for those that are told already."""
    found = np.zeros(len(layer), bool)
    if not FEWEST <= len(xyxy) <= MOST_ENDS:
        return found
    node = cluster(np.concatenate((xyxy[:, :2], xyxy[:, 2:])), MEET_MM)
    count = int(node.max()) + 1
    # pieces of one subpath hang together, and so do lines with a common end
    of = np.concatenate((path, path)) + count
    group = components(count + len(layer), node, of)
    own = group[path + count]
    low, high = np.full((count + len(layer), 2), np.inf), np.full((count + len(layer), 2), -np.inf)
    for ends in (xyxy[:, :2], xyxy[:, 2:]):
        np.minimum.at(low, own, ends)
        np.maximum.at(high, own, ends)
    with np.errstate(invalid="ignore"):
        small = (high - low).max(axis=1) <= SPECK_MM
    specks = np.zeros(len(layer), bool)
    specks[path] = small[own]
    first = np.unique(own[small[own]], return_index=True)[1]
    rows = path[np.flatnonzero(small[own])[first]] if len(first) else path[:0]
    many = np.bincount(layer[rows] + 1, minlength=int(layer.max(initial=0)) + 2)[1:] >= FEWEST
    found[specks & (layer >= 0) & many[layer]] = True
    return found
