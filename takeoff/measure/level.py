"""The level and sloping surfaces of a space: ceiling pieces, tops of raised floors, rooflights."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Stretch, monotone, strips_and_widths, strips_between
from takeoff.geometry.tolerances import FLAT_DEG, SNAP_MM
from takeoff.measure.face import EXCLUDED, NET, NOT_COATED, OPEN, U_MM
from takeoff.measure.fields import Sheet, profile_on
from takeoff.measure.gather import Areas, Line3
from takeoff.measure.space import Cell, Space, local_ring
from takeoff.plan.model import Region


class Piece(NamedTuple):
    """A surface under one plane: ``factor`` is 1/cos of its slope, ``strips`` its plan area as
    (width, mean length) in mm by class, ``plan`` its area in plan, mm²."""

    name: str
    kind: str
    region: Region | None
    factor: float
    areas: Areas
    strips: dict[int, tuple[tuple[float, float], ...]]
    narrow: tuple[float, ...]
    """How wide the coated part is at each of its strips, mm in plan."""


class Light(NamedTuple):
    """A rooflight's shaft: its girth on the slope and depth in mm, and its corners."""

    name: str
    girth: tuple[float, ...]
    depth: float
    coat: bool
    edges: tuple[Line3, ...]


def slope_factor(s: Sheet) -> float:
    """1/cos of a plane's slope: its area over its area in plan."""
    return math.sqrt(1.0 + s.gx * s.gx + s.gy * s.gy)


def ceiling_cells(space: Space, room: int) -> list[tuple[str, Sheet, list[int]]]:
    """(name, plane, cells) of every ceiling piece of a room, in the order they are met."""
    groups: dict[tuple[str | None, Sheet], list[int]] = {}
    for number, cell in enumerate(space.cells):
        if cell.room == room:
            rid = str(cell.ceiling_region.id) if cell.ceiling_region else None
            groups.setdefault((rid, cell.ceiling), []).append(number)
    count: dict[str | None, int] = {}
    for rid, _ in groups:
        count[rid] = count.get(rid, 0) + 1
    seen: dict[str | None, int] = {}
    found = []
    for (rid, s), cells in groups.items():
        seen[rid] = seen.get(rid, 0) + 1
        name = f"{rid}.face" if rid else "ceiling"
        if count[rid] > 1:
            name += f".{seen[rid]}"
        found.append((name, s, cells))
    return found


def ceiling_pieces(space: Space, room: int) -> list[Piece]:
    """The ceiling of a room by region and plane, in the order they are met."""
    return [
        _piece(space, name, "ceiling", space.cells[cells[0]].ceiling_region, s, cells, lambda c: c.ceiling_class)
        for name, s, cells in ceiling_cells(space, room)
    ]


def top_cells(space: Space, room: int) -> list[tuple[str, Sheet, list[int]]]:
    """(name, plane, cells) of the coated tops of a room's floor regions."""
    groups: dict[tuple[str, Sheet], list[int]] = {}
    for number, cell in enumerate(space.cells):
        if cell.room == room and cell.floor_coated and cell.floor_region is not None:
            groups.setdefault((cell.floor_region.id, cell.floor), []).append(number)
    return [(f"{rid}.top", s, cells) for (rid, s), cells in groups.items()]


def raised_tops(space: Space, room: int) -> list[Piece]:
    """The coated tops of a room's floor regions; none where none is coated."""
    return [
        _piece(space, name, "top", space.cells[cells[0]].floor_region, s, cells, lambda _: NET)
        for name, s, cells in top_cells(space, room)
    ]


def _piece(
    space: Space,
    name: str,
    kind: str,
    region: Region | None,
    s: Sheet,
    cells: Sequence[int],
    class_of: Callable[[Cell], int],
) -> Piece:
    factor = slope_factor(s)
    by = dict.fromkeys((NET, OPEN, EXCLUDED, NOT_COATED), 0.0)
    members: dict[int, set[int]] = {}
    for number in cells:
        cls = class_of(space.cells[number])
        by[cls] += space.plan.cell_area(number) * factor
        members.setdefault(cls, set()).add(number)
    gross = math.fsum(by.values())
    areas = Areas(gross, by[OPEN], by[EXCLUDED], by[NOT_COATED], by[NET])
    outlines = {cls: _outline(space, group) for cls, group in members.items()}
    net, widths = strips_and_widths(outlines.get(NET, ()))
    strips = {cls: tuple(net if cls == NET else strips_between(outline)) for cls, outline in outlines.items()}
    return Piece(name, kind, region, factor, areas, strips, tuple(widths))


