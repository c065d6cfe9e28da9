"""Gaps in walls closed: from each wall end to the wall end or face that it looks at, in curved walls along
the circle to the next end on it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.runs import Runs, components, first_hits
from takeoff.recognise.walls.bounding_lines import Lines, arc_centres
from takeoff.recognise.walls.wall_ends import Caps, Loose

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

REACH_MM = 3000.0
"""A gap with a door or a window in it is closed up to this width."""
GLAZED_REACH_MM = 16000.0
"""A gap is closed as far as this where glazing is drawn all along it."""
INSET_MM = 10.0
"""Rays start this far inside the ends of a wall's end line, so that they meet the opposite one."""
ALIGN_MM = 15.0
"""Two faces off by less are meant to be in one line."""
PIER_MM = 750.0
SAME_MM = 1.0
"""A landing this near to a corner is the corner."""
NARROWEST_MM = 0.5
"""Nearer things touch."""
GRAZING_SINE = 0.35
"""A wall end does not look at lines that run nearly the way it looks (20°)."""


class Bridge(NamedTuple):
    """A closed gap. ``lines`` (k, 4): one per wall face (k = 2), or one for single lines;
    ``width_mm`` along the wall; ``thickness_mm`` of the wall that ends here (0 for a line);
    ``pier``: what ends here stands free and is too small for a wall; ``on_line``: a line is drawn
    already where one of the two would be."""

    lines: Floats
    width_mm: float
    thickness_mm: float
    key: tuple[int, int]
    pier: bool = False
    on_line: bool = False


def wall_bridges(
    graph: Graph, runs: Runs, caps: Caps, reach_mm: float = GLAZED_REACH_MM, of_column: NDArray[np.bool_] | None = None
) -> list[Bridge]:
    """A bridge for every wall end that looks at something within reach. ``of_column`` (edges,): what is
    drawn for columns, whose sides are no wall ends: what they look at needs a door or glass to be closed."""
    if not len(caps.a):
        return []
    xy, edges = graph.xy, graph.edges
    tree = shapely.STRtree(shapely.linestrings(xy[edges]))
    p, q = xy[edges[:, 0]], xy[edges[:, 1]]
    a, b = xy[caps.a], xy[caps.b]
    span = b - a
    width = np.hypot(span[:, 0], span[:, 1])
    inset = span / width[:, None] * np.minimum(INSET_MM, width / 5)[:, None]
    reach = np.full(len(a), reach_mm)
    hits = [
        first_hits(start + caps.out * 0.05, caps.out, reach, p, q, tree, caps.run, runs.of_edge)
        for start in (a + inset, b - inset)
    ]
    cap_of_run = {int(run): k for k, run in enumerate(caps.run) if run >= 0}
    found = _build(graph, runs, caps, hits, cap_of_run, p, q)
    pier = _piers(graph)[caps.a]
    if of_column is not None:
        columns = np.bincount(runs.of_edge[of_column], minlength=len(runs.ends)) > 0
        pier |= (caps.run >= 0) & columns[caps.run]
    on_line = _on_drawn_lines(found, tree)
    return [
        b._replace(pier=bool(pier[[k for k in b.key if k >= 0]].any()), on_line=drawn)
        for b, drawn in zip(found, on_line, strict=True)
    ]


def _on_drawn_lines(bridges: list[Bridge], tree: shapely.STRtree) -> list[bool]:
    """Whether one of the two lines of a bridge is drawn already: a threshold, or a wall's face."""
    if not bridges:
        return []
    lines = np.concatenate([b.lines for b in bridges])
    middle = shapely.points((lines[:, :2] + lines[:, 2:]) / 2)
    at, _ = tree.query(middle, predicate="dwithin", distance=SAME_MM)
    drawn = np.isin(np.arange(len(lines)), at).reshape(-1, 2)
    return [bool(first or second) for first, second in drawn.tolist()]


def _piers(graph: Graph) -> NDArray[np.bool_]:
    """For each node whether it is on something small that touches nothing else."""
    group = components(len(graph.xy), graph.edges[:, 0], graph.edges[:, 1])
    low, high = np.full((len(group), 2), np.inf), np.full((len(group), 2), -np.inf)
    np.minimum.at(low, group, graph.xy)
    np.maximum.at(high, group, graph.xy)
    return np.asarray((high - low).max(axis=1) <= PIER_MM)[group]


def _build(
    graph: Graph,
    runs: Runs,
    caps: Caps,
    hits: list[tuple[Floats, Ints]],
    cap_of_run: dict[int, int],
    p: Floats,
    q: Floats,
) -> list[Bridge]:
    (ta, ea), (tb, eb) = hits
    span = graph.xy[caps.b] - graph.xy[caps.a]
    wide = np.hypot(span[:, 0], span[:, 1])
    good = np.isfinite(ta) & np.isfinite(tb) & (np.minimum(ta, tb) >= NARROWEST_MM)
    with np.errstate(invalid="ignore"):
        good &= np.abs(ta - tb) <= np.maximum(wide, 100.0)
    for e in (ea, eb):
        d = q[e] - p[e]
        square = np.abs(caps.out[:, 0] * d[:, 1] - caps.out[:, 1] * d[:, 0])
        good &= square >= GRAZING_SINE * np.hypot(d[:, 0], d[:, 1])
    seen: dict[tuple[int, int], Bridge] = {}
    for k in np.flatnonzero(good).tolist():
        bridge = _bridge(graph, runs, caps, k, (int(ea[k]), int(eb[k])), cap_of_run, float(wide[k]))
        if bridge is not None:
            old = seen.get(bridge.key)
            if old is None or bridge.thickness_mm < old.thickness_mm:
                seen[bridge.key] = bridge
    return list(seen.values())


