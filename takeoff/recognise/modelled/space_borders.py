"""The borders of a model's rooms as sides: arcs from facets, open stretches where spaces touch, what is
behind their faces; and the outline of the building."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.geometry.facets import faceted_runs
from takeoff.plan.model import Behind, Ring, Side, SideId, WallTreatment
from takeoff.recognise.modelled.model_claims import Floats, Model, Origin, Space, Wall

TOUCH_MM = 5.0
"""Spaces nearer than this touch: no wall is that thin."""
SHORTEST_MM = 20.0
"""Shorter stretches of a shared border are noise at corners."""
PARALLEL = 0.9998
WALL_HALF_MM = 5.0
"""A shared border deeper than this inside a wall is its middle line, no way through."""
STEP_MM = 60.0
"""Where floors or ceilings of joined spaces differ by no more than this, the finishes do: the edge
between them is a threshold strip, which nobody coats (common practice, no source)."""
SAME_MM = 0.5

Range = tuple[float, float]


class Edge(NamedTuple):
    """One side near the origin; ``kind`` *open* with the heights above the storey's level between
    which it is, None for its whole height."""

    x0: float
    y0: float
    x1: float
    y1: float
    bulge: float = 0.0
    kind: str = "wall"
    heights: Range | None = None
    step: bool = False
    """Whether the two floors or ceilings of an open side differ by the thickness of a finish."""
    ways: tuple[Range, ...] = ()
    """Of a wall that is open to several storeys, the heights of each way: floors end in it between."""

    @property
    def length(self) -> float:
        """The length of its chord, mm."""
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    def along(self, x: float, y: float) -> float:
        """How far along the side the foot of a point lies, mm."""
        return ((x - self.x0) * (self.x1 - self.x0) + (y - self.y0) * (self.y1 - self.y0)) / self.length


class Outline(NamedTuple):
    """A room's border: the space it is of, its polygon, and its rings of sides, outer first."""

    space: Space
    plan: shapely.Polygon
    rings: tuple[tuple[Edge, ...], ...]


def outlines_of(spaces: Sequence[Space]) -> list[Outline]:
    """An outline for each space, several for one in pieces; outer rings anticlockwise."""
    found = []
    for space in spaces:
        for plan in shapely.get_parts(space.plan):
            turned = shapely.orient_polygons(plan)
            rings = [turned.exterior, *turned.interiors]
            found.append(Outline(space, turned, tuple(_edges(shapely.get_coordinates(r)[:-1]) for r in rings)))
    return found


def _edges(xy: Floats) -> tuple[Edge, ...]:
    """The sides of a ring, runs of facets as the arcs they stand for."""
    start = _sharpest(xy)
    xy = np.roll(xy, -start, axis=0)
    sides = np.concatenate((xy, np.roll(xy, -1, axis=0)), axis=1)
    edges: list[Edge] = []
    at = 0
    for run in faceted_runs(sides, np.zeros(len(sides), np.int64)):
        if run.sure:
            edges += [Edge(*row) for row in sides[at : run.first].tolist()]
            edges += [Edge(*arc) for arc in run.arcs]
            at = run.last + 1
    return (*edges, *(Edge(*row) for row in sides[at:].tolist()))


def _sharpest(xy: Floats) -> int:
    """The vertex that turns most: no curve in facets runs through it."""
    into, out = xy - np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0) - xy
    turn = np.abs(np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1)))
    return int(turn.argmax())


class Opened(NamedTuple):
    """Outlines with their open stretches, the pairs whose shared border lies inside a wall, and by
    outline how large the ways to rooms of other storeys are, mm²."""

    outlines: list[Outline]
    in_walls: list[tuple[Space, Space]]
    between: dict[int, float]


def with_open_sides(outlines: list[Outline], model: Model) -> Opened:
    """Borders that two spaces share without a wall between become open sides of both, split where
    the shared stretch ends; between storeys too, for stairwells and galleries."""
    rows = [
        (n, r, k, e)
        for n, o in enumerate(outlines)
        for r, ring in enumerate(o.rings)
        for k, e in enumerate(ring)
        if e.bulge == 0.0 and e.length > SHORTEST_MM
    ]
    lines = [shapely.LineString([(e.x0, e.y0), (e.x1, e.y1)]) for *_, e in rows]
    shared: dict[tuple[int, int, int], list[tuple[Range, Range]]] = {}
    in_walls: list[tuple[Space, Space]] = []
    between: dict[int, float] = {}
    cores = [_cores(model, storey) for storey in range(len(model.levels))]
    pairs = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=TOUCH_MM) if lines else ((), ())
    for a, b in zip(*pairs, strict=True):
        n, r, k, edge = rows[a]
        m, _, _, other = rows[b]
        stretch = _shared(edge, other) if n != m else None
        heights = _common(outlines[n].space, outlines[m].space, model) if stretch else None
        if stretch is None or heights is None:
            continue
        if _in_wall(edge, stretch, cores[outlines[n].space.storey]):
            if n < m:
                in_walls.append((outlines[n].space, outlines[m].space))
            continue
        shared.setdefault((n, r, k), []).append((stretch, heights))
        if outlines[n].space.storey != outlines[m].space.storey:
            opening = (stretch[1] - stretch[0]) * (heights[1] - heights[0])
            between[n] = between.get(n, 0.0) + opening
    return Opened([_opened(o, n, shared) for n, o in enumerate(outlines)], in_walls, between)


