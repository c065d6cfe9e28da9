"""The quantities of a room read off the mesh of its void: areas by surface, lengths by dihedral angle."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import trimesh
from manifold3d import Manifold
from shapely.geometry import Point, Polygon
from solids_mesh import Pairs, donors, joined, shortest_edge, split_mesh
from solids_void import Frame, depth_of, fields_of, frames_of, height, on_side, points_of, sides_of

from takeoff.plan.model import Field, Opening, Region, Room

TOUCH_MM = 1e-3
"""Points this close to a surface are on it."""
STRAIGHT_DEG = (175.0, 185.0)
"""Between these angles of the void there is no corner."""


@dataclass(frozen=True)
class Surface:
    """What a triangle belongs to. ``kind``: wall, ceiling, drop, riser, top, reveal, floor, frame.

    A raised part of a floor whose top is not coated is floor; a riser that is not coated is a
    surface left bare.
    """

    kind: str
    owner: str = ""
    coated: bool = False


@dataclass
class Reading:
    """The areas (m²) and lengths (m) of one void; ``untellable``: why the solid is no proof."""

    area: dict[Surface, float] = field(default_factory=dict)
    plan_area: dict[Surface, float] = field(default_factory=dict)
    length: dict[tuple[str, str], float] = field(default_factory=dict)
    untellable: str = ""
    shortest_mm: float = math.inf
    triangles: list[tuple[Surface, np.ndarray]] = field(default_factory=list)

    def areas(self, *kinds: str, coated: bool | None = True) -> float:
        return sum(a for s, a in self.area.items() if s.kind in kinds and (coated is None or s.coated == coated))

    def edge(self, cls: str, kind: str | None = None) -> float:
        return sum(m for (c, k), m in self.length.items() if c == cls and kind in (None, k))


def field_at(whole: Field, x: float, y: float, *, lowest: bool, shift_mm: float) -> float:
    """The height of a field at a point: the regions around it one after the other, outermost first."""
    best = min if lowest else max
    value = best(height(plane, x, y) for plane in whole.planes)
    for region in regions_around(whole, x, y):
        own = best(height(plane, x, y) for plane in region.planes)
        value = {"lower": min(value, own), "raise": max(value, own), "set": own}[region.op]
    return value + shift_mm


def regions_around(whole: Field, x: float, y: float) -> list[Region]:
    found = [(Polygon(points_of(r.outline)), r) for r in whole.regions]
    inside = [(shape.area, r) for shape, r in found if shape.contains(Point(x, y))]
    return [r for _, r in sorted(inside, key=lambda pair: -pair[0])]


def surface_finder(
    room: Room, openings: Sequence[Opening], storey_height_mm: float
) -> Callable[[np.ndarray, np.ndarray], Surface]:
    """A function from a triangle's middle and outward normal to its surface."""
    floor, ceiling = fields_of(room, storey_height_mm)
    sides, frames = sides_of(room), frames_of(room)
    by_id = {side.id: frame for side, frame in zip(sides, frames, strict=True)}
    coats = {side.id: (side.treatment or room.walls).coat for side in sides}
    hosts = [(o, by_id[o.side]) for o in openings]

    def find(middle: np.ndarray, normal: np.ndarray) -> Surface:
        for opening, frame in hosts:
            if beyond(opening, frame, middle):
                u = side_view(frame, middle, normal)[0]
                on_floor = stands_on_floor(opening, on_side(frame, u, -0.01), room, floor)
                return strip_surface(opening, frame, normal, on_floor=on_floor)
        if normal[2] > 0.02:
            return ceiling_surface(ceiling, middle, room.ceiling_treatment.coat)
        if normal[2] < -0.02:
            return floor_surface(floor, middle)
        for side, frame in zip(sides, frames, strict=True):
            u, out, facing, _ = side_view(frame, middle, normal)
            if abs(out) < TOUCH_MM and -TOUCH_MM < u < frame[4] + TOUCH_MM and facing > 0.999:
                return Surface("wall", side.id, coats[side.id])
        x, y = middle[0] + 0.01 * normal[0], middle[1] + 0.01 * normal[1]
        top = field_at(ceiling, x, y, lowest=True, shift_mm=-room.ceiling_build_up_mm)
        if middle[2] > top:
            return drop_surface(region_along(ceiling, middle), room.ceiling_treatment.coat)
        return riser_surface(region_along(floor, middle))

    return find


