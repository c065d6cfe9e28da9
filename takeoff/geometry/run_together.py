"""Strokes so close that their ink runs together are a filled shape on paper: walls are often filled by a hatch that
is printed as thousands of lines, each as wide as the next is far."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TURN_DEG = 2.0
"""Strokes of one hatch lie so nearly in one direction: ends are rounded to 0.04 mm."""
FEWEST, DEEP = 12, 4.0
"""So many strokes, together so many times as deep as their pen is wide: three lines side by side are one thick one."""
BESIDE = 0.3
"""This part of the shorter of two strokes lies beside the other."""
INKED_MM = 0.05
"""Finer pens are drawn to the eye as lines, whatever lies beside them."""
ROUGH_MM = 0.06
"""Ends of strokes lie so near to the edge that they fill up to."""
BESIDE_EDGE_MM, ALONG = 0.1, 0.9
"""On paper: a line that runs as near to the edge of what is filled for so much of its length draws it."""
GRID_MM = 0.001
SQUARE_ENOUGH = 0.2
"""Sides that turn by less meet too far off when they are moved."""
CORNER_MM = 0.6
"""On paper: a corner of what is filled is cut off by no more."""
SHORT = 3.0
"""Strokes of a filled corner are no longer than so many times the width of their pen."""
NEXT = 1.3
"""Beside a stroke lie its neighbours, some of them at the other side of a corner, and what lies farther off."""
MOST_STROKES, MOST_PAIRS, ASKED = 150_000, 4_000_000, 128
"""More than these are left as they are."""


class Inked(NamedTuple):
    """Which of the strokes fill (n,), and what they fill: shapes, for each one of its strokes."""

    fills: Bools
    shapes: NDArray[np.object_]
    lender: Ints


def run_together(xy: Floats, pen: Ints, wide_mm: Floats) -> Inked | None:
    """What straight strokes (n, 4) in mm on paper fill whose ink runs together; ``pen`` (n,) is the number of each
    one's pen, ``wide_mm`` (n,) how wide that is. None where no strokes do."""
    rows = np.flatnonzero(wide_mm >= INKED_MM)
    length = np.hypot(*(xy[rows, 2:] - xy[rows, :2]).T)
    rows = rows[length >= wide_mm[rows]]
    if not FEWEST <= len(rows) <= MOST_STROKES:
        return None
    i, j = _beside(xy[rows], pen[rows], wide_mm[rows])
    if not len(i):
        return None
    group = components(len(rows), i, j)
    fills = _deep(xy[rows], group, wide_mm[rows])
    if not fills.any():
        return None
    next_ = _next(xy[rows], i, j) & fills[i]
    quads = _quads(xy[rows[i[next_]]], xy[rows[j[next_]]])
    of = group[i[next_]]
    shapes, lender = [], []
    for own in np.unique(group[fills]).tolist():
        body = _closed(shapely.union_all(quads[of == own]), float(wide_mm[rows[own]]) / 2.0)
        for part in shapely.get_parts(shapely.simplify(body, ROUGH_MM)):
            if part.geom_type == "Polygon" and part.area > 0.0:
                shapes.append(part)
                lender.append(int(rows[own]))
    found = np.zeros(len(xy), bool)
    found[rows[fills]] = True
    made = Inked(found, np.array(shapes, dtype=object), np.array(lender, np.int64))
    return made._replace(fills=found | _within(made, xy, wide_mm))


def _within(filled: Inked, xy: Floats, wide_mm: Floats) -> Bools:
    """Which short strokes lie in what is filled: those that fill its corners."""
    found = np.zeros(len(xy), bool)
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    short = np.flatnonzero((length <= SHORT * wide_mm) & ~filled.fills)
    if len(short):
        wider = shapely.buffer(filled.shapes, wide_mm[filled.lender], join_style="mitre")
        inside, _ = shapely.STRtree(wider).query(shapely.linestrings(xy[short].reshape(-1, 2, 2)), predicate="within")
        found[short[inside]] = True
    return found


def _closed(body: shapely.Geometry, reach_mm: float) -> shapely.Geometry:
    """A shape without its slits: what two strokes leave between them at a corner, ink covers."""
    wider = shapely.buffer(body, reach_mm, join_style="mitre")
    return shapely.buffer(wider, -reach_mm, join_style="mitre")


