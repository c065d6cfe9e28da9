"""Rooms of a random plan as solids: the air in each, with openings pushed out of it, and what its skin measures.

Nothing of the program's measuring is used: areas are those of the triangles on a plane.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import manifold3d
import numpy as np
from numpy.typing import NDArray
from random_designs import WALL, Cell, Design, Hole, Line, Row, along, axis_of
from random_settings import Said

Floats = NDArray[np.float64]
Figures = dict[str, dict[object, float]]
"""By figure, what it consists of: walls and openings by number, m²."""

SHALLOW = 20.0
"""mm that is cut into a wall where it is not coated, or where an opening has no reveal."""


class Skin:
    """The triangles of a solid: middles, normals, areas in m²."""

    def __init__(self, solid: manifold3d.Manifold) -> None:
        mesh = solid.to_mesh()
        corners = np.asarray(mesh.vert_properties, dtype=float)[:, :3][np.asarray(mesh.tri_verts)]
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        size = np.linalg.norm(across, axis=1)
        keep = size > 0.0
        self.middles: Floats = corners[keep].mean(axis=1)
        self.normals: Floats = across[keep] / size[keep, None]
        self.areas: Floats = size[keep] / 2e6

    def of_wall(self, line: Line) -> float:
        """What lies in the plane of a wall, between its ends."""
        axis = axis_of(line)
        a, b = sorted(along(line))
        on = np.abs(self.middles[:, 1 - axis] - line[0][1 - axis]) < 0.01
        on &= np.abs(self.normals[:, 1 - axis]) > 0.9
        on &= (self.middles[:, axis] > a) & (self.middles[:, axis] < b)
        return float(self.areas[on].sum())

    def level(self, z: float, up: bool) -> float:
        """What lies level at a height, facing up or down as seen from within the solid."""
        on = (np.abs(self.middles[:, 2] - z) < 0.01) & ((self.normals[:, 2] > 0.9) == up)
        on &= np.abs(self.normals[:, 2]) > 0.9
        return float(self.areas[on].sum())


def figures(design: Design, row: Row, cell: Cell, said: Said) -> Figures:
    """What a room's skin measures."""
    ring = design.ring(row, cell)
    lines = {n: (start, end) for (n, start), (_, end) in pairwise([*ring, ring[0]])}
    high = said.rooms.get(cell.key, {}).get("ceiling") or cell.height or design.height
    air = manifold3d.CrossSection([[start for _, start in ring]]).extrude(high)
    whole = Skin(air)
    found: Figures = defaultdict(dict)
    coated = air
    for hole, number, depth in _holes_of(design, lines, said):
        box = _box(lines[number], hole.at, hole.at + hole.width, _sill(hole, said), _head(hole, said), depth)
        coated += box
        found["openings_m2"][number, hole.key] = Skin(air).of_wall(lines[number]) - Skin(air + box).of_wall(
            lines[number]
        )
        treatment = said.walls.get(number, {}).get("treatment")
        if depth > SHALLOW and (treatment is None or treatment.coat):
            strips = Skin(air + box)
            jambs = _jambs(strips, lines[number], depth)
            head = strips.level(_head(hole, said), up=True) if _head(hole, said) < high else 0.0
            found["reveal_m2"] |= {(hole.key, "jambs"): jambs, (hole.key, "head"): head}
    bare = set()
    for number, line in lines.items():
        treatment = said.walls.get(number, {}).get("treatment")
        if treatment is not None and not treatment.coat:
            bare.add(number)
        for mask in treatment.exclusions if treatment is not None else ():
            us, zs = [v[0] for v in mask.outline], [v[1] for v in mask.outline]
            start, end = along(line)
            places = [start + u if end > start else start - u for u in (min(us), max(us))]
            coated += _box(line, min(places), max(places), min(zs), max(zs), SHALLOW)
    left = Skin(coated)
    for number, line in lines.items():
        found["wall_gross_m2"][number] = whole.of_wall(line)
        found["bare"][number] = float(number in bare)
        found["wall_net_m2"][number] = 0.0 if number in bare else left.of_wall(line)
    found["ceiling_m2"]["ceiling"] = whole.level(high, up=True)
    return found


def _sill(hole: Hole, said: Said) -> float:
    return float(said.holes.get(hole.key, {}).get("sill", hole.sill))


def _head(hole: Hole, said: Said) -> float:
    return float(said.holes.get(hole.key, {}).get("head", hole.head))


def _holes_of(design: Design, lines: dict[int, Line], said: Said) -> list[tuple[Hole, int, float]]:
    """Openings in the walls of a room, and those in the other face of one, with the depth of their reveals here."""
    found = []
    every = design.lines()
    for hole in design.holes:
        if hole.wall in lines:
            depth = said.holes.get(hole.key, {}).get("depth", 150.0 if hole.kind == "window" else 0.0)
            found.append((hole, hole.wall, max(depth, SHALLOW)))
        elif hole.kind == "door":
            beyond = every[hole.wall][1][0][0] + WALL  # the face of the room to the right
            for number, line in lines.items():
                a, b = sorted(along(line))
                if (
                    axis_of(line) == 1
                    and abs(line[0][0] - beyond) < 0.01
                    and a <= hole.at
                    and hole.at + hole.width <= b
                ):
                    found.append((hole, number, SHALLOW))
    return found