def side_view(frame: Frame, point: np.ndarray, normal: np.ndarray) -> tuple[float, float, float, float]:
    """u along the side, mm outside of it, and how much a normal points outwards and along."""
    x, y, dx, dy, _ = frame
    px, py = point[0] - x, point[1] - y
    outwards = normal[0] * dy - normal[1] * dx
    return px * dx + py * dy, px * dy - py * dx, outwards, normal[0] * dx + normal[1] * dy


def beyond(opening: Opening, frame: Frame, point: np.ndarray, least_mm: float = TOUCH_MM) -> bool:
    """True where a point lies in or on the recess of an opening, outside of the wall's face."""
    u, out, _, _ = side_view(frame, point, np.zeros(3))
    across = opening.offset_mm - TOUCH_MM < u < opening.offset_mm + opening.width_mm + TOUCH_MM
    upright = opening.sill_mm - TOUCH_MM < point[2] < opening.head_mm + TOUCH_MM
    return across and upright and least_mm < out < depth_of(opening) + TOUCH_MM


def stands_on_floor(opening: Opening, front: tuple[float, float], room: Room, floor: Field) -> bool:
    """True where the sill lies at the floor in front of it, and not at the coated top of a seat or plinth."""
    bottom = field_at(floor, *front, lowest=False, shift_mm=room.floor_build_up_mm)
    around = regions_around(floor, *front)
    return abs(bottom - opening.sill_mm) < TOUCH_MM and not (around and around[-1].coat_face)


def strip_surface(opening: Opening, frame: Frame, normal: np.ndarray, *, on_floor: bool) -> Surface:
    _, _, outwards, along = side_view(frame, np.zeros(3), normal)
    if outwards > 0.99:
        return Surface("frame", opening.id)
    if normal[2] < -0.5 and on_floor:
        return Surface("floor")
    name = "head" if normal[2] > 0.5 else "sill" if normal[2] < -0.5 else "end" if along > 0 else "start"
    return Surface("reveal", f"{opening.id}/{name}", getattr(opening.reveal, name).coat)


def floor_surface(floor: Field, middle: np.ndarray) -> Surface:
    around = regions_around(floor, middle[0], middle[1])
    raised = around and around[-1].op != "lower" and around[-1].coat_face
    return Surface("top", around[-1].id, True) if raised else Surface("floor")


def ceiling_surface(ceiling: Field, middle: np.ndarray, default: bool) -> Surface:
    around = regions_around(ceiling, middle[0], middle[1])
    face = around[-1].coat_face if around else None
    return Surface("ceiling", coated=default if face is None else face)


def drop_surface(region: Region, default: bool) -> Surface:
    return Surface("drop", region.id, default if region.coat_sides is None else region.coat_sides)


def riser_surface(region: Region) -> Surface:
    """The side of a floor region, coated where the region says so."""
    return Surface("riser", region.id, bool(region.coat_sides))


def region_along(whole: Field, middle: np.ndarray) -> Region:
    """The smallest region whose outline runs through a point in plan."""
    near = [(Polygon(points_of(r.outline)), r) for r in whole.regions]
    on_it = [(p.area, r) for p, r in near if p.exterior.distance(Point(middle[0], middle[1])) < TOUCH_MM]
    if not on_it:
        raise ValueError(f"an upright face at {middle} belongs to no side and no region")
    return min(on_it, key=lambda pair: pair[0])[1]


