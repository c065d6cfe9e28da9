"""Straight runs in a graph of linework, components, and what a ray meets first."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STRAIGHT_RAD = np.radians(1.0)
"""Edges that meet at less than this bend go straight on."""
NEARER_MM = (500.0, 3000.0)
"""How far a ray looks at first."""


def components(count: int, a: Ints, b: Ints) -> Ints:
    """For each of ``count`` things the least number in its group, where a[i] and b[i] belong
    together."""
    label = np.arange(count)
    while len(a):
        la, lb = label[a], label[b]
        apart = la != lb
        if not apart.any():
            break
        a, b, la, lb = a[apart], b[apart], la[apart], lb[apart]
        np.minimum.at(label, np.maximum(la, lb), np.minimum(la, lb))
        while True:
            jumped = label[label]
            if np.array_equal(jumped, label):
                break
            label = jumped
    return label


class Runs(NamedTuple):
    """``of_edge`` (m,): the run of each edge; ``ends`` (r, 2): the nodes a run goes between."""

    of_edge: Ints
    ends: Ints


def half_edges(xy: Floats, edges: Ints) -> tuple[Ints, Ints, Floats]:
    """(node, edge, direction in radians) of the 2·m half edges, each pointing off its node."""
    at = np.concatenate([edges[:, 0], edges[:, 1]])
    to = np.concatenate([edges[:, 1], edges[:, 0]])
    edge = np.tile(np.arange(len(edges)), 2)
    d = xy[to] - xy[at]
    return at, edge, np.arctan2(d[:, 1], d[:, 0])


def straight_runs(xy: Floats, edges: Ints, bend_rad: float = STRAIGHT_RAD) -> Runs:
    """Edges joined where one goes straight on into the next."""
    if not len(edges):
        return Runs(np.zeros(0, np.int64), np.zeros((0, 2), np.int64))
    at, edge, angle = half_edges(xy, edges)
    fold = np.mod(angle, np.pi)
    fold = np.where(fold > np.pi - bend_rad, fold - np.pi, fold)
    order = np.lexsort((fold, at))
    i, j = order[:-1], order[1:]
    straight = (at[i] == at[j]) & (fold[j] - fold[i] < bend_rad)
    straight &= np.cos(angle[i] - angle[j]) < 0
    label = components(len(edges), edge[i[straight]], edge[j[straight]])
    _, run = np.unique(label, return_inverse=True)
    run = run.reshape(-1)
    return Runs(run, _run_ends(xy, edges, run))


def _run_ends(xy: Floats, edges: Ints, run: Ints) -> Ints:
    node = np.concatenate([edges[:, 0], edges[:, 1]])
    owner = np.tile(run, 2)
    order = np.lexsort((node, owner))
    node, owner = node[order], owner[order]
    new = np.ones(len(node), bool)
    new[1:] = (node[1:] != node[:-1]) | (owner[1:] != owner[:-1])
    start = np.flatnonzero(new)
    once = np.diff(np.append(start, len(node))) == 1
    node, owner = node[start][once], owner[start][once]
    ends = np.full((run.max() + 1, 2), -1)
    first = np.ones(len(owner), bool)
    first[1:] = owner[1:] != owner[:-1]
    last = np.append(first[1:], True)
    ends[owner[first], 0] = node[first]
    ends[owner[last], 1] = node[last]
    # Two lines that part by less than a bend are one run with three ends or more: those farthest apart are its ends.
    for forked in np.flatnonzero(np.bincount(owner, minlength=len(ends)) > 2).tolist():
        own = node[owner == forked]
        away = np.hypot(*(xy[own] - xy[own[0]]).T)
        start = own[away.argmax()]
        ends[forked] = np.sort([start, own[np.hypot(*(xy[own] - xy[start]).T).argmax()]])
    return ends


def first_hits(
    start: Floats,
    direction: Floats,
    reach_mm: Floats,
    p: Floats,
    q: Floats,
    tree: shapely.STRtree,
    ignore: Ints | None = None,
    of_run: Ints | None = None,
) -> tuple[Floats, Ints]:
    """(distance, segment) that each ray meets first; inf and -1 where it meets none in reach.

    ``start``, ``direction`` (k, 2) with unit directions; ``p``, ``q`` (n, 2) the segments in
    ``tree``; a ray ignores segments whose ``of_run`` is its ``ignore``.
    """
    distance, hit = np.full(len(start), np.inf), np.full(len(start), -1)
    left = np.arange(len(start))
    # Most rays end soon: those that do not are asked again for farther.
    for stage in (*NEARER_MM, np.inf):
        reach = np.minimum(reach_mm[left], stage)
        far = start[left] + direction[left] * reach[:, None]
        ray, seg = tree.query(shapely.linestrings(np.stack([start[left], far], axis=1)), predicate="intersects")
        ray = left[ray]
        if ignore is not None and of_run is not None:
            keep = of_run[seg] != ignore[ray]
            ray, seg = ray[keep], seg[keep]
        t = _along_rays(start[ray], direction[ray], p[seg], q[seg])
        order = np.lexsort((t, ray))
        ray, seg, t = ray[order], seg[order], t[order]
        first = np.append(True, ray[1:] != ray[:-1])[: len(ray)]
        # Where a segment lies along a ray, a nearer one may begin beyond this stage.
        first &= (t < stage) | (reach_mm[ray] <= stage)
        distance[ray[first]] = np.maximum(t[first], 0.0)
        hit[ray[first]] = seg[first]
        left = left[(hit[left] < 0) & (reach_mm[left] > stage)]
    return distance, hit


def _along_rays(start: Floats, d: Floats, p: Floats, q: Floats) -> Floats:
    """How far along each ray its segment p–q lies; for one along the ray, its first end."""
    s, w = q - p, p - start
    cross = d[:, 0] * s[:, 1] - d[:, 1] * s[:, 0]
    along = w[:, 0] * d[:, 0] + w[:, 1] * d[:, 1]
    flat = np.abs(cross) < 1e-9 * np.hypot(s[:, 0], s[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(flat, along, (w[:, 0] * s[:, 1] - w[:, 1] * s[:, 0]) / cross)