def _box(line: Line, a: float, b: float, low: float, high: float, depth: float) -> manifold3d.Manifold:
    """What is pushed out of a wall from a to b along it; it reaches a little into the room."""
    axis = axis_of(line)
    start, end = along(line)
    face = line[0][1 - axis]
    outward = (1.0 if end < start else -1.0) if axis == 0 else (1.0 if end > start else -1.0)
    across = sorted((face - outward * 1.0, face + outward * depth))
    size, place = [0.0, 0.0, high - low], [0.0, 0.0, low]
    size[axis], place[axis] = b - a, a
    size[1 - axis], place[1 - axis] = across[1] - across[0], across[0]
    return manifold3d.Manifold.cube(size).translate(place)


def _jambs(skin: Skin, line: Line, depth: float) -> float:
    axis = axis_of(line)
    face = line[0][1 - axis]
    out = np.abs(skin.middles[:, 1 - axis] - face)
    start, end = along(line)
    outward = (1.0 if end < start else -1.0) if axis == 0 else (1.0 if end > start else -1.0)
    on = (np.abs(skin.normals[:, axis]) > 0.9) & (out < depth) & ((skin.middles[:, 1 - axis] - face) * outward > 0.0)
    return float(skin.areas[on].sum())


# What came and went --------------------------------------------------------------------------------------


def differences(old: Figures | None, new: Figures | None, alike: dict[int, int]) -> dict[str, tuple[float, float]]:
    """Of a room, by figure: what was added and what was omitted. ``alike``: by the number of a wall, what it counts
    as."""
    old, new = old or defaultdict(dict), new or defaultdict(dict)
    whole = _whole(old, alike) & _whole(new, alike)
    items = _items(old, alike, whole), _items(new, alike, whole)
    found = {}
    for key in ("wall_gross_m2", "openings_m2", "wall_net_m2", "ceiling_m2", "reveal_m2"):
        was, now = items[0][key], items[1][key]
        by = [now.get(item, 0.0) - was.get(item, 0.0) for item in {*was, *now}]
        found[key] = sum(b for b in by if b > 0.0), -sum(b for b in by if b < 0.0)
    return found


def _whole(state: Figures, alike: dict[int, int]) -> set[int]:
    """Walls of which no part is left bare."""
    found: dict[int, bool] = {}
    for number, bare in state["bare"].items():
        name = alike[number]  # type: ignore[index]
        found[name] = found.get(name, True) and not bare
    return {name for name, whole in found.items() if whole}


def _items(state: Figures, alike: dict[int, int], whole: set[int]) -> Figures:
    found: Figures = defaultdict(lambda: defaultdict(float))
    for key in ("wall_gross_m2", "wall_net_m2"):
        for number, value in state[key].items():
            found[key][alike[number]] += value  # type: ignore[index]
    for (number, hole), area in state["openings_m2"].items():  # type: ignore[misc]
        found["openings_m2"][hole, alike[number]] += area
        if alike[number] in whole:  # in a wall that is coated throughout a hole counts by itself
            found["wall_net_m2"][alike[number]] += area
            found["wall_net_m2"]["hole", hole, alike[number]] -= area
    for key in ("ceiling_m2", "reveal_m2"):
        found[key] |= state[key]
    return found


def counted_alike(old: Design, new: Design, key: str) -> dict[int, int]:
    """Of the walls of a room before and now, which count as one: a wall that only one state has is a piece of the one
    of the other along which most of it runs, within a metre and no
    further off than it is wide."""
    was, now = ({n: line for n, (room, line) in d.lines().items() if room == key} for d in (old, new))
    names = {n: n for n in (*was, *now)}

    def first(n: int) -> int:
        while names[n] != n:
            n = names[n]
        return n

    for mine, theirs in ((now, was), (was, now)):
        for n, line in mine.items():
            if n in theirs:
                continue
            beside = [(off, other) for other, wall in theirs.items() if (off := _beside(wall, line)) is not None]
            if beside:
                names[first(n)] = first(min(beside)[1])
    return {n: first(n) for n in names}


def _beside(wall: Line, piece: Line) -> float | None:
    axis = axis_of(wall)
    if axis_of(piece) != axis:
        return None
    (a, b), (c, d) = along(wall), along(piece)
    if (b > a) != (d > c):
        return None
    shared = min(max(a, b), max(c, d)) - max(min(a, b), min(c, d))
    off = abs(wall[0][1 - axis] - piece[0][1 - axis])
    return off if off <= min(1000.0, abs(d - c)) and shared >= 0.5 * abs(d - c) else None
