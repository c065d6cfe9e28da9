"""What is behind the faces of a model's rooms, and the outline of its building."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.plan.model import Behind, Ring, Side
from takeoff.recognise.modelled.claims import Floats, Model, Wall
from takeoff.recognise.modelled.sides import Edge, Outline

TOUCHING_MM = 60.0
"""A wall this near behind a side is the one it is a face of."""
WALL_DISTANCE_MM = 700.0
"""A room this near behind a side lies on the other side of its wall (as measuring has it)."""
THICKEST_MM = 1200.0
SHORTEST_MM = 50.0
CLOSING_MM = 10.0
"""Hairlines between walls, openings and rooms that are closed for the building's outline."""
SMALLEST_MM2 = 1e6

Span = tuple[float, float]


class _Wall(NamedTuple):
    plan: shapely.Polygon
    external: bool


def with_behind(
    outlines: Sequence[Outline], sides: Sequence[list[tuple[Side, ...]]], model: Model
) -> list[list[tuple[Side, ...]]]:
    """The sides with *outside* where the file calls their wall external and no room lies behind, and
    *unknown* where it says that the wall is not external though nothing is drawn behind."""
    by_storey: dict[int, list[int]] = {}
    for n, outline in enumerate(outlines):
        by_storey.setdefault(outline.space.storey, []).append(n)
    found: list[list[tuple[Side, ...]]] = [list(s) for s in sides]
    for storey, members in by_storey.items():
        walls = [_Wall(w.plan, w.external) for w in model.walls[storey] if w.external is not None]
        if not walls:
            continue
        wall_tree = shapely.STRtree([w.plan for w in walls])
        room_tree = shapely.STRtree([outlines[n].plan for n in members])
        for n in members:
            rooms = [outlines[m].plan for m in members]
            found[n] = [
                tuple(
                    _with(side, edge, walls, wall_tree, rooms, room_tree, members.index(n))
                    for side, edge in zip(ring, edges, strict=True)
                )
                for ring, edges in zip(sides[n], outlines[n].rings, strict=True)
            ]
    return found


def _with(
    side: Side,
    edge: Edge,
    walls: list[_Wall],
    wall_tree: shapely.STRtree,
    rooms: list[shapely.Polygon],
    room_tree: shapely.STRtree,
    own: int,
) -> Side:
    if side.kind == "open" or edge.bulge or edge.length < SHORTEST_MM:
        return side
    near = _strip(edge, 1.0, TOUCHING_MM)
    far = _strip(edge, 1.0, WALL_DISTANCE_MM)
    taken = [
        s
        for k in room_tree.query(far, predicate="intersects").tolist()
        if k != own
        for s in _spans(edge, rooms[k].intersection(far))
    ]
    behind: list[Behind] = []
    for k in wall_tree.query(near, predicate="intersects").tolist():
        for span in _spans(edge, walls[k].plan.intersection(near)):
            for lo, hi in _without(span, taken):
                behind.append(_behind(edge, walls[k], lo, hi))
                taken.append((lo, hi))
    behind.sort(key=lambda b: b.from_mm)
    if len(behind) == 1 and behind[0].from_mm == 0.0 and behind[0].to_mm == edge.length:
        behind = [replace(behind[0], to_mm=None)]
    return replace(side, behind=tuple(behind)) if behind else side


def _behind(edge: Edge, wall: _Wall, lo: float, hi: float) -> Behind:
    if not wall.external:
        return Behind(cls="unknown", from_mm=lo, to_mm=hi, source="drawn")
    middle = (lo + hi) / 2.0
    (x, y), far = _local(edge, [(middle, 0.0), (middle, THICKEST_MM)])
    passed = shapely.intersection(shapely.LineString([(x, y), far]), wall.plan)
    ends = shapely.get_coordinates(passed)
    return Behind(
        cls="outside",
        from_mm=lo,
        to_mm=hi,
        source="drawn",
        thickness_mm=float(np.hypot(*(ends - (x, y)).T).max()) if len(ends) else None,
    )


def _local(edge: Edge, points: list[tuple[float, float]]) -> Floats:
    """Points (along, outwards) of a side in the plan: outwards lies to its right."""
    dx, dy = (edge.x1 - edge.x0) / edge.length, (edge.y1 - edge.y0) / edge.length
    return np.array([(edge.x0 + dx * u + dy * v, edge.y0 + dy * u - dx * v) for u, v in points])


def _strip(edge: Edge, near: float, far: float) -> shapely.Polygon:
    inset = min(5.0, edge.length / 4.0)
    a, b = inset, edge.length - inset
    return shapely.Polygon(_local(edge, [(a, near), (a, far), (b, far), (b, near)]))


def _spans(edge: Edge, shape: shapely.Geometry) -> list[Span]:
    """Which stretches of a side the parts of a shape lie along; ends near corners reach them."""
    found = []
    for part in shapely.get_parts(shape):
        xy = shapely.get_coordinates(part)
        if len(xy) < 3:
            continue
        u = [edge.along(x, y) for x, y in xy.tolist()]
        lo, hi = min(u), max(u)
        lo, hi = (0.0 if lo < 6.0 else lo), (edge.length if edge.length - hi < 6.0 else hi)
        if hi - lo > SHORTEST_MM:
            found.append((lo, hi))
    return found


def _without(span: Span, taken: Sequence[Span]) -> list[Span]:
    free = [span]
    for a, b in taken:
        free = [p for lo, hi in free for p in ((lo, min(hi, a)), (max(lo, b), hi)) if p[1] - p[0] > SHORTEST_MM]
    return free


def building_of(
    outlines: Sequence[Outline], walls: Sequence[Wall], holes: Sequence[Floats], origin: tuple[float, float]
) -> tuple[Ring, ...]:
    """The outer borders of a storey's walls, openings and rooms together, anticlockwise; none without
    walls, since rooms alone do not say where the building ends."""
    if not walls:
        return ()
    shapes = [w.plan for w in walls] + [o.plan for o in outlines] + [shapely.Polygon(h) for h in holes]
    grown = shapely.union_all([s.buffer(CLOSING_MM, join_style="mitre") for s in shapes if s.is_valid])
    whole = grown.buffer(-CLOSING_MM, join_style="mitre")
    rings: list[Ring] = []
    for part in shapely.get_parts(whole):
        hull = shapely.orient_polygons(shapely.Polygon(part.exterior).simplify(0.5))
        if hull.area > SMALLEST_MM2:
            rings.append(tuple((x + origin[0], y + origin[1], 0.0) for x, y in hull.exterior.coords[:-1]))
    return tuple(rings)
