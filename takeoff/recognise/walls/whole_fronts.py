"""Windows that take the whole front of a room, from one side wall to the other: no wall end looks along them, since
both walls run on past them and end, side by side, in the front of the house."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.runs import Runs
from takeoff.recognise.walls.believed_gaps import (
    COVER_WIDE,
    PLAIN_LINES,
    WIDEST_SKETCHED_MM,
    Gap,
    length_of_spans,
    quad_of,
)
from takeoff.recognise.walls.gap_closures import Bridge

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FACE_MM, NARROWEST_MM, LEVEL_MM = 800.0, 1000.0, 60.0
"""The faces of the side walls are so long, at least so far apart, and end level with each other but for so much."""
DEEP_MM, FEWEST_LINES, APART_MM, FRAME_MM = 400.0, 3, 8.0, 150.0
"""The frame, so many lines side by side, each so near to the next, stands no deeper behind the ends of the walls."""
ROOM_MM, YARD_MM = 2200.0, 6000.0
"""Nothing stands so far before the window in the room, which is deeper than a balcony, nor so far outside (common
practice, no source)."""
SAME_WAY_COS, PARALLEL_SINE = 0.998, 0.02
HAIR_MM = 0.05


def whole_fronts(graph: Graph, runs: Runs, shown: Floats, gaps: list[Gap]) -> list[Gap]:
    """A gap for each such window. ``graph``: the walls'; ``shown``: lines (n, 4) that may draw windows; ``gaps``: those
    that are closed already."""
    start, way = _face_ends(graph, runs)
    if len(start) < 2 or len(shown) < FEWEST_LINES:
        return []
    walls = shapely.STRtree(shapely.linestrings(graph.xy[graph.edges]))
    frames = shapely.STRtree(shapely.linestrings(shown.reshape(-1, 2, 2)))
    closed = shapely.STRtree([g.quad for g in gaps])
    found = []
    for i, j in _side_by_side(start, way):
        line = _front(start[i], start[j], way[i], shown, frames)
        if line is None or not _clear(line, way[i], walls, closed):
            continue
        bridge = Bridge(line.reshape(1, 4), float(np.hypot(*(line[2:] - line[:2]))), 0.0, (-1, -1))
        found.append(Gap(bridge, "window", False, (PLAIN_LINES,), -1, quad_of(bridge)))
    return found


def _face_ends(graph: Graph, runs: Runs) -> tuple[Floats, Floats]:
    """(where long straight runs end, the unit direction in which each would go on)"""
    ends = runs.ends[(runs.ends >= 0).all(axis=1)]
    span = graph.xy[ends[:, 1]] - graph.xy[ends[:, 0]]
    length = np.hypot(*span.T)
    long = length >= FACE_MM
    ends, unit = ends[long], span[long] / length[long][:, None]
    return np.concatenate([graph.xy[ends[:, 1]], graph.xy[ends[:, 0]]]), np.concatenate([unit, -unit])


def _side_by_side(start: Floats, way: Floats) -> list[tuple[int, int]]:
    """Each end with the nearest one to its left that is level with it and looks the same way."""
    aside = np.stack([-way[:, 1], way[:, 0]], axis=1)
    rays = shapely.linestrings(np.stack([start + aside * NARROWEST_MM, start + aside * WIDEST_SKETCHED_MM], axis=1))
    i, j = shapely.STRtree(shapely.points(start)).query(rays, predicate="dwithin", distance=LEVEL_MM)
    same = (way[i] * way[j]).sum(axis=1) >= SAME_WAY_COS
    i, j = i[same], j[same]
    far = ((start[j] - start[i]) * aside[i]).sum(axis=1)
    order = np.argsort(far, kind="stable")
    nearest: dict[int, int] = {}
    for a, b in zip(i[order].tolist(), j[order].tolist(), strict=True):
        nearest.setdefault(a, b)
    return sorted(nearest.items())


def _front(first: Floats, last: Floats, way: Floats, shown: Floats, frames: shapely.STRtree) -> Floats | None:
    """The innermost of the lines of a window from one face to the other, to both of these; None where there are too few
    for a window."""
    along = np.array([way[1], -way[0]])
    width = float((first - last) @ along)
    zone = shapely.Polygon([first, last, last - way * DEEP_MM, first - way * DEEP_MM])
    own = shown[frames.query(zone, predicate="intersects")].reshape(-1, 2, 2) - last
    t, off = np.sort(own @ along, axis=1), own @ way
    level = np.abs(off[:, 1] - off[:, 0]) <= PARALLEL_SINE * np.maximum(t[:, 1] - t[:, 0], APART_MM)
    t, deep = np.clip(t[level], 0.0, width), -off[level].mean(axis=1)
    order = np.argsort(deep, kind="stable")
    t, deep = t[order], deep[order]
    lines = []
    for group in np.split(np.arange(len(deep)), np.flatnonzero(np.diff(deep) > APART_MM) + 1):
        if length_of_spans([(a, b) for a, b in t[group].tolist()]) >= COVER_WIDE * width:
            lines.append(float(deep[group].mean()))
    # a curtain, a worktop or a bench before the window is no part of it
    lines = [at for k, at in enumerate(lines) if not np.any(np.diff(lines[: k + 1]) > FRAME_MM)]
    if len(lines) < FEWEST_LINES:
        return None
    # from face to face, a hair into both walls
    right, left = (p - way * (lines[-1] + float((p - last) @ way)) for p in (first, last))
    return np.concatenate([left - along * HAIR_MM, right + along * HAIR_MM])


def _clear(line: Floats, way: Floats, walls: shapely.STRtree, closed: shapely.STRtree) -> bool:
    """Whether no wall stands in a window, nor before it on either side, and nothing closes it already."""
    start, end = line[:2], line[2:]
    unit = (end - start) / max(float(np.hypot(*(end - start))), 1.0)
    inner = shapely.LineString([start + unit * LEVEL_MM, end - unit * LEVEL_MM])
    middle = (start + end) / 2
    sight = shapely.LineString([middle - way * ROOM_MM, middle + way * YARD_MM])
    return not (
        len(walls.query(inner, predicate="intersects"))
        or len(walls.query(sight, predicate="intersects"))
        or len(closed.query(inner, predicate="intersects"))
    )
