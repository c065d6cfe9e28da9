"""Folding doors told by their leaves: of gaps in walls, of the fronts of closets, and of laundries.

A front goes across the whole width of a recess, from the corner where a wall ends to the wall across, which no wall
end looks at; leaves that fold, drawn standing out from it, show that it is shut. Gaps that were left open and that
such leaves stand before are doors, and laundries as wide as two pairs of leaves, where no wall end faces another, are
shut along their feet (common practice of drawing, no source)."""

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


LEAF_MM = (150.0, 700.0)
"""A leaf of a folding door is so wide (common practice, no source)."""
ALIKE, APEX_MM, FOLDED_COS = 0.15, 80.0, (0.5, 0.998)
"""Two leaves are as wide as each other but for so much, meet within their thickness, and stand folded between 4° and
60°."""
THICK_MM = (12.0, 60.0)
FITS, MOST_PAIRS = 0.12, 4
"""One pair of leaves, or two, are together as wide as the way, but for so much; and so are three or four that all stand
before it."""
FEET_MM = 40.0
TO_WALL_MM, WIDE_MM = 2500.0, (400.0, 3000.0)
"""So far from its leaves a folding door ends at a wall; the whole of it is so wide."""
AT_LINE_MM, SAME_MM = 15.0, 60.0
ALONG_SINE = 0.05
DRAWN_PART = 0.5
"""Where walls are drawn along so much of the way, it is closed already."""


def with_folding_doors(graph: Graph, leaves: Floats, gaps: list[Gap]) -> list[Gap]:
    """The gaps, those that are open and that a folding door among ``leaves`` (n, 4), lines that are no walls, stands
    before now doors, and one more for each that stands before none of them, from wall to wall along the feet of its
    two leaves; none where walls stand not at both ends of that line, or where one is drawn along it."""
    if not len(leaves) or not len(graph.edges):
        return gaps
    tree = shapely.STRtree(shapely.linestrings(graph.xy[graph.edges]))
    closed = shapely.STRtree([g.quad for g in gaps]) if gaps else None
    told, found = list(gaps), list[Gap]()
    feet = _feet(_twins(leaves))
    for wide, a, b in feet:
        line = _from_wall_to_wall(graph, tree, a, b)
        if line is None:
            continue
        way = shapely.LineString(line.reshape(2, 2))
        most = max(2, min(_hung_along(way, wide, feet), MOST_PAIRS))
        if all(abs(float(way.length) - wide * pairs) > FITS * wide * pairs for pairs in range(1, most + 1)):
            continue
        inner = shapely.LineString([way.interpolate(SAME_MM), way.interpolate(way.length - SAME_MM)])
        met = closed.query(inner, predicate="dwithin", distance=AT_LINE_MM).tolist() if closed is not None else []
        for k in met:
            if told[k].kind == "open" and abs(gaps[k].bridge.width_mm - way.length) <= FITS * way.length:
                # Behind a pier on one side alone the way in belongs to either room.
                sure = gaps[k].bridge.in_line
                told[k] = told[k]._replace(kind="door", confirmed=sure, why=(because("folding-leaves"),))
        if not met and not any(_same(g.bridge.lines[0], line) for g in found):
            bridge = Bridge(line.reshape(1, 4), float(way.length), 0.0, (-1, -1))
            found.append(Gap(bridge, "door", True, (because("folding-leaves"),), -1, quad_of(bridge)))
    return told + found


def _same(one: Floats, other: Floats) -> bool:
    """Whether two lines are of one front, whichever way they run: the two sides of a leaf have their own feet."""
    return min(float(np.abs(one - turned).max()) for turned in (other, other[[2, 3, 0, 1]])) <= SAME_MM + THICK_MM[1]


def _twins(lines: Floats) -> Floats:
    """Those of lines (n, 4) that are the long sides of leaves: two of one length side by side at a leaf's
    thickness."""
    length = np.hypot(*(lines[:, 2:] - lines[:, :2]).T)
    fits = (length >= LEAF_MM[0]) & (length <= LEAF_MM[1])
    xy, long = lines[fits], length[fits]
    if len(xy) < 4:
        return np.zeros((0, 4))
    middle = (xy[:, :2] + xy[:, 2:]) / 2
    points = shapely.points(middle)
    i, j = shapely.STRtree(points).query(points, predicate="dwithin", distance=THICK_MM[1])
    d, off = xy[:, 2:] - xy[:, :2], np.hypot(*(middle[i] - middle[j]).T)
    sine = np.abs(d[i, 0] * d[j, 1] - d[i, 1] * d[j, 0]) / (long[i] * long[j])
    twin = (off >= THICK_MM[0]) & (sine < ALONG_SINE) & (np.abs(long[i] - long[j]) <= THICK_MM[0])
    return np.asarray(xy[np.unique(i[twin])])