def _grazing(out: Floats, p: Floats, q: Floats, rows: tuple[int, int]) -> bool:
    for row in rows:
        d = q[row] - p[row]
        if abs(out[0] * d[1] - out[1] * d[0]) < GRAZING_SINE * np.hypot(*d):
            return True
    return False


def _bridge(
    graph: Graph, runs: Runs, caps: Caps, k: int, rows: tuple[int, int], cap_of_run: dict[int, int], thickness: float
) -> Bridge | None:
    xy, out = graph.xy, caps.out[k]
    target_runs = {int(runs.of_edge[row]) for row in rows}
    facing = -1
    if len(target_runs) == 1:
        facing = cap_of_run.get(target_runs.pop(), -1)
        if facing >= 0 and float(caps.out[facing] @ out) > -0.7:
            facing = -1
    lines, widths = [], []
    for node, row in ((int(caps.a[k]), rows[0]), (int(caps.b[k]), rows[1])):
        end = _landing(xy, node, out, graph.edges[row], caps, facing)
        if end is None:
            return None
        x, y = xy[node].tolist()
        lines.append((x, y, *end))
        widths.append((end[0] - x) * float(out[0]) + (end[1] - y) * float(out[1]))
    width = sum(widths) / 2
    if width < NARROWEST_MM:
        return None
    key = (min(k, facing), max(k, facing)) if facing >= 0 else (k, -1)
    return Bridge(np.array(lines), width, thickness, key)


def _landing(xy: Floats, node: int, out: Floats, edge: Ints, caps: Caps, facing: int) -> tuple[float, float] | None:
    """Where the face that ends at ``node`` lands: an end of the facing wall where the two are in
    line, else the point straight ahead."""
    (x, y), (ox, oy) = xy[node].tolist(), out.tolist()
    if facing >= 0:
        for corner in (caps.a[facing], caps.b[facing]):
            cx, cy = xy[corner].tolist()
            if abs(ox * (cy - y) - oy * (cx - x)) <= ALIGN_MM:
                return cx, cy
    (px, py), (qx, qy) = xy[edge].tolist()
    cross = ox * (qy - py) - oy * (qx - px)
    if abs(cross) < 1e-9:
        return None
    t = ((px - x) * (qy - py) - (py - y) * (qx - px)) / cross
    hit = (x + ox * t, y + oy * t)
    along = ((hit[0] - px) * (qx - px) + (hit[1] - py) * (qy - py)) / math.dist((px, py), (qx, qy)) ** 2
    near, corner_xy = min((math.dist(c, hit), c) for c in ((px, py), (qx, qy)))
    if near <= SAME_MM or (near <= ALIGN_MM and not 0 <= along <= 1):
        return corner_xy
    return hit


def line_bridges(graph: Graph, runs: Runs, loose: Loose, reach_mm: float = REACH_MM) -> list[Bridge]:
    """A bridge for every single line that stops and looks at another line within reach."""
    if not len(loose.node):
        return []
    xy, edges = graph.xy, graph.edges
    tree = shapely.STRtree(shapely.linestrings(xy[edges]))
    p, q = xy[edges[:, 0]], xy[edges[:, 1]]
    start = xy[loose.node]
    reach = np.full(len(start), reach_mm)
    partner = _opposite(xy, loose, reach_mm)
    t, hit = first_hits(start + loose.out * 0.05, loose.out, reach, p, q, tree, loose.run, runs.of_edge)
    seen: dict[tuple[int, int], Bridge] = {}
    for k in range(len(start)):
        other = int(partner[k])
        ahead = float((start[other] - start[k]) @ loose.out[k]) if other >= 0 else np.inf
        if other >= 0 and ahead <= t[k] + ALIGN_MM:
            key = (min(k, other), max(k, other))
            seen[key] = Bridge(np.array([(*start[k], *start[other])]), ahead, 0.0, key)
        elif (
            np.isfinite(t[k]) and t[k] >= NARROWEST_MM and not _grazing(loose.out[k], p, q, (int(hit[k]), int(hit[k])))
        ):
            end = start[k] + loose.out[k] * (t[k] + 0.05)
            seen[(k, -1)] = Bridge(np.array([(*start[k], *end)]), float(t[k]), 0.0, (k, -1))
    return list(seen.values())