def _beside(xy: Floats, pen: Ints, wide: Floats) -> tuple[Ints, Ints]:
    """Pairs of strokes of one pen in one direction that lie beside each other, nearer than they are wide."""
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    tree = shapely.STRtree(drawn)
    # few are asked first: long lines right across a sheet are each compared with nearly all others
    for many, most in ((ASKED // 8, 2 * MOST_PAIRS), (ASKED, MOST_PAIRS)):
        asked = np.unique(np.linspace(0, len(xy) - 1, many).astype(np.int64))
        met = tree.query(drawn[asked], predicate="dwithin", distance=wide[asked])[0]
        if len(met) / len(asked) * len(xy) > most:
            return np.zeros(0, np.int64), np.zeros(0, np.int64)
    i, j = tree.query(drawn, predicate="dwithin", distance=wide)
    once = (i < j) & (pen[i] == pen[j])
    i, j = i[once], j[once]
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / length[:, None]
    sine = np.abs(unit[i, 0] * unit[j, 1] - unit[i, 1] * unit[j, 0])
    # where the other's ends lie along this one, and how far off
    ends = [xy[j, k : k + 2] - xy[i, :2] for k in (0, 2)]
    along = np.sort(np.stack([(e * unit[i]).sum(axis=1) for e in ends], axis=1), axis=1)
    off = np.stack([np.abs(unit[i, 0] * e[:, 1] - unit[i, 1] * e[:, 0]) for e in ends], axis=1).min(axis=1)
    shared = np.minimum(along[:, 1], length[i]) - np.maximum(along[:, 0], 0.0)
    kept = (sine <= np.sin(np.radians(TURN_DEG))) & (off <= wide[i])
    kept &= shared >= BESIDE * np.minimum(length[i], length[j])
    return i[kept], j[kept]


def _next(xy: Floats, i: Ints, j: Ints) -> Bools:
    """Which pairs are neighbours: the one lies hardly farther beside the other than the nearest on that side does."""
    d = xy[:, 2:] - xy[:, :2]
    d = d * np.where((d[:, 0] < 0.0) | ((d[:, 0] == 0.0) & (d[:, 1] < 0.0)), -1.0, 1.0)[:, None]
    off = (xy[j, :2] + xy[j, 2:] - xy[i, :2] - xy[i, 2:]) / 2.0
    across = (d[i, 0] * off[:, 1] - d[i, 1] * off[:, 0]) / np.hypot(d[i, 0], d[i, 1])
    left = (across > 0.0).astype(np.int64)
    apart = np.abs(across) > GRID_MM
    nearest = np.full((len(xy), 2), np.inf)
    for own, side in ((i, left), (j, 1 - left)):
        np.minimum.at(nearest, (own[apart], side[apart]), np.abs(across[apart]))
    reach = np.maximum(nearest[i, left], nearest[j, 1 - left])
    return np.asarray(apart & (np.abs(across) <= NEXT * reach + GRID_MM))


def _deep(xy: Floats, group: Ints, wide: Floats) -> Bools:
    """Which strokes are of a group of so many that is as deep across them."""
    count = np.bincount(group, minlength=len(group))
    d = xy[group, 2:] - xy[group, :2]
    unit = d / np.hypot(d[:, 0], d[:, 1])[:, None]
    middle = (xy[:, :2] + xy[:, 2:]) / 2.0 - xy[group, :2]
    across = unit[:, 0] * middle[:, 1] - unit[:, 1] * middle[:, 0]
    low, high = np.full(len(group), np.inf), np.full(len(group), -np.inf)
    np.minimum.at(low, group, across)
    np.maximum.at(high, group, across)
    return np.asarray((count[group] >= FEWEST) & ((high - low)[group] >= DEEP * wide))


def _quads(a: Floats, b: Floats) -> NDArray[np.object_]:
    """The strip between each two strokes, from the ends of the one to those of the other."""
    same = ((a[:, 2:] - a[:, :2]) * (b[:, 2:] - b[:, :2])).sum(axis=1) >= 0.0
    back = np.where(same[:, None], b[:, [2, 3, 0, 1]], b)
    points = np.concatenate((a, back), axis=1).reshape(-1, 4, 2)
    return np.asarray(shapely.convex_hull(shapely.multipoints(points)))


def edges_of(filled: Inked, lines: Floats) -> tuple[list[Floats], Bools]:
    """(the rings of what strokes fill, each as straight pieces (n, 5), moved onto the lines (m, 5) that draw their
    edges; which of the lines do so and nothing else)"""
    own = shapely.linestrings(lines[:, :4].reshape(-1, 2, 2))
    long = np.flatnonzero(shapely.length(own) >= 2.0 * BESIDE_EDGE_MM)
    tree = shapely.STRtree(own[long])
    rings: list[Floats] = []
    edges: list[shapely.Geometry] = []
    for shape in filled.shapes:
        for ring in (shape.exterior, *shape.interiors):
            xy = _sharp(shapely.get_coordinates(ring))
            sides = shapely.linestrings(np.stack((xy[:-1], xy[1:]), axis=1))
            near = tree.query(sides, predicate="dwithin", distance=BESIDE_EDGE_MM)
            rings.append(_onto(xy, lines[long], near[0], near[1]))
            edges += list(sides)
    rims = shapely.union_all(shapely.buffer(edges, BESIDE_EDGE_MM, cap_style="square"))
    shapely.prepare(rims)
    along = np.zeros(len(lines), bool)
    beside = long[shapely.intersects(rims, own[long])]
    covered = shapely.length(shapely.intersection(own[beside], rims))
    along[beside] = covered >= ALONG * shapely.length(own[beside])
    return rings, along


def _sharp(xy: Floats) -> Floats:
    """A closed ring (n + 1, 2) with corners in place of short sides between longer ones: no stroke of a hatch reaches
    into a corner."""
    corners = xy[:-1]
    kept = []
    for k in range(len(corners)):
        before, a, b, after = (corners[(k + step) % len(corners)] for step in (-1, 0, 1, 2))
        d, e, short = a - before, after - b, b - a
        sine = float(d[0] * e[1] - d[1] * e[0]) / max(float(np.hypot(*d) * np.hypot(*e)), 1e-12)
        size = float(np.hypot(*short))
        if size <= CORNER_MM and min(np.hypot(*d), np.hypot(*e)) > size and abs(sine) > SQUARE_ENOUGH:
            at = a + d * (short[0] * e[1] - short[1] * e[0]) / (d[0] * e[1] - d[1] * e[0])
            if np.hypot(*(at - a)) <= CORNER_MM:
                kept.append((at, (k + 1) % len(corners)))
                continue
        kept.append((a, -1))
    skipped = {second for _, second in kept}
    ring = np.array([at for k, (at, _) in enumerate(kept) if k not in skipped])
    return np.concatenate((ring, ring[:1])) if len(ring) >= 3 else xy


def _onto(xy: Floats, lines: Floats, side: Ints, line: Ints) -> Floats:
    """A closed ring (n + 1, 2) as straight pieces (n, 5), each side moved onto the line in its direction that runs
    beside most of it; pairs of ``side`` and ``line`` lie near each other."""
    a, d = xy[:-1], xy[1:] - xy[:-1]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / np.maximum(length, 1e-12)[:, None]
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    ends = [lines[line, k : k + 2] - a[side] for k in (0, 2)]
    t = np.sort(np.stack([(e * unit[side]).sum(axis=1) for e in ends], axis=1), axis=1)
    off = np.stack([(e * normal[side]).sum(axis=1) for e in ends], axis=1)
    shared = np.minimum(t[:, 1], length[side]) - np.maximum(t[:, 0], 0.0)
    level = (np.abs(off).max(axis=1) <= BESIDE_EDGE_MM) & (shared >= BESIDE * length[side])
    shift = np.zeros(len(a))
    for k in np.flatnonzero(level)[np.argsort(shared[level], kind="stable")].tolist():
        shift[side[k]] = off[k].mean()
    moved = a + normal * shift[:, None]
    corners = moved.copy()
    for k in range(len(a)):
        # where a side meets the one before; in line with it there is no such place
        sine = unit[k - 1, 0] * unit[k, 1] - unit[k - 1, 1] * unit[k, 0]
        if abs(sine) > SQUARE_ENOUGH:
            gap = moved[k] - moved[k - 1]
            corners[k] = moved[k - 1] + unit[k - 1] * (gap[0] * unit[k, 1] - gap[1] * unit[k, 0]) / sine
    return np.column_stack((corners, np.roll(corners, -1, axis=0), np.zeros(len(a))))