def separated(
    mesh: tuple[np.ndarray, np.ndarray], room: Room, openings: Sequence[Opening]
) -> tuple[np.ndarray, np.ndarray]:
    """The mesh cut where one triangle would lie on two surfaces of one plane."""
    vertices, faces = mesh
    frames = frames_of(room)
    by_id = {side.id: frame for side, frame in zip(sides_of(room), frames, strict=True)}
    for x, y, dx, dy, length in frames:
        for along in (0.0, length):
            u = (vertices[:, 0] - x) * dx + (vertices[:, 1] - y) * dy
            on_wall = np.abs((vertices[:, 0] - x) * dy - (vertices[:, 1] - y) * dx) < TOUCH_MM
            flat = on_wall[faces].all(axis=1)
            crossed = (u[faces].min(axis=1) < along - TOUCH_MM) & (u[faces].max(axis=1) > along + TOUCH_MM)
            if (flat & crossed).any():
                vertices, faces = split_mesh(vertices, faces, (x + along * dx, y + along * dy), (dx, dy))
    for opening in openings:
        x, y, dx, dy, _ = by_id[opening.side]
        out = (vertices[:, 0] - x) * dy - (vertices[:, 1] - y) * dx
        recess = np.array([beyond(opening, by_id[opening.side], p) for p in vertices])
        if (recess[faces].any(axis=1) & (out[faces].min(axis=1) < -TOUCH_MM)).any():
            vertices, faces = split_mesh(vertices, faces, (x, y), (dy, -dx))
        for u in floor_changes(room, by_id[opening.side]):
            if opening.offset_mm + TOUCH_MM < u < opening.offset_mm + opening.width_mm - TOUCH_MM:
                vertices, faces = split_mesh(vertices, faces, (x + u * dx, y + u * dy), (dx, dy))
    return vertices, faces


def floor_changes(room: Room, frame: Frame) -> list[float]:
    """Where along a side the regions of the floor begin and end."""
    ends = [c for region in (room.floor.regions if room.floor else ()) for c in points_of(region.outline)]
    views = [side_view(frame, np.array(end), np.zeros(3)) for end in ends]
    return sorted({round(u, 6) for u, out, _, _ in views if abs(out) < TOUCH_MM})


def read_void(void: Manifold, room: Room, openings: Sequence[Opening], storey_height_mm: float) -> Reading:
    """Areas and edge lengths of a void with its openings."""
    raw = void.to_mesh64()
    vertices, faces = np.array(raw.vert_properties)[:, :3], np.array(raw.tri_verts).astype(int)
    closest = shortest_edge(vertices, faces)
    vertices, faces = separated((vertices, faces), room, openings)
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    if not mesh.is_watertight or mesh.volume <= 0:
        raise ValueError("the void is not closed")
    pairs = {(int(f[i]), int(f[(i + 1) % 3])): t for t, f in enumerate(faces) for i in range(3)}
    lead = donors(vertices, faces, pairs)
    first, second, third = (vertices[faces[:, i]] for i in range(3))
    cross = np.cross(second - first, third - first)
    size = np.linalg.norm(cross, axis=1)
    normals = cross / np.maximum(size, 1e-300)[:, None]
    find = surface_finder(room, openings, storey_height_mm)
    middles = vertices[faces].mean(axis=1)
    surfaces = {t: find(middles[t], normals[t]) for t in set(lead)}
    made = Reading(shortest_mm=closest)
    for t, surface in ((t, surfaces[lead[t]]) for t in range(len(faces))):
        made.area[surface] = made.area.get(surface, 0.0) + float(mesh.area_faces[t]) * 1e-6
        made.plan_area[surface] = made.plan_area.get(surface, 0.0) + abs(float(cross[t, 2])) / 2e6
        made.triangles.append((surface, vertices[faces[t]]))
    add_edges(made, vertices, pairs, [(surfaces[t], normals[t]) for t in lead])
    return made