def _opposite(xy: Floats, loose: Loose, reach_mm: float) -> Ints:
    """For each loose end the nearest other one in line with it that looks back at it, or -1."""
    start = xy[loose.node]
    # Along the way of each alone: all within reach of each other are too many among ten thousands.
    ways = shapely.linestrings(np.stack([start, start + loose.out * reach_mm], axis=1))
    i, j = shapely.STRtree(shapely.points(start)).query(ways, predicate="dwithin", distance=ALIGN_MM + SAME_MM)
    keep = (i != j) & (np.hypot(*(start[j] - start[i]).T) <= reach_mm)
    i, j = i[keep], j[keep]
    w = xy[loose.node[j]] - xy[loose.node[i]]
    ahead = (w * loose.out[i]).sum(axis=1)
    aside = np.abs(loose.out[i, 0] * w[:, 1] - loose.out[i, 1] * w[:, 0])
    back = (loose.out[i] * loose.out[j]).sum(axis=1) < -np.cos(np.radians(6.0))
    fits = (ahead >= NARROWEST_MM) & (aside <= ALIGN_MM) & back
    i, j, ahead = i[fits], j[fits], ahead[fits]
    partner = np.full(len(loose.node), -1)
    for k in np.argsort(-ahead, kind="stable"):
        partner[i[k]] = j[k]
    return partner


SAME_CENTRE_MM = 20.0
SAME_RADIUS_MM = 15.0
"""Two arcs are of one wall face when their centres and radii differ by less."""


class _End(NamedTuple):
    """A wall's end on two circles: which cap, its nodes inside and outside, centre, both radii, angle,
    and whether the wall would go on anticlockwise."""

    cap: int
    inner: int
    outer: int
    centre: complex
    radii: tuple[float, float]
    angle: float
    onward: bool


def round_bridges(graph: Graph, caps: Caps, lines: Lines) -> list[Bridge]:
    """A bridge for each pair of ends that look at each other along the circles of a curved wall, with
    chords for its faces. ``lines``: what the graph was made of."""
    ends = _ends(graph, caps, lines)
    by_place: dict[tuple[int, int], list[_End]] = {}
    for end in ends:
        by_place.setdefault(_cell(end.centre), []).append(end)
    found = []
    for end in ends:
        if not end.onward:
            continue
        x, y = _cell(end.centre)
        near = [
            o for dx in (-1, 0, 1) for dy in (-1, 0, 1) for o in by_place.get((x + dx, y + dy), ()) if _same(end, o)
        ]
        gap, other = min(
            (((o.angle - end.angle) % math.tau, o) for o in near), key=lambda g: g[0], default=(math.inf, end)
        )
        width = 2 * end.radii[0] * math.sin(min(gap, math.pi) / 2)
        if gap >= math.pi or other.onward or not 1.0 < width <= REACH_MM:
            continue
        nodes = ((end.inner, other.inner), (end.outer, other.outer))
        chords = np.array([(*graph.xy[a], *graph.xy[b]) for a, b in nodes])
        key = (min(end.cap, other.cap), max(end.cap, other.cap))
        found.append(Bridge(chords, width, end.radii[1] - end.radii[0], key))
    return found


def _cell(centre: complex) -> tuple[int, int]:
    return round(centre.real / SAME_CENTRE_MM), round(centre.imag / SAME_CENTRE_MM)


def _same(a: _End, b: _End) -> bool:
    return (
        a is not b
        and abs(a.centre - b.centre) <= SAME_CENTRE_MM
        and all(abs(p - q) <= SAME_RADIUS_MM for p, q in zip(a.radii, b.radii, strict=True))
    )


def _ends(graph: Graph, caps: Caps, lines: Lines) -> list[_End]:
    if not len(lines.arcs) or not len(caps.a):
        return []
    circle = _circle_of_nodes(graph, lines)
    centres = arc_centres(lines.arcs)
    radii = np.abs(centres - (lines.arcs[:, 0] + 1j * lines.arcs[:, 1]))
    found = []
    for k, (a, b) in enumerate(zip(caps.a.tolist(), caps.b.tolist(), strict=True)):
        first, second = int(circle[a]), int(circle[b])
        if first < 0 or second < 0 or abs(centres[first] - centres[second]) > SAME_CENTRE_MM:
            continue
        if radii[first] > radii[second]:
            a, b, first, second = b, a, second, first
        centre = complex(centres[first])
        at = complex(*graph.xy[a])
        turn = ((at - centre).conjugate() * complex(*caps.out[k])).imag
        found.append(
            _End(k, a, b, centre, (float(radii[first]), float(radii[second])), float(np.angle(at - centre)), turn > 0)
        )
    return found


def _circle_of_nodes(graph: Graph, lines: Lines) -> Ints:
    """For each node the row of an arc that ends there, or -1."""
    known = (graph.source >= 0) & (graph.source < len(lines.arc))
    arc = np.full(len(graph.edges), -1)
    arc[known] = lines.arc[graph.source[known]]
    circle = np.full(len(graph.xy), -1)
    round_edges = np.flatnonzero(arc >= 0)
    circle[graph.edges[round_edges].ravel()] = np.repeat(arc[round_edges], 2)
    return circle
