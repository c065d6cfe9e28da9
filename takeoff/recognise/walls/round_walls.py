"""Gaps in curved walls: from a wall's end along its circle to the next end on the same circle."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.recognise.walls.bridges import REACH_MM, Bridge
from takeoff.recognise.walls.caps import Caps
from takeoff.recognise.walls.linework import Lines, arc_centres

Ints = NDArray[np.int64]

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