def _shared(edge: Edge, other: Edge) -> Range | None:
    """The stretch of a side along which another runs the opposite way, at no distance."""
    ux, uy = (edge.x1 - edge.x0) / edge.length, (edge.y1 - edge.y0) / edge.length
    if ((other.x1 - other.x0) * ux + (other.y1 - other.y0) * uy) / other.length > -PARALLEL:
        return None
    off = (other.x0 - edge.x0) * -uy + (other.y0 - edge.y0) * ux
    if abs(off) > TOUCH_MM:
        return None
    lo = max(0.0, edge.along(other.x1, other.y1))
    hi = min(edge.length, edge.along(other.x0, other.y0))
    return (lo, hi) if hi - lo > SHORTEST_MM else None


def _common(space: Space, other: Space, model: Model) -> Range | None:
    """Heights above the first space's level that both have; None where they do not meet."""
    up = model.levels[other.storey].level_mm - model.levels[space.storey].level_mm
    lo, hi = max(space.floor_mm, other.floor_mm + up), min(space.top_mm, other.top_mm + up)
    return (lo, hi) if hi - lo > SHORTEST_MM else None


def _cores(model: Model, storey: int) -> shapely.STRtree:
    return shapely.STRtree([w.plan.buffer(-WALL_HALF_MM) for w in model.walls[storey]])


def _in_wall(edge: Edge, stretch: Range, cores: shapely.STRtree) -> bool:
    share = (stretch[0] + stretch[1]) / 2.0 / edge.length
    middle = shapely.Point(edge.x0 + (edge.x1 - edge.x0) * share, edge.y0 + (edge.y1 - edge.y0) * share)
    return len(cores.query(middle, predicate="intersects")) > 0


def _opened(outline: Outline, n: int, shared: dict[tuple[int, int, int], list[tuple[Range, Range]]]) -> Outline:
    rings = []
    for r, ring in enumerate(outline.rings):
        edges: list[Edge] = []
        for k, edge in enumerate(ring):
            edges += _split(edge, shared.get((n, r, k), []), outline.space)
        rings.append(tuple(edges))
    return outline._replace(rings=tuple(rings))


def _split(edge: Edge, stretches: list[tuple[Range, Range]], space: Space) -> list[Edge]:
    """A side cut at the ends of its open stretches; ends nearer than the shortest to a corner or to
    each other are one."""
    if not stretches:
        return [edge]
    cuts = [0.0]
    for u in sorted(u for (lo, hi), _ in stretches for u in (lo, hi)):
        if u - cuts[-1] > SHORTEST_MM and edge.length - u > SHORTEST_MM:
            cuts.append(u)
    cuts.append(edge.length)
    pieces = []
    for lo, hi in pairwise(cuts):
        middle = (lo + hi) / 2.0
        ranges = [h for (a, b), h in stretches if a <= middle <= b]
        pieces.append(_part(edge, lo, hi, ranges, space))
    return pieces


def _part(edge: Edge, lo: float, hi: float, ranges: list[Range], space: Space) -> Edge:
    dx, dy = (edge.x1 - edge.x0) / edge.length, (edge.y1 - edge.y0) / edge.length
    x0, y0 = (edge.x0, edge.y0) if lo == 0.0 else (edge.x0 + dx * lo, edge.y0 + dy * lo)
    x1, y1 = (edge.x1, edge.y1) if hi == edge.length else (edge.x0 + dx * hi, edge.y0 + dy * hi)
    if not ranges:
        return Edge(x0, y0, x1, y1)
    ways = _joined(ranges)
    if len(ways) > 1:
        return Edge(x0, y0, x1, y1, ways=ways)
    low, high = ways[0]
    step = max(low - space.floor_mm, space.top_mm - high)
    heights = None if step <= STEP_MM else (low, high)
    return Edge(x0, y0, x1, y1, 0.0, "open", heights, SAME_MM < step <= STEP_MM)


def _joined(ranges: list[Range]) -> tuple[Range, ...]:
    """The heights that are open from below; ranges parted by no more than a finish are one."""
    groups: list[Range] = []
    for low, high in sorted(ranges):
        if groups and low - groups[-1][1] <= STEP_MM:
            groups[-1] = (groups[-1][0], max(high, groups[-1][1]))
        else:
            groups.append((low, high))
    return tuple(groups)


def sides_of(outline: Outline, origin: Origin) -> list[tuple[Side, ...]]:
    """The rings as sides with ids s1, s2, …, in the drawing's coordinates."""
    number = 0
    found = []
    for ring in outline.rings:
        sides = []
        for e in ring:
            number += 1
            low, high = e.heights or (None, None)
            sides.append(
                Side(
                    id=SideId(f"s{number}"),
                    x_mm=e.x0 + origin[0],
                    y_mm=e.y0 + origin[1],
                    bulge=e.bulge,
                    kind="open" if e.kind == "open" else "wall",
                    open_from_mm=low,
                    open_to_mm=high,
                    treatment=WallTreatment(coat=False) if e.step else None,
                    source="drawn",
                )
            )
        found.append(tuple(sides))
    return found


TOUCHING_MM = 60.0
"""A wall this near behind a side is the one it is a face of."""
WALL_DISTANCE_MM = 700.0
"""A room this near behind a side lies on the other side of its wall (as measuring has it)."""
THICKEST_MM = 1200.0
SHORTEST_BEHIND_MM = 50.0
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
    if side.kind == "open" or edge.bulge or edge.length < SHORTEST_BEHIND_MM:
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
        if hi - lo > SHORTEST_BEHIND_MM:
            found.append((lo, hi))
    return found


def _without(span: Span, taken: Sequence[Span]) -> list[Span]:
    free = [span]
    for a, b in taken:
        free = [p for lo, hi in free for p in ((lo, min(hi, a)), (max(lo, b), hi)) if p[1] - p[0] > SHORTEST_BEHIND_MM]
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
