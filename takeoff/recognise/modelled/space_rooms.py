"""Storeys with rooms and openings from the spaces of a model, given or enclosed by its walls; their ceilings
and floors from the plane pieces of the spaces' solids; what to look at in them: borders in walls, stairwells that
a model cuts into one space per storey, and the file's own quantities against the solids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import mark, percent, quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.plan.model import (
    CeilingTreatment,
    Confidence,
    Field,
    Plane,
    Region,
    RegionId,
    Ring,
    Room,
    RoomId,
    Side,
    Stair,
    Storey,
    StoreyId,
)
from takeoff.plan.reasons import because
from takeoff.recognise.modelled.model_claims import Floats, Model, Origin, Part, Quantity, Space, number_beside
from takeoff.recognise.modelled.model_openings import Placed, place_openings
from takeoff.recognise.modelled.space_borders import (
    Opened,
    Outline,
    building_of,
    outlines_of,
    sides_of,
    with_behind,
    with_open_sides,
)
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import by_name
from takeoff.units.printing import printed, shown, whole

ALIKE = 0.5
"""Two of them that lie over each other on this part of the smaller are one well."""
BETWEEN_MM = 900.0
"""And are parted by no more than a floor of this (common practice, no source)."""


def wells(spaces: Sequence[Space], model: Model) -> dict[str, float]:
    """By GlobalId of each space that another stair or shaft goes on above: the area in m² of its
    ceiling that may not be there. Spaces whose names say neither are left alone."""
    named = [s for s in spaces if by_name(s.name)[0] == "stair" or by_name(s.number)[0] == "stair"]
    found: dict[str, float] = {}
    for low in named:
        top = model.levels[low.storey].level_mm + low.top_mm
        for high in named:
            gap = model.levels[high.storey].level_mm + high.floor_mm - top
            if high.storey <= low.storey or not -BETWEEN_MM <= gap <= BETWEEN_MM:
                continue
            shared = float(low.plan.intersection(high.plan).area)
            if shared >= ALIKE * min(low.plan.area, high.plan.area):
                found[low.guid] = max(found.get(low.guid, 0.0), shared / 1e6)
    return found


AGREES = 0.005
"""Figures this near (relative) agree."""
AREA_NAMES = ("NetFloorArea", "GrossFloorArea", "NetArea", "GrossArea", "Area")
PERIMETER_NAMES = ("NetPerimeter", "GrossPerimeter", "Perimeter")
OTHER_AREAS = ("wall", "ceiling", "window", "door", "opening", "surface", "side")
"""Areas with these words in their names are not of the floor."""


def floor_area_m2(space: Space) -> float | None:
    """The floor area that the file writes for a space; None where it writes none."""
    found = _first(space.quantities, AREA_NAMES, "m2")
    if found is None:
        rest = [
            q
            for q in space.quantities
            if q.unit == "m2" and "area" in q.name.lower() and not any(w in q.name.lower() for w in OTHER_AREAS)
        ]
        found = rest[0] if len(rest) == 1 else None
    return None if found is None or not 0.0 <= found.value < 1e5 else found.value


def _first(quantities: Sequence[Quantity], names: tuple[str, ...], unit: str) -> Quantity | None:
    by_name = {q.name: q for q in reversed(quantities) if q.unit == unit}
    return next((by_name[n] for n in names if n in by_name), None)


def quantity_findings(spaces: Sequence[Space]) -> tuple[Finding, ...]:
    """One finding for all areas, and one for all perimeters, that differ from the solids."""
    areas = [(s, a, s.plan.area / 1e6) for s in spaces if (a := floor_area_m2(s)) is not None]
    rounds = [
        (s, q.value, s.plan.length / 1e3)
        for s in spaces
        if (q := _first(s.quantities, PERIMETER_NAMES, "m")) is not None
    ]
    return (*_differ(areas, tr("area"), "m²"), *_differ(rounds, tr("perimeter"), "m"))


def _differ(rows: list[tuple[Space, float, float]], what: str, unit: str) -> list[Finding]:
    off = [(said / ours - 1.0, space, said, ours) for space, said, ours in rows if abs(said - ours) > AGREES * ours]
    if not off:
        return []
    share, space, said, ours = max(off, key=lambda r: abs(r[0]))
    return [
        noticed(
            "quantity-differs",
            what=what,
            off=len(off),
            count=len(rows),
            space=space.title,
            written=shown(said),
            solid=shown(ours),
            unit=unit,
            share=_percent(share),
        )
    ]


def _percent(share: float) -> str:
    """ "+12.5 %", by how much what is written is more."""
    text = percent(printed(100 * share, 1))
    return text if text.startswith("−") else f"+{text}"


SHOWN = 6


def doubts_about(
    model: Model, opened: Opened, rooms: Sequence[Room], placed: Placed, settings: Settings
) -> list[Finding]:
    """Findings on borders inside walls or between storeys, openings that lie in no room, and
    reveals that the model does not tell. Rooms that are not sure are told when the job is checked."""
    found = _in_walls(opened)
    found += _between_storeys(opened, rooms)
    found += _lost_holes(model, opened, placed)
    if placed.assumed:
        found.append(noticed("reveal-not-modelled", windows=placed.assumed, reveal_mm=whole(settings.reveal_mm)))
    return found


def _in_walls(opened: Opened) -> list[Finding]:
    if not opened.in_walls:
        return []
    a, b = opened.in_walls[0]
    return [noticed("space-in-wall", borders=len(opened.in_walls), first=a.title, second=b.title)]


def _between_storeys(opened: Opened, rooms: Sequence[Room]) -> list[Finding]:
    """One finding for rooms that are open to a room of another storey, with the size of the ways."""
    if not opened.between:
        return []
    numbers = sorted(opened.between)
    told = [f"{quoted(opened.outlines[n].space.title)} ({shown(opened.between[n] / 1e6, 1)} m²)" for n in numbers]
    n = numbers[0]
    where = Where(storey=str(opened.outlines[n].space.storey + 1), room=rooms[n].id)
    return [noticed("open-between-storeys", where, listed=some_of(told, SHOWN))]


_WIDE = (mark("a door {width} mm wide at {x}, {y}"), mark("a window {width} mm wide at {x}, {y}"))


def _lost_holes(model: Model, opened: Opened, placed: Placed) -> list[Finding]:
    """One finding for doors and windows that lie in no room's side, on storeys that have rooms."""
    used = {o.space.storey for o in opened.outlines}
    lost = [h for h in placed.homeless if h.storey in used and h.kind != "open"]
    if not lost:
        return []
    ox, oy = model.origin
    spots = [(h, float(h.ring[0][0]) + ox, float(h.ring[0][1]) + oy) for h in lost]
    told = [
        tr(_WIDE[h.kind == "window"], width=whole(h.values["width_mm"]), x=whole(x), y=whole(y)) for h, x, y in spots
    ]
    where = Where(storey=str(lost[0].storey + 1), x_mm=spots[0][1], y_mm=spots[0][2])
    count = tr_count("{count} door or window", "{count} doors and windows", len(lost))
    return [noticed("opening-in-no-room", where, openings=count, listed=some_of(told, SHOWN, "; "))]


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
    doubts = [] if room.id in placed.reached else [because("no-opening")]
    share = placed.glazed_mm.get(room.id, 0.0) / float(outline.plan.length)
    if share > GLASS_SHARE:
        doubts.append(because("border-glass", share_percent=f"{share:.0%}"))
    if not doubts:
        return room
    return replace(room, confidence="question", evidence=(*room.evidence, *doubts))


def _rooms(
    outlines: Sequence[Outline], sides: Sequence[list[tuple[Side, ...]]], model: Model, in_walls: set[str]
) -> list[Room]:
    pieces = Counter(id(o.space) for o in outlines)
    rooms = []
    going_on = wells([o.space for o in outlines], model)
    walled = any(model.walls)
    for number, (outline, rings) in enumerate(zip(outlines, sides, strict=True), 1):
        space = outline.space
        doubts = _doubts(space, in_walls, going_on)
        if not walled:
            doubts.append(because("no-model-walls"))
        pieced = () if pieces[id(space)] == 1 else (because("in-pieces"),)
        enclosed = space.made == ENCLOSED
        confidence: Confidence = "check" if doubts or enclosed else "sure"
        source = because("model-walls" if enclosed else "space-solid")
        rooms.append(
            Room(
                id=RoomId(f"r{number}"),
                outline=rings[0],
                inner=tuple(rings[1:]),
                name=space.name or space.number,
                number=number_beside(space.number, space.name),
                ceiling=None if enclosed else ceiling_of(space.ceiling, model.origin, space.top_mm),
                floor=floor_of(space.floor, model.origin, space.floor_mm),
                printed_area_m2=None if pieced else floor_area_m2(space),
                ceiling_treatment=CeilingTreatment(coat=space.guid not in going_on),
                confidence=confidence,
                evidence=(source, *pieced, *doubts),
                stair=Stair(well=True) if space.guid in going_on else None,
            )
        )
    return rooms


def _doubts(space: Space, in_walls: set[str], going_on: dict[str, float]) -> list[str]:
    doubts = [because("no-space")] if space.made == ENCLOSED else []
    if space.overhang_m2 > OVERHANG_M2:
        doubts.append(because("ceilings-over", area_m2=f"{space.overhang_m2:.2f}"))
    if space.guid in going_on:
        doubts.append(because("well-above", area_m2=f"{going_on[space.guid]:.1f}"))
    if space.guid in in_walls:
        doubts.append(because("outline-in-walls"))
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
