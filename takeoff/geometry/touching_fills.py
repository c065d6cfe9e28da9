"""Triangles and slim strips that are filled in one ink and touch are one shape on paper: drivers write what is filled,
letters and shadings among it, as such pieces, and no edge between them is seen. Bodies with more corners are somebody's
own: walls that are filled piece by piece end where windows are painted over them, and stay as they are."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Shapes = NDArray[np.object_]

GRID_MM = 0.001
"""On paper: corners are joined to this grid, 0.1 mm of a building at 1:100."""
SLIM_MM, NEAR_INK = 0.5, 24
"""Pieces no thicker than this are bands of a shading, whose inks differ by no more in red, green and blue from one to
the next."""
TRIANGLE = 4
"""Its corners, the first one twice."""
MOST_SHAPES, MOST_PAIRS, ASKED = 60_000, 600_000, 128
"""Where there are more, or they overlap more often (asked of some), they are left as they are."""


class Filled(NamedTuple):
    """Shapes in place of filled subpaths: their rings, each as straight pieces (n, 5: x0 y0 x1 y1 and no bulge), for
    each ring the subpath that lends it pen and clip, and which subpaths they replace (count,)."""

    rings: list[Floats]
    lender: Ints
    replaced: Bools


def together(xyxyb: Floats, path: Ints, fill: Bools, thing: Ints, kind: Ints, ink: Ints) -> Filled | None:
    """The filled subpaths (``fill``), triangles and slim ones, that touch another of their kind and ink, as one shape
    each; None where there are none. ``xyxyb`` (n, 5) are the pieces of all subpaths, in order, ``path`` (n,) the
    subpath of each. Per subpath: ``thing``, the path that it belongs to (its inner rings are holes),
    ``kind``, what has to be the same besides the ink, and ``ink`` (count, 3)."""
    rows = np.flatnonzero(_straight_fills(xyxyb, path, fill))
    if not 2 <= len(rows) <= MOST_SHAPES:
        return None
    shapes, first, members = _bodies(_polygons(xyxyb, path, rows), rows, thing)
    pairs = _touching(shapes, kind[first], ink[first])
    if pairs is None:
        return None
    group = components(len(shapes), *pairs)
    size = np.bincount(group, minlength=len(shapes))
    joined = np.flatnonzero(size[group] > 1)
    if not len(joined):
        return None
    order = joined[np.argsort(group[joined], kind="stable")]
    starts = np.flatnonzero(np.diff(group[order], prepend=-1))
    rings: list[Floats] = []
    owner: list[int] = []
    for run in np.split(order, starts[1:]):
        whole = shapely.union_all(shapes[run], grid_size=GRID_MM)
        for ring in _rings(whole):
            rings.append(ring)
            owner.append(int(first[run[0]]))
    replaced = np.zeros(len(fill), bool)
    replaced[members[np.isin(members[:, 0], joined), 1]] = True
    if not rings:
        return None
    return Filled(rings, np.array(owner, np.int64), replaced)


def _straight_fills(xyxyb: Floats, path: Ints, fill: Bools) -> Bools:
    """Which filled subpaths have straight sides only, three or more with the one that filling them draws."""
    count = np.bincount(path, minlength=len(fill))
    bent = np.bincount(path, weights=xyxyb[:, 4] != 0.0, minlength=len(fill)) > 0
    return np.asarray(fill & (count >= 2) & ~bent)


def _polygons(xyxyb: Floats, path: Ints, rows: Ints) -> Shapes:
    """The rings of subpaths as valid shapes."""
    number = np.full(int(path.max()) + 1 if len(path) else 0, -1)
    number[rows] = np.arange(len(rows))
    own = np.flatnonzero(number[path] >= 0)
    of = number[path[own]]
    count = np.bincount(of, minlength=len(rows))
    first = np.concatenate(([0], np.cumsum(count)))
    # each ring goes on to where its last side ends, and back to where it began
    xy = np.insert(xyxyb[own, :2], first[1:], xyxyb[own[first[1:] - 1], 2:4], axis=0)
    ring = np.insert(of, first[1:], np.arange(len(rows)))
    made = shapely.polygons(shapely.linearrings(xy, indices=ring))
    bad = ~shapely.is_valid(made)
    made[bad] = shapely.make_valid(made[bad])
    return np.asarray(made)


def _bodies(rings: Shapes, rows: Ints, thing: Ints) -> tuple[Shapes, Ints, Ints]:
    """(the shapes of paths: rings of one path that lie in each other are one shape with holes, the first subpath of
    each, rows (shape, subpath))"""
    own = thing[rows]
    a, b = np.zeros(0, np.int64), np.zeros(0, np.int64)
    several = np.flatnonzero(np.bincount(own)[own] > 1)
    if 1 < len(several) <= MOST_SHAPES and _pairs_about(rings[several]) <= MOST_PAIRS:
        i, j = shapely.STRtree(rings[several]).query(rings[several], predicate="contains")
        inner = (i != j) & (own[several[i]] == own[several[j]])
        a, b = several[i[inner]], several[j[inner]]
    group = components(len(rows), a, b)
    firsts, of = np.unique(group, return_inverse=True)
    shapes = rings[firsts].copy()
    for shape in np.flatnonzero(np.bincount(of) > 1).tolist():
        body = None
        for ring in rings[np.flatnonzero(of == shape)]:
            body = ring if body is None else shapely.symmetric_difference(body, ring)
        shapes[shape] = body
    return shapes, rows[firsts], np.stack([of, rows], axis=1)


def _pairs_about(shapes: Shapes) -> float:
    """About how many pairs of shapes have boxes that meet, by asking some."""
    asked = shapes[np.unique(np.linspace(0, len(shapes) - 1, ASKED).astype(np.int64))]
    return len(shapely.STRtree(shapes).query(asked)[0]) / len(asked) * len(shapes)


def _touching(shapes: Shapes, kind: Ints, ink: Ints) -> tuple[Ints, Ints] | None:
    """Pairs of pieces of one kind that touch and whose inks are one, or near where both are slim; None where they are
    too many to look at."""
    with np.errstate(invalid="ignore", divide="ignore"):
        slim = 2.0 * shapely.area(shapes) / shapely.length(shapes) <= SLIM_MM
    pieces = np.flatnonzero(slim | (shapely.get_num_coordinates(shapely.normalize(shapes)) == TRIANGLE))
    if len(pieces) < 2 or _pairs_about(shapes[pieces]) > MOST_PAIRS:
        return None
    i, j = shapely.STRtree(shapes[pieces]).query(shapes[pieces], predicate="intersects")
    i, j = pieces[i[i < j]], pieces[j[i < j]]
    off = np.abs(ink[i] - ink[j]).max(axis=1, initial=0)
    alike = (kind[i] == kind[j]) & ((off == 0) | ((off <= NEAR_INK) & slim[i] & slim[j]))
    return i[alike], j[alike]


def _rings(whole: shapely.Geometry) -> list[Floats]:
    """All rings of a shape as straight pieces (n, 5), without corners in a straight side."""
    found = []
    for part in shapely.get_parts(shapely.simplify(whole, GRID_MM)):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for ring in (part.exterior, *part.interiors):
            xy = shapely.get_coordinates(ring)
            found.append(np.column_stack((xy[:-1], xy[1:], np.zeros(len(xy) - 1))))
    return found
