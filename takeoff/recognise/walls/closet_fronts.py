"""Fronts of closets: a gap across the whole width of a recess, from the corner where a wall ends to the wall across,
which no wall end looks at. Leaves that fold, drawn standing out from it, show that it is shut (common practice of
drawing, no source)."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.runs import Runs, first_hits
from takeoff.plan.reasons import because
from takeoff.recognise.walls.believed_gaps import Gap, quad_of
from takeoff.recognise.walls.gap_closures import Bridge, Caps

Floats = NDArray[np.float64]

WIDTH_MM = (400.0, 2500.0)
LEAF_PART = (0.45, 0.55)
"""Each of two leaves that fold is about half as wide as their gap, and so drawn but for its thickness."""
ON_FRONT_MM, OUT_PART, HUNG_MM = 60.0, 0.4, 120.0
"""A folded leaf begins on the front and stands out by so much of its length; one of the two is hung this near to an
end of the front."""
APART_MM, MEET_MM = 60.0, 60.0
"""The two leaves begin so far apart, and meet so near to each other."""


def closet_fronts(graph: Graph, runs: Runs, caps: Caps, leaves: Floats, gaps: list[Gap]) -> list[Gap]:
    """A door for each pair of folding ``leaves`` (n, 4) that stands on a line from the corner of a wall's end, along
    that end, to the next wall; none that crosses one of ``gaps``. Without wall ends or leaves there are none."""
    if not len(caps.a) or not len(leaves):
        return []
    xy, edges = graph.xy, graph.edges
    span = xy[caps.b] - xy[caps.a]
    unit = span / np.maximum(np.hypot(span[:, 0], span[:, 1]), 1e-9)[:, None]
    node, way = np.concatenate([caps.a, caps.b]), np.concatenate([-unit, unit])
    ends = shapely.STRtree(shapely.points(leaves.reshape(-1, 2)))
    lines = shapely.linestrings(np.stack([xy[node], xy[node] + way * WIDTH_MM[1]], axis=1))
    asked = np.unique(ends.query(lines, predicate="dwithin", distance=ON_FRONT_MM)[0])
    if not len(asked):
        return []
    start, way, run = xy[node[asked]], way[asked], np.concatenate([caps.run, caps.run])[asked]
    tree = shapely.STRtree(shapely.linestrings(xy[edges]))
    reach = np.full(len(asked), WIDTH_MM[1])
    p, q = xy[edges[:, 0]], xy[edges[:, 1]]
    width, _ = first_hits(start + way * 0.05, way, reach, p, q, tree, run, runs.of_edge)
    closed = shapely.STRtree([g.quad for g in gaps]) if gaps else None
    near = shapely.STRtree(shapely.linestrings(leaves.reshape(-1, 2, 2)))
    found: list[Gap] = []
    for k in np.flatnonzero(np.isfinite(width) & (width >= WIDTH_MM[0])).tolist():
        line = shapely.LineString([start[k], start[k] + way[k] * width[k]])
        inner = shapely.LineString([start[k] + way[k] * ON_FRONT_MM, start[k] + way[k] * (width[k] - ON_FRONT_MM)])
        beside = leaves[near.query(line.buffer(ON_FRONT_MM), predicate="intersects")]
        free = closed is None or not len(closed.query(inner, predicate="intersects"))
        if free and _folded(beside, start[k], way[k], float(width[k])):
            end = start[k] + way[k] * (width[k] + 0.05)
            bridge = Bridge(np.array([(*start[k], *end)]), float(width[k]), 0.0, (-1, -1))
            found.append(Gap(bridge, "door", True, (because("folding-leaves"),), -1, quad_of(bridge)))
    return found


def with_folded(gaps: list[Gap], leaves: Floats) -> list[Gap]:
    """The gaps, plain ones between two wall ends in which such leaves are drawn as doors: they stand at one of the
    wall's faces or between them. Where a gap ends at a face, the reveal may be the closet's as well."""
    if not gaps or not len(leaves):
        return gaps
    near = shapely.STRtree(shapely.linestrings(leaves.reshape(-1, 2, 2)))
    return [_shut(gap, leaves, near) for gap in gaps]


def _shut(gap: Gap, leaves: Floats, near: shapely.STRtree) -> Gap:
    width = gap.bridge.width_mm
    if gap.confirmed or gap.kind != "open" or not gap.bridge.in_line or not WIDTH_MM[0] <= width <= WIDTH_MM[1]:
        return gap
    beside = leaves[near.query(gap.quad.buffer(ON_FRONT_MM), predicate="intersects")]
    for line in (*gap.bridge.lines, gap.bridge.lines.mean(axis=0)):
        way = (line[2:] - line[:2]) / max(float(np.hypot(*(line[2:] - line[:2]))), 1e-9)
        if _folded(beside, line[:2], way, width):
            return gap._replace(kind="door", confirmed=True, why=(because("folding-leaves"),))
    return gap


def _folded(leaves: Floats, start: Floats, way: Floats, width: float) -> bool:
    """Whether two leaves of half the front's width stand out from it and meet, one of them hung at its end."""
    begun: list[tuple[float, Floats]] = []
    for leaf in leaves.reshape(-1, 2, 2) - start:
        along, off = leaf @ way, leaf @ np.array([-way[1], way[0]])
        length = float(np.hypot(*(leaf[1] - leaf[0])))
        on = int(np.abs(off).argmin())
        out = float(np.abs(off[1 - on]))
        half = LEAF_PART[0] * width <= length <= LEAF_PART[1] * width
        if half and abs(float(off[on])) <= ON_FRONT_MM and out >= OUT_PART * length:
            begun.append((float(along[on]), leaf[1 - on]))
    return any(
        min(abs(t), abs(width - t)) <= HUNG_MM
        and abs(s - t) >= APART_MM
        and float(np.hypot(*(tip - other))) <= MEET_MM
        and 0.0 <= s <= width
        for t, tip in begun
        for s, other in begun
    )
