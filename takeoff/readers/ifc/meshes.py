"""Triangle meshes of elements in mm, made by the geometry library: sections, plane pieces and outlines in
plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.readers.ifc.ifc_entities import ENTITY_FAULTS, many, parts

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

GRID_MM = 0.01
"""Vertices closer than this are one: the noise of placements and of triangulation."""
ON_EDGE_MM = 0.05
"""A vertex this near to an edge lies on it."""
STRAIGHT_MM = 0.05
"""A vertex this near to the line between its neighbours is no corner."""
UPRIGHT = 0.02
"""Faces whose normal has less than this of height are walls: steeper than 88.8 degrees."""
SAME_PLANE_MM = 0.5
SAME_SLOPE = 1e-3
M_TO_MM = 1000.0
NOISE_DIGITS = 6
"""Coordinates are kept to a millionth of a millimetre: what lies below is the noise of placements."""
FACET_RAD = 0.1
"""Curves come in facets that turn by less than this, so that they can be told from polygons."""
FARTHEST_MM = 1e10
"""10,000 km: coordinates beyond are damage; national grids stay below."""
INSIDE_WEIGHTS = np.array((0.503, 0.308, 0.189))
MOST_PARTS = 2000
"""Parts of one element; a curtain wall of a tower has fewer."""
MOST_PAIRS = 20_000_000
"""Above this many pairs the exact tests are left out and the mesh is taken as it is oriented."""


class Mesh(NamedTuple):
    """``xyz`` (n, 3) mm and ``faces`` (k, 3) rows of it, outward normals by the right hand."""

    xyz: Floats
    faces: Ints

    @property
    def low(self) -> float:
        """The lowest z, mm."""
        return float(self.xyz[:, 2].min())

    @property
    def high(self) -> float:
        """The highest z, mm."""
        return float(self.xyz[:, 2].max())


class Ring(NamedTuple):
    """A closed ring (n, 2), its last vertex not repeated; anticlockwise encloses."""

    xy: Floats
    area: float


class Piece(NamedTuple):
    """A plane piece: z = z0 + slope·(x − at), and its rings in plan."""

    z: float
    slope: tuple[float, float]
    at: tuple[float, float]
    rings: tuple[Ring, ...]
    area: float


class Shaper:
    """Makes meshes and counts what could not be made, by class."""

    def __init__(self) -> None:
        from ifcopenshell import geom as library

        geom: Any = library
        self._create = geom.create_shape
        self.whole, self.cut = geom.settings(), geom.settings()
        for settings, uncut in ((self.whole, True), (self.cut, False)):
            settings.set("use-world-coords", True)
            settings.set("weld-vertices", True)
            settings.set("mesher-angular-deflection", FACET_RAD)
            settings.set("disable-opening-subtractions", uncut)
        self.failed: Counter[str] = Counter()
        self.far: Counter[str] = Counter()

    def mesh(self, element: Any, *, cut: bool = False) -> Mesh | None:
        """The element's mesh, or its parts' together where it has none of its own; with ``cut``,
        less its openings. None, and counted, where there is none or it cannot be made."""
        if getattr(element, "Representation", None) is None:
            inner = [self.mesh(p, cut=cut) for p in parts(element)[:MOST_PARTS]]
            made = [m for m in inner if m is not None]
            return joined(made) if made else None
        name = str(element.is_a())
        try:
            shape = self._create(self.cut if cut else self.whole, element)
            xyz = np.round(np.array(shape.geometry.verts, float).reshape(-1, 3) * M_TO_MM, NOISE_DIGITS)
            faces = np.array(shape.geometry.faces, np.int64).reshape(-1, 3)
        except ENTITY_FAULTS:
            self.failed[name] += 1
            return None
        if not len(faces):
            self.failed[name] += 1
            return None
        if not np.isfinite(xyz).all() or np.abs(xyz).max() > FARTHEST_MM:
            self.far[name] += 1
            return None
        return Mesh(xyz, faces)


def has_openings(element: Any) -> bool:
    """Whether holes are cut from an element or its parts."""
    return bool(many(element, "HasOpenings")) or any(many(p, "HasOpenings") for p in parts(element))


def joined(meshes: list[Mesh]) -> Mesh:
    """One mesh of several; at least one is needed."""
    shift = np.cumsum([0, *(len(m.xyz) for m in meshes[:-1])])
    return Mesh(
        np.concatenate([m.xyz for m in meshes]),
        np.concatenate([m.faces + s for m, s in zip(meshes, shift, strict=True)]),
    )


def section(mesh: Mesh, z: float) -> Floats:
    """The cut at height ``z`` as segments (n, 4), material on the left; none where it misses."""
    corner = mesh.xyz[mesh.faces]
    above = corner[:, :, 2] >= z
    cut = above.any(axis=1) & ~above.all(axis=1)
    corner, above = corner[cut], above[cut]
    if not len(corner):
        return np.zeros((0, 4))
    # Turned until one corner stands alone on its side of the cut, first in its triangle.
    alone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    turn = (alone[:, None] + np.arange(3)) % 3
    corner = np.take_along_axis(corner, turn[:, :, None], axis=1)
    lone_above = np.take_along_axis(above, turn, axis=1)[:, 0]
    p, q = _crossing(corner[:, 0], corner[:, 1], z), _crossing(corner[:, 0], corner[:, 2], z)
    first = np.where(lone_above[:, None], p, q)
    last = np.where(lone_above[:, None], q, p)
    lines = np.concatenate((first, last), axis=1)
    return np.asarray(lines[np.hypot(*(last - first).T) > GRID_MM])


def _crossing(a: Floats, b: Floats, z: float) -> Floats:
    """Where edges pass through z; the same from both ends, so that neighbours meet."""
    swap = a[:, 2] > b[:, 2]
    low, high = np.where(swap[:, None], b, a), np.where(swap[:, None], a, b)
    share = (z - low[:, 2]) / (high[:, 2] - low[:, 2])
    return np.asarray(low[:, :2] + (high[:, :2] - low[:, :2]) * share[:, None])


def chains(lines: Floats) -> tuple[list[Ring], Floats]:
    """(closed rings, remaining segments) of directed segments, without needless vertices."""
    if not len(lines):
        return [], np.zeros((0, 4))
    ends = lines.reshape(-1, 2)
    _, first, node = np.unique(np.round(ends / GRID_MM), axis=0, return_index=True, return_inverse=True)
    xy, edges = ends[first], node.reshape(-1, 2)
    rings, rest = walk(xy, edges[edges[:, 0] != edges[:, 1]])
    return rings, xy[rest].reshape(-1, 4)


def walk(xy: Floats, edges: Ints) -> tuple[list[Ring], Ints]:
    """Closed rings along directed edges, turning left where there is a choice, and edges left over."""
    out: dict[int, list[int]] = {}
    for number, (a, _) in enumerate(edges.tolist()):
        out.setdefault(a, []).append(number)
    ends = edges.tolist()
    used = [False] * len(ends)
    rings: list[Ring] = []
    rest: list[int] = []
    for start in range(len(ends)):
        if used[start]:
            continue
        path, at = [start], start
        used[start] = True
        while ends[at][1] != ends[start][0]:
            choice = [e for e in out.get(ends[at][1], ()) if not used[e]]
            if not choice:
                break
            at = choice[0] if len(choice) == 1 else _leftmost(xy, ends, at, choice)
            used[at] = True
            path.append(at)
        if ends[at][1] == ends[start][0]:
            ring = _corners(xy[[ends[e][0] for e in path]])
            if len(ring) >= 3:
                rings.append(Ring(ring, signed_area(ring)))
        else:
            rest += path
    return rings, edges[np.array(rest, np.int64)]


def _leftmost(xy: Floats, ends: list[list[int]], at: int, choice: list[int]) -> int:
    dx, dy = xy[ends[at][1]] - xy[ends[at][0]]

    def turn(e: int) -> float:
        ex, ey = xy[ends[e][1]] - xy[ends[e][0]]
        return float(np.arctan2(dx * ey - dy * ex, dx * ex + dy * ey))

    return max(choice, key=turn)


def signed_area(xy: Floats) -> float:
    """Area of a ring, mm², anticlockwise positive; relative to its first vertex."""
    x, y = (xy - xy[0]).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2.0)


def _corners(xy: Floats) -> Floats:
    """The ring without vertices on straight sides."""
    while len(xy) > 3:
        before, after = np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0)
        d = after - before
        w = xy - before
        off = np.abs(d[:, 0] * w[:, 1] - d[:, 1] * w[:, 0]) / np.maximum(np.hypot(*d.T), GRID_MM)
        flat = off < STRAIGHT_MM
        # A spike turns back on itself: its neighbours coincide, and it encloses nothing.
        if not flat.any():
            return xy
        drop = np.flatnonzero(flat)
        lone = drop[np.concatenate(([True], np.diff(drop) > 1))]
        if len(lone) > 1 and lone[0] == 0 and lone[-1] == len(xy) - 1:
            lone = lone[1:]
        xy = np.delete(xy, lone, axis=0)
    return xy


def tops_and_bottoms(mesh: Mesh) -> tuple[Floats, Floats]:
    """The triangles (k, 3, 3) that look up out of a solid and those that look down, both turned
    anticlockwise in plan. Which is which is found by what lies above, since face sets of many
    programs are not oriented."""
    tri = mesh.xyz[mesh.faces]
    normal = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    size = np.linalg.norm(normal, axis=1)
    lying = (np.abs(normal[:, 2]) > UPRIGHT * size) & (size > GRID_MM**2)
    tri, up = tri[lying], normal[lying, 2] > 0
    tri = np.where(up[:, None, None], tri, tri[:, ::-1])
    if 0 < len(tri) ** 2 <= MOST_PAIRS:
        up = _above(tri) % 2 == 0
    return tri[up], tri[~up]


def _above(tri: Floats) -> Ints:
    """How many triangles lie above the middle of each."""
    # Weights that no symmetric triangulation shares, so that no edge runs through the point.
    middle = np.tensordot(tri, INSIDE_WEIGHTS, axes=(1, 0))
    count = np.zeros(len(tri), np.int64)
    edge = np.roll(tri, -1, axis=1) - tri
    span = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    for number, (x, y, z) in enumerate(middle.tolist()):
        w = np.array((x, y)) - tri[:, :, :2]
        within = (edge[:, :, 0] * w[:, :, 1] - edge[:, :, 1] * w[:, :, 0] >= 0).all(axis=1)
        rise = (span[:, 0] * (x - tri[:, 0, 0]) + span[:, 1] * (y - tri[:, 0, 1])) / span[:, 2]
        height = tri[:, 0, 2] - rise
        count[number] = int((within & (height > z + GRID_MM)).sum())
    return count


def outline(tri: Floats) -> tuple[list[Ring], Floats]:
    """(rings round triangles in plan, segments that do not close): inner borders cancel."""
    if not len(tri):
        return [], np.zeros((0, 4))
    points = tri[:, :, :2].reshape(-1, 2)
    _, first, node = np.unique(np.round(points / GRID_MM), axis=0, return_index=True, return_inverse=True)
    xy, corner = points[first], node.reshape(-1, 3)
    edges = np.concatenate([corner[:, [i, (i + 1) % 3]] for i in range(3)])
    edges = edges[edges[:, 0] != edges[:, 1]]
    if len(edges) * len(xy) <= MOST_PAIRS:
        edges = np.array(list(_noded(xy, edges)), np.int64).reshape(-1, 2)
    rings, rest = walk(xy, _uncancelled(edges, len(xy)))
    return [r for r in rings if abs(r.area) > 1.0], xy[rest].reshape(-1, 4)


def _noded(xy: Floats, edges: Ints) -> Iterator[tuple[int, int]]:
    """Edges cut at the vertices that lie on them."""
    for a, b in edges.tolist():
        d = xy[b] - xy[a]
        length = float(np.hypot(*d))
        w = xy - xy[a]
        along = w @ d / length
        off = np.abs(d[0] * w[:, 1] - d[1] * w[:, 0]) / length
        on = np.flatnonzero((off < ON_EDGE_MM) & (along > ON_EDGE_MM) & (along < length - ON_EDGE_MM))
        stops = [a, *on[np.argsort(along[on])].tolist(), b]
        yield from pairwise(stops)


def _uncancelled(edges: Ints, count: int) -> Ints:
    """What is left of directed edges when each meets its opposite."""
    low, high = edges.min(axis=1), edges.max(axis=1)
    key, where = np.unique(low * count + high, return_inverse=True)
    net = np.zeros(len(key), np.int64)
    np.add.at(net, where, np.where(edges[:, 0] == low, 1, -1))
    a, b = key // count, key % count
    kept = np.concatenate((np.column_stack((a, b))[net > 0], np.column_stack((b, a))[net < 0]))
    return np.asarray(kept, np.int64)


def pieces(tri: Floats) -> list[Piece]:
    """Triangles sorted into planes, the largest first, each with its rings in plan."""
    if not len(tri):
        return []
    normal = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    slope = -normal[:, :2] / normal[:, 2:]
    at = tri.mean(axis=(0, 1))[:2]
    z = tri[:, 0, 2] + ((at - tri[:, 0, :2]) * slope).sum(axis=1)
    free = np.ones(len(tri), bool)
    found = []
    for lead in np.argsort(-normal[:, 2], kind="stable").tolist():
        if not free[lead]:
            continue
        corner_z = z[lead] + ((tri[:, :, :2] - at) @ slope[lead])
        same = free & (np.abs(corner_z - tri[:, :, 2]).max(axis=1) < SAME_PLANE_MM)
        same &= np.abs(slope - slope[lead]).max(axis=1) < np.maximum(SAME_SLOPE, _steepness(tri))
        free &= ~same
        free[lead] = False
        same[lead] = True
        rings, _ = outline(tri[same])
        if rings:
            found.append(
                Piece(
                    float(z[lead]),
                    (float(slope[lead, 0]), float(slope[lead, 1])),
                    (float(at[0]), float(at[1])),
                    tuple(rings),
                    sum(r.area for r in rings),
                )
            )
    return sorted(found, key=lambda p: -p.area)


def _steepness(tri: Floats) -> Floats:
    """How far a slope can be off for a triangle as thin as this with corners off by the grid."""
    edge = np.roll(tri[:, :, :2], -1, axis=1) - tri[:, :, :2]
    longest = np.hypot(edge[:, :, 0], edge[:, :, 1]).max(axis=1)
    double = np.abs(edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    return np.asarray(4.0 * GRID_MM * longest / np.maximum(double, GRID_MM**2))
