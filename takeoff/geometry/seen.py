"""What is seen of flat pieces in space from any side, in the order in which a painter paints them.

The pieces are sorted once into a binary tree of planes (binary space partitioning, textbook): for every
view the tree gives them from the furthest to the nearest, whatever the shape of the whole. Where a plane
of one piece runs through another, that one is parted.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

Point3 = tuple[float, float, float]

ON_MM = 0.1
"""A point this near to a plane lies on it."""

_TRIED = 4
"""So many pieces are tried as the next to part by, where there are not many."""

_MANY = 80


class View(msgspec.Struct, frozen=True):
    """From where one looks, from far away: round the upright axis (0: from the right, −90: from the lower
    edge of the plan) and up from the level (90: straight from above), degrees."""

    round_deg: float = -60.0
    up_deg: float = 30.0

    @property
    def towards(self) -> Point3:
        """The direction from the things to the eye."""
        a, t = math.radians(self.round_deg), math.radians(self.up_deg)
        return math.cos(t) * math.cos(a), math.cos(t) * math.sin(a), math.sin(t)

    def flat(self, points: Sequence[Point3]) -> tuple[tuple[float, float], ...]:
        """Points as they are seen: mm to the right and mm up."""
        a, t = math.radians(self.round_deg), math.radians(self.up_deg)
        ca, sa, ct, st = math.cos(a), math.sin(a), math.cos(t), math.sin(t)
        return tuple((-sa * x + ca * y, -st * (ca * x + sa * y) + ct * z) for x, y, z in points)

    def turned(self, round_deg: float, up_deg: float) -> View:
        """The view turned on, never over the top."""
        return View((self.round_deg + round_deg + 180.0) % 360.0 - 180.0, min(max(self.up_deg + up_deg, -80.0), 85.0))


class Piece(NamedTuple):
    """A part of a facet (three points and more) or of a line (two): ``item`` is its number among those
    that were given, ``is_line`` which of them."""

    points: tuple[Point3, ...]
    item: int
    is_line: bool


class _Plane(NamedTuple):
    x: float
    y: float
    z: float
    c: float

    def off(self, p: Point3) -> float:
        return self.x * p[0] + self.y * p[1] + self.z * p[2] - self.c


class _Node:
    __slots__ = ("back", "front", "here", "plane")

    def __init__(self, plane: _Plane, here: list[Piece]) -> None:
        self.plane, self.here = plane, here
        self.front: _Node | None = None
        self.back: _Node | None = None


class Tree:
    """Facets and lines in their order for any view. A line that lies in the planes of facets is painted
    after each of them."""

    def __init__(self, facets: Sequence[Sequence[Point3]], lines: Sequence[Sequence[Point3]] = ()) -> None:
        self._root: _Node | None = None
        pieces = [Piece(tuple(points), number, False) for number, points in enumerate(facets)]
        strokes = [
            (Piece((a, b), number, True), False)
            for number, course in enumerate(lines)
            for a, b in itertools.pairwise(course)
        ]
        self._build([piece for piece in pieces if _plane_of(piece) is not None], strokes)

    def from_behind(self, towards: Point3) -> Iterator[Piece]:
        """Every piece, the furthest from the eye first."""
        # (node, whether what is behind it was gone through)
        stack: list[tuple[_Node, bool]] = [(self._root, False)] if self._root is not None else []
        while stack:
            node, seen = stack.pop()
            p = node.plane
            before = p.x * towards[0] + p.y * towards[1] + p.z * towards[2] > 0.0
            near, far = (node.front, node.back) if before else (node.back, node.front)
            if not seen:
                stack.append((node, True))
                if far is not None:
                    stack.append((far, False))
                continue
            yield from node.here
            if near is not None:
                stack.append((near, False))

    def _build(self, pieces: list[Piece], strokes: list[tuple[Piece, bool]]) -> None:
        todo: list[tuple[_Node | None, bool, list[Piece], list[tuple[Piece, bool]]]] = [(None, True, pieces, strokes)]
        while todo:
            parent, in_front, own, courses = todo.pop()
            if not own:
                left = [piece for piece, painted in courses if not painted]
                if left:
                    self._hang(parent, in_front, _Node(_Plane(0.0, 0.0, 1.0, 0.0), left))
                continue
            plane, chosen = _best(own)
            here: list[Piece] = [chosen]
            front, back = [], []
            for piece in own:
                if piece is chosen:
                    continue
                ahead, behind, on = _parted(piece, plane)
                here += on
                front += ahead
                back += behind
            ahead_lines, behind_lines = _share_lines(courses, plane, here)
            node = _Node(plane, here)
            self._hang(parent, in_front, node)
            todo.append((node, True, front, ahead_lines))
            todo.append((node, False, back, behind_lines))

    def _hang(self, parent: _Node | None, in_front: bool, node: _Node) -> None:
        if parent is None:
            self._root = node
        elif in_front:
            parent.front = node
        else:
            parent.back = node


def normal_of(points: Sequence[Point3]) -> Point3 | None:
    """The unit normal of a flat ring (by Newell), to whose eye it runs anticlockwise; None for no area."""
    x = y = z = 0.0
    for (ax, ay, az), (bx, by, bz) in zip(points, (*points[1:], points[0]), strict=True):
        x += (ay - by) * (az + bz)
        y += (az - bz) * (ax + bx)
        z += (ax - bx) * (ay + by)
    length = math.sqrt(x * x + y * y + z * z)
    return (x / length, y / length, z / length) if length > ON_MM else None


def _plane_of(piece: Piece) -> _Plane | None:
    normal = normal_of(piece.points)
    if normal is None:
        return None
    x, y, z = normal
    count = len(piece.points)
    return _Plane(x, y, z, sum(x * p[0] + y * p[1] + z * p[2] for p in piece.points) / count)


def _best(pieces: Sequence[Piece]) -> tuple[_Plane, Piece]:
    """The plane of one of the pieces that parts few others, and that piece."""
    best: tuple[int, _Plane, Piece] | None = None
    step = max(1, len(pieces) // _TRIED)
    tried = pieces[::step][:_TRIED] if len(pieces) < _MANY else pieces[:1]
    for piece in tried:
        plane = _plane_of(piece)
        if plane is None:
            continue
        parts = sum(_crosses(other, plane) for other in pieces)
        if best is None or parts < best[0]:
            best = parts, plane, piece
    assert best is not None, "pieces without an area are left out before"
    return best[1], best[2]


def _crosses(piece: Piece, plane: _Plane) -> bool:
    offs = [plane.off(p) for p in piece.points]
    return min(offs) < -ON_MM and max(offs) > ON_MM


def _parted(piece: Piece, plane: _Plane) -> tuple[list[Piece], list[Piece], list[Piece]]:
    """What of a convex piece is before a plane, behind it, and on it."""
    offs = [plane.off(p) for p in piece.points]
    low, high = min(offs), max(offs)
    if low >= -ON_MM and high <= ON_MM:
        return [], [], [piece]
    if low >= -ON_MM:
        return [piece], [], []
    if high <= ON_MM:
        return [], [piece], []
    ahead: list[Point3] = []
    behind: list[Point3] = []
    points = piece.points
    for k, (p, off) in enumerate(zip(points, offs, strict=True)):
        q, there = points[(k + 1) % len(points)], offs[(k + 1) % len(points)]
        if off >= -ON_MM:
            ahead.append(p)
        if off <= ON_MM:
            behind.append(p)
        if min(off, there) < -ON_MM and max(off, there) > ON_MM:
            cut = _between(p, q, off / (off - there))
            ahead.append(cut)
            behind.append(cut)
    found: tuple[list[Piece], list[Piece]] = ([], [])
    for points_of, pieces in ((ahead, found[0]), (behind, found[1])):
        new = Piece(tuple(points_of), piece.item, False)
        if len(points_of) > 2 and _plane_of(new) is not None:
            pieces.append(new)
    return found[0], found[1], []


def _share_lines(
    courses: Sequence[tuple[Piece, bool]], plane: _Plane, here: list[Piece]
) -> tuple[list[tuple[Piece, bool]], list[tuple[Piece, bool]]]:
    """The lines before and behind a plane; one that lies in it is painted with it and may be again with
    another, so that no facet that meets there covers a half of it."""
    ahead: list[tuple[Piece, bool]] = []
    behind: list[tuple[Piece, bool]] = []
    for piece, painted in courses:
        a, b = piece.points
        da, db = plane.off(a), plane.off(b)
        if abs(da) <= ON_MM and abs(db) <= ON_MM:
            here.append(piece)
            ahead.append((piece, True))
            behind.append((piece, True))
        elif min(da, db) >= -ON_MM:
            ahead.append((piece, painted))
        elif max(da, db) <= ON_MM:
            behind.append((piece, painted))
        else:
            cut = _between(a, b, da / (da - db))
            parts = (Piece((a, cut), piece.item, True), painted), (Piece((cut, b), piece.item, True), painted)
            (ahead if da > 0.0 else behind).append(parts[0])
            (behind if da > 0.0 else ahead).append(parts[1])
    return ahead, behind


def _between(p: Point3, q: Point3, part: float) -> Point3:
    return (p[0] + (q[0] - p[0]) * part, p[1] + (q[1] - p[1]) * part, p[2] + (q[2] - p[2]) * part)


def holds_point(ring: Sequence[tuple[float, float]], x: float, y: float) -> bool:
    """Whether a flat ring of corners holds a point (even-odd)."""
    inside = False
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside
