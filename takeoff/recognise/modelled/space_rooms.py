"""Storeys with rooms and openings from the spaces of a model, given or enclosed by its walls; their ceilings
and floors from the plane pieces of the spaces' solids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.errors import Finding
from takeoff.plan.model import Confidence, Field, Plane, Region, RegionId, Ring, Room, RoomId, Side, Storey, StoreyId
from takeoff.recognise.modelled.model_claims import Floats, Model, Origin, Part, Space
from takeoff.recognise.modelled.model_doubts import doubts_about, floor_area_m2, wells
from takeoff.recognise.modelled.model_openings import Placed, place_openings
from takeoff.recognise.modelled.space_borders import (
    Outline,
    building_of,
    outlines_of,
    sides_of,
    with_behind,
    with_open_sides,
)
from takeoff.recognise.presets import Settings

SAME_MM = 2.0
"""Planes that differ by less than this over a piece are one."""
LEVEL_MM = 0.5
"""A floor this near to the storey's level lies in it."""
SMALLEST_MM2 = 2500.0
"""Pieces below 50 × 50 mm are noise of the solid."""


def ceiling_of(parts: Sequence[Part], origin: Origin, top_mm: float) -> Field:
    """The ceiling: the lowest of its planes where that is what the pieces are, else the widest such
    group with the other pieces set in as regions. Flat at ``top_mm`` without pieces."""
    return _field(parts, origin, "c", 1.0) or Field(planes=(Plane(z_mm=top_mm),), source="drawn")


def floor_of(parts: Sequence[Part], origin: Origin, floor_mm: float) -> Field | None:
    """The floor likewise, the highest of its planes; None where it lies in the storey's level."""
    field = _field(parts, origin, "f", -1.0) or Field(planes=(Plane(z_mm=floor_mm),), source="drawn")
    plane = field.planes[0]
    flat = len(field.planes) == 1 and not field.regions and plane.slope_x == plane.slope_y == 0.0
    return None if flat and abs(plane.z_mm) < LEVEL_MM else field


def _field(parts: Sequence[Part], origin: Origin, letter: str, sign: float) -> Field | None:
    parts = [p for p in parts if p.area > SMALLEST_MM2]
    if not parts:
        return None
    base = _group(parts, sign)
    rest = [p for p in parts if not any(p is b for b in base)]
    planes = tuple(_plane(p, origin) for p in base)
    rings: list[tuple[Floats, tuple[Plane, ...]]] = [(r, (_plane(p, origin),)) for p in rest for r in p.outer]
    taken = [shapely.Polygon(r) for r, _ in rings]
    for p in rest:
        rings += [(h, planes) for h in p.holes if not any(_same(shapely.Polygon(h), t) for t in taken)]
    regions = tuple(
        Region(id=RegionId(f"{letter}{n}"), op="set", outline=_ring(ring, origin), planes=own, source="drawn")
        for n, (ring, own) in enumerate(rings, 1)
        if shapely.Polygon(ring).area > SMALLEST_MM2
    )
    return Field(planes=planes, regions=regions, source="drawn")


def _group(parts: Sequence[Part], sign: float) -> list[Part]:
    """The largest piece and all that go with it as *the lowest of* (highest, with sign −1)."""
    group = [parts[0]]
    for part in parts[1:]:
        trial = [*group, part]
        if all(_governs(p, trial, sign) for p in trial):
            group = trial
    return group


def _governs(part: Part, group: Sequence[Part], sign: float) -> bool:
    xy = np.concatenate([*part.outer, *part.holes])
    own = sign * _height(part, xy)
    return all((sign * _height(other, xy) >= own - SAME_MM).all() for other in group)


def _height(part: Part, xy: Floats) -> Floats:
    return np.asarray(part.z + part.slope_x * xy[:, 0] + part.slope_y * xy[:, 1])


def _plane(part: Part, origin: Origin) -> Plane:
    """The plane, given at the middle of its piece: far from it a slope would cost digits."""
    x, y = part.outer[0].mean(axis=0).tolist()
    if abs(part.slope_x) < 1e-9 and abs(part.slope_y) < 1e-9:
        return Plane(z_mm=part.z)
    z = part.z + part.slope_x * x + part.slope_y * y
    return Plane(z_mm=z, slope_x=part.slope_x, slope_y=part.slope_y, at_x_mm=x + origin[0], at_y_mm=y + origin[1])


def _same(a: shapely.Polygon, b: shapely.Polygon) -> bool:
    return bool(a.symmetric_difference(b).area < SMALLEST_MM2)


def _ring(xy: Floats, origin: Origin) -> Ring:
    if shapely.Polygon(xy).exterior.is_ccw is False:
        xy = xy[::-1]
    return tuple((x + origin[0], y + origin[1], 0.0) for x, y in xy.tolist())


OVERHANG_M2 = 0.05
"""Ceilings that lie over each other by more than this are told."""
GLASS_SHARE = 1.0 / 3.0
"""More of its border than this is glass, and what is enclosed may be outside (common practice)."""
ENCLOSED = "enclosed by walls"
"""How a space was made that no space of the model says."""


def storeys_of(model: Model, spaces: Sequence[Space], settings: Settings) -> tuple[tuple[Storey, ...], list[Finding]]:
    """(the storeys that have rooms, what to look at)"""
    opened = with_open_sides(outlines_of(spaces), model)
    outlines = opened.outlines
    sides = with_behind(outlines, [sides_of(o, model.origin) for o in outlines], model)
    rooms = _rooms(outlines, sides, model, {s.guid for pair in opened.in_walls for s in pair})
    placed = place_openings(model, outlines, sides, rooms, settings)
    rooms = [_questioned(r, o, placed) if o.space.made == ENCLOSED else r for r, o in zip(rooms, outlines, strict=True)]
    return _storeys(model, outlines, rooms, placed), doubts_about(model, opened, rooms, placed, settings)


def _questioned(room: Room, outline: Outline, placed: Placed) -> Room:
    """What walls enclose without a door may be a shaft, and what glass encloses a court or a loggia:
    whether it is a room is asked."""
    doubts = [] if room.id in placed.reached else ["no opening leads into it"]
    share = placed.glazed_mm.get(room.id, 0.0) / float(outline.plan.length)
    if share > GLASS_SHARE:
        doubts.append(f"{share:.0%} of its border is glass")
    if not doubts:
        return room
    return replace(room, confidence="question", evidence=(*room.evidence, *doubts))


def _rooms(
    outlines: Sequence[Outline], sides: Sequence[list[tuple[Side, ...]]], model: Model, in_walls: set[str]
) -> list[Room]:
    pieces = Counter(id(o.space) for o in outlines)
    rooms = []
    going_on = wells([o.space for o in outlines], model)
    for number, (outline, rings) in enumerate(zip(outlines, sides, strict=True), 1):
        space = outline.space
        doubts = _doubts(space, in_walls, going_on)
        pieced = () if pieces[id(space)] == 1 else ("a space in pieces",)
        enclosed = space.made == ENCLOSED
        confidence: Confidence = "check" if doubts or enclosed else "sure"
        source = "enclosed by the model's walls" if enclosed else "the model's space solid"
        rooms.append(
            Room(
                id=RoomId(f"r{number}"),
                outline=rings[0],
                inner=tuple(rings[1:]),
                name=space.name or space.number,
                number=space.number if space.name else "",
                ceiling=None if enclosed else ceiling_of(space.ceiling, model.origin, space.top_mm),
                floor=floor_of(space.floor, model.origin, space.floor_mm),
                printed_area_m2=None if pieced else floor_area_m2(space),
                confidence=confidence,
                evidence=(source, *pieced, *doubts),
            )
        )
    return rooms


def _doubts(space: Space, in_walls: set[str], going_on: dict[str, float]) -> list[str]:
    doubts = ["no space of the model says that it is a room"] if space.made == ENCLOSED else []
    if space.overhang_m2 > OVERHANG_M2:
        doubts.append(f"ceilings of {space.overhang_m2:.2f} m² lie above one another: only one is measured")
    if space.guid in going_on:
        doubts.append(
            f"the stairwell or shaft goes on above it: {going_on[space.guid]:.1f} m² of its ceiling, and the "
            "floor above, may not be there"
        )
    if space.guid in in_walls:
        doubts.append("its outline runs in the middle of walls, not at their faces")
    return doubts


def _storeys(model: Model, outlines: Sequence[Outline], rooms: Sequence[Room], placed: Placed) -> tuple[Storey, ...]:
    """The storeys that have rooms."""
    found = []
    for k, level in enumerate(model.levels):
        own = [n for n, o in enumerate(outlines) if o.space.storey == k]
        if not own:
            continue
        holes = [h.ring for h in model.holes if h.storey == k]
        found.append(
            Storey(
                id=StoreyId(str(k + 1)),
                name=level.name,
                level_mm=level.level_mm,
                height_mm=median(outlines[n].space.top_mm for n in own),
                height_source="drawn",
                rooms=tuple(rooms[n] for n in own),
                openings=tuple(placed.openings[k]),
                rooflights=tuple(placed.rooflights[k]),
                building=building_of([outlines[n] for n in own], model.walls[k], holes, model.origin),
                building_source="drawn",
            )
        )
    return tuple(found)
