"""Random ceilings and floors over a room's outline: pitches, hips, regions lowered, raised and set."""

from __future__ import annotations

import math
from itertools import combinations
from random import Random

from shapely.geometry import Point, Polygon, box
from solids_outlines import Points, corners, grid
from solids_void import height, pieces_of, sticking_out

from takeoff.plan.model import Field, Plane, Region, RegionId

LEAST_HEIGHT_MM = 1300.0
MOST_HEIGHT_MM = 5500.0
LEAST_SIDE_MM = 60.0
NEAR_MM = 2.0
"""Different points of a plan are at least so far apart."""

Op = str


def field_of(planes: list[Plane], regions: list[Region] | None = None) -> Field:
    return Field(planes=tuple(planes), regions=tuple(regions or ()))


def pitched(rng: Random, ring: Points, kind: str) -> list[Plane]:
    """Planes of a mono-pitch, a ridge, a hip or any planes at all; the lowest counts."""
    x0, y0, x1, y1 = Polygon(ring).bounds
    eaves = grid(rng, LEAST_HEIGHT_MM, 2400)
    tilt = rng.randint(4, 30) / 20
    west = Plane(z_mm=eaves, slope_x=tilt, at_x_mm=x0)
    east = Plane(z_mm=eaves, slope_x=-tilt, at_x_mm=x1)
    south = Plane(z_mm=eaves, slope_y=tilt, at_y_mm=y0)
    north = Plane(z_mm=eaves, slope_y=-tilt, at_y_mm=y1)
    cap = [Plane(z_mm=eaves + grid(rng, 300, 1500))] if rng.random() < 0.5 else []
    made = {
        "mono": [rng.choice((west, east, south, north))],
        "ridge": [*rng.choice(([west, east], [south, north])), *cap],
        "hip": [west, east, south, north, *cap],
        "any": [any_plane(rng, ring) for _ in range(rng.randint(1, 4))],
    }[kind]
    return raised_to(made, ring)


def any_plane(rng: Random, ring: Points) -> Plane:
    x0, y0, x1, y1 = Polygon(ring).bounds
    return Plane(
        z_mm=grid(rng, 2000, 3600),
        slope_x=rng.randint(-20, 20) / 20,
        slope_y=rng.randint(-20, 20) / 20,
        at_x_mm=grid(rng, x0, x1),
        at_y_mm=grid(rng, y0, y1),
    )


def raised_to(planes: list[Plane], ring: Points) -> list[Plane]:
    """The planes lifted together until the lowest corner is high enough."""
    low = min(height(plane, x, y) for plane in planes for x, y in ring)
    lift = 10.0 * math.ceil(max(0.0, LEAST_HEIGHT_MM - low) / 10)
    return [
        Plane(z_mm=p.z_mm + lift, slope_x=p.slope_x, slope_y=p.slope_y, at_x_mm=p.at_x_mm, at_y_mm=p.at_y_mm)
        for p in planes
    ]


def region_outline(rng: Random, plan: Polygon, taken: list[Polygon], *, touching: bool) -> Points | None:
    """A rectangle cut to the room: free, against walls or from wall to wall; None where it does not fit."""
    ring = corners(plan)
    room = Polygon(ring)
    x0, y0, x1, y1 = room.bounds
    if rng.random() < 0.35:
        xs, ys = {p[0] for p in ring}, {p[1] for p in ring}
        ends = sorted((rng.choice(sorted(xs)), grid(rng, x0, x1)))
        sides = sorted((rng.choice(sorted(ys)), grid(rng, y0, y1)))
    else:
        ends = sorted((grid(rng, x0 - 500, x1), grid(rng, x0, x1 + 500)))
        sides = sorted((grid(rng, y0 - 500, y1), grid(rng, y0, y1 + 500)))
    if ends[1] - ends[0] < 100 or sides[1] - sides[0] < 100:
        return None
    cut = box(ends[0], sides[0], ends[1], sides[1]).intersection(room)
    if not isinstance(cut, Polygon) or cut.interiors or cut.area < 0.03e6:
        return None
    points = corners(cut)
    if not all(apart(cut, other, touching=touching) for other in taken):
        return None
    clear = well_apart(points + ring) and clear_of_sides(points, ring) and least_side(points) > LEAST_SIDE_MM
    return points if clear and can_be_a_solid(points, plan) else None


def apart(one: Polygon, other: Polygon, *, touching: bool) -> bool:
    """True where two regions keep apart, or where they may touch do so along some length."""
    if one.distance(other) > 40:
        return True
    shared = one.intersection(other)
    a, b = corners(one), corners(other)
    side_by_side = shared.area == 0 and shared.length > 40 and well_apart(a + b) and clear_of_sides(a, b)
    return touching and side_by_side


def least_side(points: Points) -> float:
    return min(math.dist(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True))


def can_be_a_solid(points: Points, plan: Polygon) -> bool:
    """True where the solid of a region can be pushed through the walls that it stands against.

    A free corner or side that just touches a wall or a corner of the room is left out: a solid
    cannot tell a passage without width from none.
    """
    pieces = pieces_of(points, plan)
    for (_, b, pushed), (_, _, then) in zip(pieces, pieces[1:] + pieces[:1], strict=True):
        if pushed == then == 0.0 and plan.boundary.distance(Point(b)) < NEAR_MM:
            return False
    try:
        sticking_out(points, plan)
    except ValueError:
        return False
    return True


