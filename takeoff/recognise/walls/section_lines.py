"""The lines along which a building is cut for its sections, drawn right through the walls and on beyond them. Some
drawings have them on the layer of walls; they part no rooms."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import Lines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LONG_MM, MEET_MM = 3000.0, 10.0
"""The line of a section is no shorter; lines that end so near to each other, or to another line, meet."""
FEWEST_CROSSED, FEWEST_OF_ONE = 2, 1
"""It crosses both faces of two walls, and each of its pieces those of one: faces themselves end where they meet."""
FACE_MM, FACED_PART = (45.0, 330.0), 0.4
"""A wall's face has the other one beside it at such a distance along more of its length than that."""
PARALLEL_SINE = 0.02


def section_lines(lines: Lines, walls: Bools) -> Bools:
    """(n,) which of the lines taken for walls are such: long, alone, free at one end at least, or going on at it as
    another piece that is, and crossing the faces of walls."""
    rows = np.flatnonzero(walls & (lines.arc < 0))
    found = np.zeros(len(walls), bool)
    xy = lines.xy[rows]
    long = np.flatnonzero(np.hypot(*(xy[:, 2:] - xy[:, :2]).T) >= LONG_MM)
    if not len(long):
        return found
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    tree = shapely.STRtree(drawn)
    if not _ends(xy, long, drawn, tree)[0].any():
        return found
    crossed = _crossed(xy, long, drawn, tree)
    tried = long[crossed >= FEWEST_OF_ONE]
    crossed = crossed[crossed >= FEWEST_OF_ONE]
    alone = np.array([not _faced(xy, row, drawn, tree) for row in tried.tolist()] or [], bool)
    tried, crossed = tried[alone], crossed[alone]
    if not len(tried):
        return found
    free, joined = _ends(xy, tried, drawn, tree)
    group = components(len(tried), *joined)
    total = np.bincount(group, weights=crossed)
    loose = np.bincount(group, weights=free)
    chosen = (total >= FEWEST_CROSSED) & (loose > 0)
    found[rows[tried[chosen[group]]]] = True
    return found


def _crossed(xy: Floats, long: Ints, drawn: NDArray[np.object_], tree: shapely.STRtree) -> Ints:
    """Through how many walls each of the long lines goes: two lines that it crosses away from the ends of either, as
    far apart as a wall's faces."""
    i, j = tree.query(drawn[long], predicate="intersects")
    p, d = xy[long[i], :2], xy[long[i], 2:] - xy[long[i], :2]
    q, e = xy[j, :2], xy[j, 2:] - xy[j, :2]
    across = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    across = np.where(np.abs(across) < 1e-9, np.inf, across)
    w = q - p
    t = (w[:, 0] * e[:, 1] - w[:, 1] * e[:, 0]) / across
    s = (w[:, 0] * d[:, 1] - w[:, 1] * d[:, 0]) / across
    a, b = np.hypot(*d.T), np.hypot(*e.T)
    inner = (np.minimum(t, 1 - t) * a > MEET_MM) & (np.minimum(s, 1 - s) * b > MEET_MM)
    count = np.zeros(len(long), np.int64)
    for k in np.unique(i[inner]).tolist():
        apart = np.diff(np.sort((t * a)[inner & (i == k)]))
        count[k] = int(((apart >= FACE_MM[0]) & (apart <= FACE_MM[1])).sum())
    return count


def _faced(xy: Floats, row: int, drawn: NDArray[np.object_], tree: shapely.STRtree) -> bool:
    """Whether a line is one of the two faces of a wall."""
    line = drawn[row]
    way = (xy[row, 2:] - xy[row, :2]) / float(line.length)
    near = tree.query(line.buffer(FACE_MM[1], cap_style="flat"), predicate="intersects")
    near = near[near != row]
    d = xy[near, 2:] - xy[near, :2]
    level = np.abs(d[:, 0] * way[1] - d[:, 1] * way[0]) <= PARALLEL_SINE * np.hypot(*d.T)
    ends = xy[near[level]].reshape(-1, 2, 2) - xy[row, :2]
    along, off = np.sort(ends @ way, axis=1), np.abs(ends @ np.array([-way[1], way[0]])).mean(axis=1)
    beside = (off >= FACE_MM[0]) & (off <= FACE_MM[1])
    shared = np.clip(along[beside, 1], 0, line.length) - np.clip(along[beside, 0], 0, line.length)
    return float(shared.sum()) > FACED_PART * float(line.length)


def _ends(xy: Floats, tried: Ints, drawn: NDArray[np.object_], tree: shapely.STRtree) -> tuple[Ints, tuple[Ints, Ints]]:
    """(how many ends of each of these lines touch nothing, which of them end on each other)"""
    points = shapely.points(xy[tried].reshape(-1, 2))
    at, row = tree.query(points, predicate="dwithin", distance=MEET_MM)
    other = row != tried[at // 2]
    met = np.bincount(at[other], minlength=len(points)) > 0
    place = {int(r): k for k, r in enumerate(tried.tolist())}
    pairs = [(int(a) // 2, place[int(r)]) for a, r in zip(at[other], row[other], strict=True) if int(r) in place]
    i, j = (np.array([p[k] for p in pairs], np.int64) for k in (0, 1))
    return (~met).reshape(-1, 2).sum(axis=1), (i, j)
