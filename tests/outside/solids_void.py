"""A room of the plan as a solid void: prisms and half spaces joined and cut by manifold3d.

Written from the meaning of the quantities alone; shares nothing with the measuring engine but the
plan types. Everything is in mm near the origin and unrotated, because thin sheets appear otherwise,
and solids overlap rather than abut.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import partial
from itertools import pairwise

import manifold3d
import numpy as np
from manifold3d import Manifold, Mesh64
from shapely.geometry import LineString, Point, Polygon

from takeoff.plan.model import Field, Opening, Plane, Region, Ring, Room, Side

DEEP_MM = 20000.0
"""How far the working solids reach below and above the datum."""

AROUND_MM = 3000.0
"""How far half spaces reach beyond the room in plan."""

INSIDE_MM = 4.0
"""How far the box of an opening reaches into the room, so that it overlaps the void."""

PUSH_MM = 37.0
SLANT_MM = 29.0
"""How far the outline of a region is pushed through a wall, and the run of the slant where that begins."""

ALIGNED = 1e-9
"""Sine of the angle below which two pieces of an outline run on straight."""

Pair = tuple[float, float]
Points = list[Pair]
Frame = tuple[float, float, float, float, float]
"""A side: start x, start y, direction x, direction y, length; outward is to the right of it."""


def ring_points(ring: Sequence[Side]) -> Points:
    return [(side.x_mm, side.y_mm) for side in ring]


def rings_of(room: Room) -> list[Points]:
    return [ring_points(room.outline), *(ring_points(ring) for ring in room.inner)]


def plan_polygon(room: Room) -> Polygon:
    outer, *inner = rings_of(room)
    return Polygon(outer, inner)


def sides_of(room: Room) -> list[Side]:
    return [*room.outline, *(side for ring in room.inner for side in ring)]


def frames_of(room: Room) -> list[Frame]:
    """The frame of each side, in the order of :func:`sides_of`."""
    frames: list[Frame] = []
    for ring in rings_of(room):
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
            length = math.hypot(x1 - x0, y1 - y0)
            frames.append((x0, y0, (x1 - x0) / length, (y1 - y0) / length, length))
    return frames


def solid(vertices: Iterable[Sequence[float]], triangles: Iterable[Sequence[int]]) -> Manifold:
    mesh = Mesh64(
        vert_properties=np.array(list(vertices), dtype=np.float64), tri_verts=np.array(list(triangles), dtype=np.uint64)
    )
    made = Manifold(mesh)
    if made.status() != manifold3d.Error.NoError:
        raise ValueError(f"not a solid: {made.status()}")
    return made


def prism(rings: Sequence[Points], bottom_mm: float, top_mm: float) -> Manifold:
    """The upright prism over rings (outer anticlockwise, inner clockwise)."""
    flat = [point for ring in rings for point in ring]
    count = len(flat)
    caps = manifold3d.triangulate([np.array(ring, dtype=np.float64) for ring in rings])
    triangles = [[c, b, a] for a, b, c in caps] + [[a + count, b + count, c + count] for a, b, c in caps]
    first = 0
    for ring in rings:
        for i in range(len(ring)):
            a, b = first + i, first + (i + 1) % len(ring)
            triangles += [[a, b, b + count], [a, b + count, a + count]]
        first += len(ring)
    return solid([(x, y, z) for z in (bottom_mm, top_mm) for x, y in flat], triangles)


def height(plane: Plane, x: float, y: float) -> float:
    return plane.z_mm + plane.slope_x * (x - plane.at_x_mm) + plane.slope_y * (y - plane.at_y_mm)


Box = tuple[float, float, float, float]


def beside(plane: Plane, box: Box, *, below: bool, shift_mm: float, grow_mm: float) -> Manifold:
    """All that lies below (or above) a plane, over a box in plan that is grown by ``grow_mm``."""
    x0, y0, x1, y1 = box[0] - grow_mm, box[1] - grow_mm, box[2] + grow_mm, box[3] + grow_mm
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    made = [height(plane, x, y) + shift_mm for x, y in corners]
    far = -DEEP_MM - grow_mm if below else DEEP_MM + grow_mm
    low, high = ([far] * 4, made) if below else (made, [far] * 4)
    vertices = [(x, y, z) for zs in (low, high) for (x, y), z in zip(corners, zs, strict=True)]
    triangles = [[2, 1, 0], [3, 2, 0], [4, 5, 6], [4, 6, 7]]
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        triangles += [[a, b, b + 4], [a, b + 4, a + 4]]
    return solid(vertices, triangles)


def under(planes: Sequence[Plane], box: Box, *, below: bool, shift_mm: float) -> Manifold:
    """Below the lowest of the planes, or above the highest of them."""
    whole = beside(planes[0], box, below=below, shift_mm=shift_mm, grow_mm=0)
    for i, plane in enumerate(planes[1:], 1):
        whole = whole ^ beside(plane, box, below=below, shift_mm=shift_mm, grow_mm=10.0 * i)
    return whole


def nested_levels(regions: Sequence[Region]) -> list[list[Region]]:
    """Regions that lie in no other, then those that lie in one, and so on."""
    shapes = [(Polygon(points_of(region.outline)), region) for region in regions]
    levels: dict[int, list[Region]] = {}
    for shape, region in shapes:
        inside = shape.representative_point()
        depth = sum(other.contains(inside) and other.area > shape.area for other, _ in shapes)
        levels.setdefault(depth, []).append(region)
    return [levels[depth] for depth in sorted(levels)]


def field_solid(field: Field, box: Box, room: Polygon, *, below: bool, shift_mm: float) -> Manifold:
    """The solid below a ceiling field (or above a floor field), over a box in plan."""
    made = under(field.planes, box, below=below, shift_mm=shift_mm)
    for level in nested_levels(field.regions):
        cuts, joins = [], []
        for region in level:
            over = prism([sticking_out(points_of(region.outline), room)], -DEEP_MM + 500, DEEP_MM - 500)
            own = under(region.planes, box, below=below, shift_mm=shift_mm)
            if region.op == "set" or region.op == ("lower" if below else "raise"):
                cuts.append(over - own)
            if region.op == "set" or region.op == ("raise" if below else "lower"):
                joins.append(over ^ own)
        made = made - united(cuts) if cuts else made
        made = made + united(joins) if joins else made
    return made


def united(parts: list[Manifold]) -> Manifold:
    """Regions that touch are joined before they cut, so that no sheet is left between them."""
    return Manifold.batch_boolean(parts, manifold3d.OpType.Add)


def sticking_out(outline: Points, room: Polygon) -> Points:
    """A region's outline pushed out through the walls that it stands against.

    Inside the room it stays what it was; where it ended on a wall it now passes beyond, so that no
    face of one solid lies on a face of another. Raises ValueError where that fails.
    """
    pieces = pieces_of(outline, room)
    made: Points = []
    for (a, b, pushed), (_, d, then) in zip(pieces, pieces[1:] + pieces[:1], strict=True):
        t, t2 = unit(a, b), unit(b, d)
        corner = meeting(b, t, t2, pushed, then)
        if corner is not None and not runs_along(room, b, corner, one_free=0.0 in (pushed, then)):
            made.append(corner)
        elif pushed == then:
            made.append((b[0] + pushed * t[1], b[1] - pushed * t[0]))
        else:
            made += [slanted(b, t, -SLANT_MM, pushed)] if pushed else []
            made += [b]
            made += [slanted(b, t2, SLANT_MM, then)] if then else []
    grown, was = Polygon(made), Polygon(outline)
    if not grown.is_valid or grown.symmetric_difference(was).intersection(room).area > 1.0:
        raise ValueError(f"the region {outline} cannot be pushed through its walls")
    return made


def meeting(b: Pair, t: Pair, t2: Pair, pushed: float, then: float) -> Pair | None:
    """Where two pieces that met in b meet when pushed out; None where they run on straight."""
    turn = t[0] * t2[1] - t[1] * t2[0]
    if abs(turn) < ALIGNED:
        return None
    p = (b[0] + pushed * t[1], b[1] - pushed * t[0])
    q = (b[0] + then * t2[1], b[1] - then * t2[0])
    s = ((q[0] - p[0]) * t2[1] - (q[1] - p[1]) * t2[0]) / turn
    return p[0] + s * t[0], p[1] + s * t[1]


def runs_along(room: Polygon, b: Pair, corner: Pair, *, one_free: bool) -> bool:
    """True where the piece that stays would be drawn out along a wall of the room."""
    middle = Point((b[0] + corner[0]) / 2, (b[1] + corner[1]) / 2)
    return one_free and math.dist(b, corner) > 1.0 and room.boundary.distance(middle) < 1e-6


def slanted(b: Pair, t: Pair, along_mm: float, out_mm: float) -> Pair:
    return b[0] + along_mm * t[0] + out_mm * t[1], b[1] + along_mm * t[1] - out_mm * t[0]


def unit(a: Pair, b: Pair) -> Pair:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def pieces_of(outline: Points, room: Polygon) -> list[tuple[Pair, Pair, float]]:
    """The sides of an outline, cut at corners of the room, and how far each is pushed out.

    A piece along a pier that stands inside the region is pushed inwards, into the pier.
    """
    corners = [c for ring in (room.exterior, *room.interiors) for c in ring.coords[:-1]]
    pieces = []
    for a, b in zip(outline, outline[1:] + outline[:1], strict=True):
        side = LineString([a, b])
        on_it = [c for c in corners if side.distance(Point(c)) < 1e-6 < min(math.dist(a, c), math.dist(b, c))]
        stops = [a, *sorted(set(on_it), key=partial(math.dist, a)), b]
        for c, d in pairwise(stops):
            middle = Point((c[0] + d[0]) / 2, (c[1] + d[1]) / 2)
            against = all(room.boundary.distance(p) < 1e-6 for p in (Point(c), middle, Point(d)))
            t = unit(c, d)
            inwards = room.contains(Point(middle.x + 0.5 * t[1], middle.y - 0.5 * t[0]))
            pieces.append((c, d, 0.0 if not against else -PUSH_MM if inwards else PUSH_MM))
    return pieces


def points_of(ring: Ring) -> Points:
    return [(x, y) for x, y, _ in ring]


def fields_of(room: Room, storey_height_mm: float) -> tuple[Field, Field]:
    """Floor and ceiling field, with what stands for None."""
    floor = room.floor or Field(planes=(Plane(z_mm=0.0),))
    return floor, room.ceiling or Field(planes=(Plane(z_mm=storey_height_mm),))


def room_void(room: Room, storey_height_mm: float) -> Manifold:
    """The void of a room without its openings."""
    plan = plan_polygon(room)
    x0, y0, x1, y1 = plan.bounds
    box = (x0 - AROUND_MM, y0 - AROUND_MM, x1 + AROUND_MM, y1 + AROUND_MM)
    floor, ceiling = fields_of(room, storey_height_mm)
    lower = field_solid(ceiling, box, plan, below=True, shift_mm=-room.ceiling_build_up_mm)
    upper = field_solid(floor, box, plan, below=False, shift_mm=room.floor_build_up_mm)
    return prism(rings_of(room), -DEEP_MM + 1000, DEEP_MM - 1000) ^ lower ^ upper


def on_side(frame: Frame, u: float, out: float) -> tuple[float, float]:
    """The plan point u along a side and ``out`` mm outside of it."""
    x, y, dx, dy, _ = frame
    return x + u * dx + out * dy, y + u * dy - out * dx


def side_box(frame: Frame, us: Pair, outs: Pair, zs: Pair) -> Manifold:
    """A box over a stretch of a side, between two distances outside of it and two heights."""
    (u0, u1), (o0, o1) = us, outs
    ring = [on_side(frame, u0, o1), on_side(frame, u1, o1), on_side(frame, u1, o0), on_side(frame, u0, o0)]
    return prism([ring], *zs)


def depth_of(opening: Opening) -> float:
    """The one depth of an opening's strips; the solid knows no other."""
    depths = {s.depth_mm for s in (opening.reveal.start, opening.reveal.end, opening.reveal.head)}
    depths.add(opening.reveal.sill.depth_mm)
    if len(depths) != 1 or opening.shape != "flat" or opening.reveal.splay_deg:
        raise ValueError("a solid is made of openings with a flat head, one depth and no splay")
    return depths.pop()


def opening_box(opening: Opening, frame: Frame) -> Manifold:
    return side_box(
        frame,
        (opening.offset_mm, opening.offset_mm + opening.width_mm),
        (-INSIDE_MM, depth_of(opening)),
        (opening.sill_mm, opening.head_mm),
    )


def with_openings(void: Manifold, room: Room, openings: Sequence[Opening]) -> Manifold:
    frames = dict(zip((side.id for side in sides_of(room)), frames_of(room), strict=True))
    for opening in openings:
        void = void + opening_box(opening, frames[opening.side])
    return void