def add_edges(made: Reading, vertices: np.ndarray, pairs: Pairs, faces: list[tuple[Surface, np.ndarray]]) -> None:
    """Adds the length of every edge to its class and kind.

    An edge that is there twice, other than an upright one, borders a sheet without thickness.
    """
    seen: set[tuple[tuple[float, ...], ...]] = set()
    for start, end, t, other in joined(vertices, pairs, [normal for _, normal in faces]):
        (one, n1), (two, n2) = faces[t], faces[other]
        length = float(np.linalg.norm(end - start))
        bent = float(np.dot(np.cross(n1, n2), end - start)) / max(length, 1e-300)
        turn = math.degrees(math.atan2(bent, float(n1 @ n2)))
        if one.coated and two.coated and min(abs(180 - turn - limit) for limit in STRAIGHT_DEG) < 0.01:
            made.untellable = "a fold of 175° or 185°"
        key = edge_key(one, two, 180 - turn)
        if key:
            made.length[key] = made.length.get(key, 0.0) + length / 1000
            place = tuple(sorted(tuple(np.round(point, 4).tolist()) for point in (start, end)))
            if place in seen and place[0][:2] != place[1][:2]:
                made.untellable = "a sheet without thickness"
            seen.add(place)


def edge_key(one: Surface, two: Surface, angle_deg: float) -> tuple[str, str] | None:
    """Class and kind of the edge between two surfaces at the void's angle; None where there is none."""
    kinds = {one.kind, two.kind}
    if one.coated and two.coated:
        if STRAIGHT_DEG[0] <= angle_deg <= STRAIGHT_DEG[1]:
            return None
        return corner_key(kinds, internal=angle_deg < 180)
    if not one.coated and not two.coated:
        return None
    bare = two if one.coated else one
    if bare.kind == "frame":
        return ("frame_joint", "")
    return ("floor_edge", "") if bare.kind == "floor" else ("coat_edge", "")


def corner_key(kinds: set[str], *, internal: bool) -> tuple[str, str]:
    if "reveal" in kinds:
        return ("internal", "reveal") if internal else ("external", "opening")
    if kinds & {"riser", "top"}:
        return ("internal", "drop") if internal else ("external", "low")
    if "drop" in kinds:
        return ("internal", "drop") if internal else ("external", "drop")
    if kinds == {"wall"}:
        return ("internal", "wall_wall") if internal else ("external", "room")
    name = "ceiling" if kinds == {"ceiling"} else "wall_ceiling"
    return ("internal" if internal else "external", name)


def quantities(room: Room, openings: Sequence[Opening], full: Reading, bare: Reading) -> dict[str, float]:
    """The figures of a room by name, from its void with openings and the one without.

    A raised part is floor unless it is coated on top (common practice, no source).
    """
    gross = bare.areas("wall", coated=None)
    net = full.areas("wall", coated=None)
    made = {
        "perimeter_m": sum(frame[4] for frame in frames_of(room)) / 1000,
        "floor_m2": sum(area for surface, area in bare.plan_area.items() if surface.kind == "floor"),
        "wall_gross_m2": gross,
        "openings_m2": gross - net,
        "wall_net_m2": full.areas("wall"),
        "not_coated_m2": full.areas("wall", coated=False),
        "ceiling_m2": full.areas("ceiling"),
        "drop_m2": full.areas("drop", "riser", "top"),
        "reveal_m2": full.areas("reveal"),
        "external_corner_m": full.edge("external"),
        "coat_edge_m": full.edge("coat_edge"),
        "floor_edge_m": full.edge("floor_edge"),
        "frame_joint_m": full.edge("frame_joint"),
    }
    made["coated_m2"] = sum(made[f"{k}_m2"] for k in ("wall_net", "ceiling", "drop", "reveal"))
    for kind in ("wall_wall", "wall_ceiling", "ceiling", "drop", "reveal"):
        made[f"internal.{kind}"] = full.edge("internal", kind)
    for kind in ("room", "opening", "drop", "ceiling", "low", "wall_ceiling"):
        made[f"external.{kind}"] = full.edge("external", kind)
    return made