def _feet(leaves: Floats) -> list[tuple[float, Floats, Floats]]:
    """How wide both leaves are together, and their feet, for each pair of folded leaves, the one whose feet are
    farthest apart first: a leaf has two lines."""
    length = np.hypot(*(leaves[:, 2:] - leaves[:, :2]).T)
    own = leaves[(length >= LEAF_MM[0]) & (length <= LEAF_MM[1])]
    tips = own.reshape(-1, 2)
    points = shapely.points(tips)
    found = []
    for i, j in shapely.STRtree(points).query(points, predicate="dwithin", distance=APEX_MM).T.tolist():
        if i // 2 >= j // 2:
            continue
        a, b = tips[i ^ 1], tips[j ^ 1]
        u, v = a - tips[i], b - tips[j]
        long = float(np.hypot(*u)), float(np.hypot(*v))
        folded = float(u @ v) / (long[0] * long[1])
        apart = float(np.hypot(*(a - b)))
        if abs(long[0] - long[1]) <= ALIKE * long[0] and FOLDED_COS[0] <= folded <= FOLDED_COS[1] and apart >= FEET_MM:
            found.append((apart, sum(long), a, b))
    return [(wide, a, b) for _, wide, a, b in sorted(found, key=lambda f: -f[0])]


def _hung_along(way: shapely.LineString, wide: float, feet: list[tuple[float, Floats, Floats]]) -> int:
    """How many pairs of leaves of one width stand with their feet on a line; a pair is found by each of its lines."""
    alike = [(a + b) / 2 for other, a, b in feet if abs(other - wide) <= ALIKE * wide]
    points = shapely.points(np.array(alike).reshape(-1, 2))
    places = np.sort(shapely.line_locate_point(way, points[shapely.dwithin(points, way, AT_LINE_MM)]))
    return int((np.diff(places) > wide / 4).sum()) + 1 if len(places) else 0


def _from_wall_to_wall(graph: Graph, tree: shapely.STRtree, a: Floats, b: Floats) -> Floats | None:
    """(4,) the line through two points to the first wall on both sides; None without walls within reach, or where one
    is drawn along it."""
    way = (b - a) / float(np.hypot(*(b - a)))
    middle = (a + b) / 2
    whole = shapely.LineString([middle - way * TO_WALL_MM, middle + way * TO_WALL_MM])
    rows = tree.query(whole, predicate="dwithin", distance=AT_LINE_MM)
    ends = graph.xy[graph.edges[rows]] - middle
    along, across = ends @ way, ends[:, :, 0] * way[1] - ends[:, :, 1] * way[0]
    span = ends[:, 1] - ends[:, 0]
    sine = np.abs(span[:, 0] * way[1] - span[:, 1] * way[0]) / np.maximum(np.hypot(span[:, 0], span[:, 1]), 1e-9)
    level = sine < ALONG_SINE
    share = across[:, 0] / np.where(np.abs(across[:, 0] - across[:, 1]) < 1e-9, 1e9, across[:, 0] - across[:, 1])
    crossing = along[:, 0] + (along[:, 1] - along[:, 0]) * np.clip(share, 0.0, 1.0)
    at = np.concatenate([along[level].ravel(), crossing[~level]])
    before, after = at[at < 0], at[at > 0]
    if not len(before) or not len(after):
        return None
    low, high = float(before.max()), float(after.min())
    covered = np.clip(along[level].max(axis=1), low, high) - np.clip(along[level].min(axis=1), low, high)
    feet = float(np.hypot(*(b - a))) / 2 - AT_LINE_MM
    if not WIDE_MM[0] <= high - low <= WIDE_MM[1] or low > -feet or high < feet:
        return None
    if float(covered.sum()) > DRAWN_PART * (high - low):
        return None
    return np.concatenate([middle + way * low, middle + way * high])