def well_apart(points: Points) -> bool:
    """True where any two points are the same to a hair or clearly apart."""
    return all(d < 1e-6 or d > NEAR_MM for d in (math.dist(a, b) for a, b in combinations(points, 2)))


def clear_of_sides(points: Points, ring: Points) -> bool:
    """True where every corner of each ring lies on a side of the other or clearly off it."""
    pairs = ((points, Polygon(ring).exterior), (ring, Polygon(points).exterior))
    shapes = [line.distance(Polygon([p, p, p]).centroid) for some, line in pairs for p in some]
    return all(d < 1e-6 or d > NEAR_MM for d in shapes)


def nested_outline(rng: Random, plan: Polygon, parent: Points) -> Points | None:
    """A rectangle inside another region, sometimes along its border."""
    x0, y0, x1, y1 = Polygon(parent).bounds
    ends = sorted((grid(rng, x0, x1), grid(rng, x0, x1)))
    sides = sorted((grid(rng, y0, y1), grid(rng, y0, y1)))
    inner = box(ends[0], sides[0], ends[1], sides[1])
    if ends[1] - ends[0] < 100 or sides[1] - sides[0] < 100 or not Polygon(parent).covers(inner):
        return None
    points = corners(inner)
    fits = Polygon(parent).area - inner.area > 1e4 and well_apart(points + parent)
    return points if fits and clear_of_sides(points, parent) and can_be_a_solid(points, plan) else None


def region(name: str, op: Op, points: Points, planes: list[Plane], **coats: bool | None) -> Region:
    outline = tuple((x, y, 0.0) for x, y in points)
    return Region(id=RegionId(name), op=op, outline=outline, planes=tuple(planes), **coats)  # type: ignore[arg-type]


def ceiling_regions(rng: Random, plan: Polygon, root: list[Plane], *, sloped: bool) -> list[Region]:
    """One to three regions of a ceiling, some with another one inside."""
    made: list[Region] = []
    taken: list[Polygon] = []
    touching = rng.random() < 0.5
    for i in range(rng.randint(1, 3)):
        tried = (region_outline(rng, plan, taken, touching=touching) for _ in range(12))
        points = next((p for p in tried if p), None)
        if not points:
            continue
        taken.append(Polygon(points))
        made.append(ceiling_region(rng, f"c{i}", points, root, sloped=sloped))
        inner = nested_outline(rng, plan, points) if rng.random() < 0.4 else None
        if inner:
            made.append(ceiling_region(rng, f"c{i}in", inner, root, sloped=sloped))
        elif not touching and rng.random() < 0.3:
            made[-1] = with_bare_faces(rng, made[-1], root)
    return made


def with_bare_faces(rng: Random, boxing: Region, root: list[Plane]) -> Region:
    """A lowered region that lies wholly below the field around it, with its sides or soffit not coated."""
    points = [(x, y) for x, y, _ in boxing.outline]
    lowest = min(height(plane, x, y) for plane in root for x, y in points)
    soffit = boxing.planes[0]
    level = len(boxing.planes) == 1 and soffit.slope_x == soffit.slope_y == 0
    if boxing.op != "lower" or not level or soffit.z_mm >= lowest:
        return boxing
    sides, face = rng.choice(((False, None), (None, False), (False, True), (True, False)))
    return region(boxing.id, "lower", points, list(boxing.planes), coat_sides=sides, coat_face=face)


def ceiling_region(rng: Random, name: str, points: Points, root: list[Plane], *, sloped: bool) -> Region:
    op = rng.choice(("lower", "raise", "set"))
    at = min(min(height(p, x, y) for p in root) for x, y in points)
    offset = {"lower": (-900.0, 300.0), "raise": (-100.0, 1500.0), "set": (-800.0, 1200.0)}[op]
    z = max(LEAST_HEIGHT_MM - 200, grid(rng, at + offset[0], at + offset[1]))
    planes = [Plane(z_mm=z)]
    if sloped and rng.random() < 0.5:
        x0, y0, _, y1 = Polygon(points).bounds
        tilt = rng.randint(2, 12) / 20
        planes = rng.choice((
            [Plane(z_mm=z, slope_x=tilt, at_x_mm=x0)],
            [Plane(z_mm=z, slope_y=tilt, at_y_mm=y0), Plane(z_mm=z, slope_y=-tilt, at_y_mm=y1)],
            [Plane(z_mm=z + 200, slope_x=-tilt, at_x_mm=x0), Plane(z_mm=z + 400)],
        ))  # fmt: skip
        planes = raised_to(planes, points)
    return region(name, op, points, planes)


def floor_regions(rng: Random, plan: Polygon, *, all_coated: bool) -> list[Region]:
    """One to three dwarf walls, seats, plinths and sunken parts, coated or not."""
    made: list[Region] = []
    taken: list[Polygon] = []
    for i in range(rng.randint(1, 3)):
        tried = (region_outline(rng, plan, taken, touching=all_coated) for _ in range(12))
        points = next((p for p in tried if p), None)
        if not points:
            continue
        taken.append(Polygon(points))
        if rng.random() < 0.7:
            sides, face = (True, True) if all_coated else (rng.random() < 0.7, rng.random() < 0.5)
            top = [Plane(z_mm=grid(rng, 100, 950))]
            made.append(region(f"f{i}", rng.choice(("raise", "set")), points, top, coat_sides=sides, coat_face=face))
        else:
            bottom = [Plane(z_mm=-grid(rng, 100, 600))]
            made.append(region(f"f{i}", rng.choice(("lower", "lower", "set")), points, bottom, coat_sides=all_coated))
    return made