def _outline(space: Space, cells: set[int]) -> tuple[Stretch, ...]:
    """The border of some cells as profiles, turned so that the longest side lies level."""
    rim = [e.curve for e in space.plan.edges if (e.left in cells) != (e.right in cells)]
    straight = [c for c in rim if c.bulge == 0.0]
    if not straight:
        return monotone(rim)
    base = max(straight, key=lambda c: c.length)
    return monotone(_turned(c, base.dx, base.dy) for c in rim)


def _turned(c: Curve, dx: float, dy: float) -> Curve:
    x0, y0 = c.x0 * dx + c.y0 * dy, c.y0 * dx - c.x0 * dy
    x1, y1 = c.x1 * dx + c.y1 * dy, c.y1 * dx - c.x1 * dy
    # A side square to the base must stay upright: a hair's lean would cut a sliver.
    if abs(x1 - x0) < SNAP_MM:
        x1 = x0
    return Curve(x0, y0, x1, y1, c.bulge)


def floor_area(space: Space, room: int) -> float:
    """Plan area of a room's floor, mm², less raised parts whose top is coated (dwarf walls, window
    seats, plinths); a top that is not coated is a step or a platform, and floor."""
    return math.fsum(
        space.plan.cell_area(number)
        for number, cell in enumerate(space.cells)
        if cell.room == room and not cell.floor_coated
    )


def rooflights(space: Space, room: int) -> list[Light]:
    """The shafts of a room's rooflights."""
    return [_light(space, room, n) for n in range(len(space.rooms[room].rooflights))]


def _girth(space: Space, room: int, number: int, sides: int) -> tuple[float, ...]:
    """The length of each side of a rooflight along the ceiling as it is, plane by plane, mm; what lies outside of
    the room is cut off. Nothing for one that lies outside altogether."""
    pieces: list[list[float]] = [[] for _ in range(sides)]
    inside = {n for n, c in enumerate(space.cells) if c.room == room and c.rooflight == number}
    for e in space.plan.edges:
        if (e.left in inside) == (e.right in inside):
            continue
        for index, *_ in e.uses:
            ref = space.refs[index]
            if ref.kind == "rooflight" and ref.room == room and ref.item == number:
                cell = space.cells[e.left if e.left in inside else e.right]
                pieces[ref.side].append(profile_on(cell.ceiling, e.curve).length(0.0, e.curve.length))
    return tuple(math.fsum(found) for found in pieces) if inside else ()


def _light(space: Space, room: int, number: int) -> Light:
    shape = space.rooms[room]
    light = shape.rooflights[number]
    ring = local_ring(light.outline, shape.origin)
    girth = _girth(space, room, number, len(ring))
    if not girth:
        return Light(light.id, (), 0.0, False, ())
    coat = light.coat and light.depth_mm > 0.0
    edges = []
    if coat:
        name = f"{light.id}.shaft"
        for i, c in enumerate(ring):
            before = ring[i - 1].direction(ring[i - 1].length)
            here = c.direction(0.0)
            turn = math.degrees(
                math.atan2(before[0] * here[1] - before[1] * here[0], before[0] * here[0] + before[1] * here[1])
            )
            if abs(turn) > FLAT_DEG:
                cls, kind = ("internal", "reveal") if turn > 0 else ("external", "opening")
                edges.append(Line3(room, cls, kind, (name, name), light.depth_mm, 180.0 - turn, False, ()))
        total = math.fsum(girth)
        if total > U_MM:
            edges.append(Line3(room, "frame_joint", "frame", (name, "frame"), total, 0.0, False, (), "frame"))
    return Light(light.id, girth, light.depth_mm, coat, tuple(edges))
