"""The mesh of a solid: cut along planes, cleaned of doubled edges, its edges joined across the void."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np

SLIVER_MM = 1e-5
"""A triangle less high than this is a doubled edge: it takes the surface across its longest edge."""

Pairs = dict[tuple[int, int], int]
"""The triangle of each edge, by its two corners in the winding of the triangle."""


def split_mesh(
    vertices: np.ndarray, faces: np.ndarray, at: tuple[float, float], across: tuple[float, float]
) -> tuple[np.ndarray, np.ndarray]:
    """The mesh with every triangle cut along an upright plane through ``at`` square to ``across``."""
    away = (vertices[:, 0] - at[0]) * across[0] + (vertices[:, 1] - at[1]) * across[1]
    away[np.abs(away) < SLIVER_MM] = 0.0
    points, made = [*vertices], []
    between: dict[tuple[int, int], int] = {}

    def crossing(a: int, b: int) -> int:
        a, b = min(a, b), max(a, b)
        if (a, b) not in between:
            share = away[a] / (away[a] - away[b])
            points.append(vertices[a] + share * (vertices[b] - vertices[a]))
            between[a, b] = len(points) - 1
        return between[a, b]

    for face in faces:
        outline: list[int] = []
        for a, b in zip(face, np.roll(face, -1), strict=True):
            outline += [int(a)] + ([crossing(int(a), int(b))] if away[a] * away[b] < 0 else [])
        made += cut_triangle(outline, len(vertices), away)
    return np.array(points), np.array(made)


def cut_triangle(outline: list[int], old: int, away: np.ndarray) -> list[list[int]]:
    """The triangles of an outline of old corners and at most two crossings (numbered from ``old``)."""
    new = [i for i, v in enumerate(outline) if v >= old]
    if not new:
        return [outline]
    turned = outline[new[0] :] + outline[: new[0]]
    if len(new) == 1:
        return [turned[:3], [turned[0], turned[2], turned[3]]]
    other = next(i for i, v in enumerate(turned) if i and v >= old)
    parts = [turned[: other + 1], turned[other:] + turned[:1]]
    return [[part[0], part[i], part[i + 1]] for part in parts for i in range(1, len(part) - 1)]


def donors(vertices: np.ndarray, faces: np.ndarray, pairs: Pairs) -> list[int]:
    """For each triangle the one whose surface it shares: itself unless it is a doubled edge."""
    corners = vertices[faces]
    edges = np.roll(corners, -1, axis=1) - corners
    lengths = np.linalg.norm(edges, axis=2)
    doubled = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1)
    high = doubled / np.maximum(lengths.max(axis=1), 1e-300)
    thin = high < SLIVER_MM
    found = list(range(len(faces)))
    for i in np.nonzero(thin)[0]:
        at, seen = int(i), {int(i)}
        while thin[at]:
            order = np.argsort(-lengths[at])
            across = [pairs[int(faces[at][(e + 1) % 3]), int(faces[at][e])] for e in order]
            fresh = [t for t in across if t not in seen]
            if not fresh:
                raise ValueError("a knot of triangles without height")
            at = fresh[0]
            seen.add(at)
        found[int(i)] = at
    return found


def shortest_edge(vertices: np.ndarray, faces: np.ndarray) -> float:
    """The shortest edge of a mesh, mm, apart from those that are nothing."""
    lengths = np.linalg.norm(vertices[faces] - vertices[np.roll(faces, -1, axis=1)], axis=2)
    return float(lengths[lengths > SLIVER_MM].min())


def joined(
    vertices: np.ndarray, pairs: Pairs, normals: list[np.ndarray]
) -> list[tuple[np.ndarray, np.ndarray, int, int]]:
    """Every edge as (end, end, first, second): the two triangles that bound the same void beside it.

    Where two voids touch along an upright line, four triangles meet there and a closed mesh may
    join them either way; here each is joined with the one across the void. Triangles that are
    nothing but a doubled upright edge are passed over.
    """
    places = [tuple(point) for point in np.round(vertices, 4).tolist()]
    columns: dict[tuple[float, float], list[tuple[float, float, int]]] = {}
    made = []
    upright = Counter(t for (a, b), t in pairs.items() if places[a][:2] == places[b][:2])
    for (a, b), t in pairs.items():
        if places[a][:2] != places[b][:2]:
            if a < b:
                made.append((vertices[a], vertices[b], t, pairs[b, a]))
        elif upright[t] < 3:
            columns.setdefault(places[a][:2], []).append((places[a][2], places[b][2], t))
    for (x, y), halves in columns.items():
        for low, high in pairwise(sorted({z for half in halves for z in half[:2]})):
            up = [t for z0, z1, t in halves if z0 <= low and high <= z1]
            down = [t for z0, z1, t in halves if z1 <= low and high <= z0]
            if len(up) != len(down):
                raise ValueError("an upright edge is not closed")
            ends = np.array([x, y, low]), np.array([x, y, high])
            made += [(*ends, t, across_void(t, down, normals)) for t in up]
    return made


def across_void(t: int, down: list[int], normals: list[np.ndarray]) -> int:
    """The first triangle met when turning about an upright edge through the void beside triangle t.

    Triangle t has the edge upwards in its winding, the others downwards.
    """
    into = np.cross(normals[t], (0.0, 0.0, 1.0))

    def turn(other: int) -> float:
        away = np.cross(normals[other], (0.0, 0.0, -1.0))
        into_away = math.atan2(float(-normals[t] @ away), float(into @ away))
        return into_away % (2 * math.pi) or 2 * math.pi

    return min(down, key=turn)
