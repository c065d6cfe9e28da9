"""Partitions whose core is open to outside where they run against a wall that has its near face alone: a plan that was
cut out of a larger one, or that leaves the neighbour's face of a party wall out. Their mouths are closed from corner to
corner, so that they are walls."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.runs import half_edges
from takeoff.recognise.walls.enclosed_faces import Faces

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

THICK_MM = (45.0, 350.0)
"""A partition is so thick (common practice, no source)."""
SQUARE = 0.05
"""Its faces, and those that they turn into, are square to its mouth but for so much."""


def with_closed_cores(faces: Faces) -> Graph:
    """Their graph with a line across the mouth of each partition that opens to outside between two corners of what is
    enclosed on both its sides; the same one where there is none. Where no wall is closed, the faces of rooms alone are
    drawn, and all that is between them is open."""
    graph, left = faces.graph, faces.left
    outer = np.flatnonzero((left < 0) != (faces.right < 0))
    if not len(outer) or not faces.body.any():
        return graph
    # From each end of an edge: where it leads to, and whether outside lies to its left.
    at, edge, angle = half_edges(graph.xy, graph.edges[outer])
    forward = graph.edges[outer[edge], 0] == at
    outside_left = forward == (left[outer[edge]] < 0)
    way = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    found = _mouths(graph.xy, at, way, outside_left)
    if not len(found):
        return graph
    lines = shapely.linestrings(graph.xy[found])
    crossed, _ = shapely.STRtree(shapely.linestrings(graph.xy[graph.edges])).query(lines, predicate="crosses")
    found = np.delete(found, np.unique(crossed), axis=0)
    source = np.concatenate([graph.source, np.full(len(found), -1)])
    return Graph(graph.xy, np.concatenate([graph.edges, found]), source)


def _mouths(xy: Floats, at: Ints, way: Floats, outside_left: NDArray[np.bool_]) -> Ints:
    """(n, 2) nodes: corners where a face of a partition, with outside to the one side, meets a face that runs away from
    the other corner, with the other corner's faces doing the like."""
    nodes = np.unique(at)
    points = shapely.points(xy[nodes])
    i, j = shapely.STRtree(points).query(points, predicate="dwithin", distance=THICK_MM[1])
    i, j = nodes[i], nodes[j]
    span = xy[j] - xy[i]
    thick = np.hypot(span[:, 0], span[:, 1])
    keep = (i < j) & (thick >= THICK_MM[0])
    own: dict[int, list[int]] = {}
    for row, node in enumerate(at.tolist()):
        own.setdefault(node, []).append(row)
    found = []
    for a, b, d in zip(i[keep].tolist(), j[keep].tolist(), span[keep] / thick[keep][:, None], strict=True):
        if len(own[a]) == len(own[b]) == 2 and _faces(own[a], own[b], d, way, outside_left):
            found.append((a, b))
    return np.array(found, np.int64).reshape(-1, 2)


def _faces(one: list[int], other: list[int], d: Floats, way: Floats, outside_left: NDArray[np.bool_]) -> bool:
    """Whether the two edges at both corners are a partition's face, side by side and open to each other, and one that
    runs on away from the mouth."""
    backs = []
    for rows, towards in ((one, d), (other, -d)):
        along = way[rows] @ towards
        back, away = int(np.abs(along).argmin()), int(along.argmin())
        if abs(float(along[back])) > SQUARE or float(along[away]) > -np.sqrt(1 - SQUARE**2):
            return False
        w = way[rows[back]]
        # The outside beside a partition's face is its core, which lies towards the other corner.
        if outside_left[rows[back]] != (float(w[0] * towards[1] - w[1] * towards[0]) > 0):
            return False
        backs.append(w)
    return float(backs[0] @ backs[1]) > 1 - SQUARE
