"""The storeys of a model with their levels, and a drawing of each from what was gathered: the cut, the
labels, the claims."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from statistics import median
from typing import Any, NamedTuple

import numpy as np

from takeoff.drawing.model import Claim, Drawing, Label, Layer, LineSource, Linework, Loop
from takeoff.readers.ifc.gathering import Body, Gathered, HoleBody, SpaceBody
from takeoff.readers.ifc.ifc_entities import (
    ENTITY_FAULTS,
    Units,
    container,
    finite,
    number,
    of_class,
    property_of,
    text,
)
from takeoff.readers.ifc.ifc_openings import opening_claim
from takeoff.readers.ifc.ifc_spaces import ring_of, space_claims
from takeoff.readers.ifc.meshes import NOISE_DIGITS, Ring, chains, section

CUT_MM = 1200.0
"""Plans are cut at this height above the floor: through windows, above kitchen units."""
STOREY_GAP_MM = 1800.0
"""Floors closer together than this are one storey with steps (common practice, no source)."""
LAYERS = ("walls", "columns", "curtain", "doors", "windows", "rooms")
LAYER_NAMES = ("walls", "columns", "glazing", "doors", "windows", "rooms")
LABEL_MM = 200.0
CUT_SETS = {"walls": ("Pset_WallCommon",), "curtain": ("Pset_CurtainWallCommon",), "columns": ("Pset_ColumnCommon",)}


class Level(NamedTuple):
    """A storey: entity id (0 where made up), its names, its building, its level in the model in mm,
    and its elevation as written in mm."""

    key: int
    guid: str
    name: str
    building: int
    level: float
    elevation: float | None


class Sheet(NamedTuple):
    """A storey with what belongs to it."""

    level: Level
    top: float | None
    spaces: list[SpaceBody]
    holes: list[HoleBody]


def sheets(model: Any, gathered: Gathered, unit_mm: float) -> tuple[list[Sheet], list[str], bool, int]:
    """(the storeys to draw, names of those with nothing to measure, whether they were made up, how many doors,
    windows and holes lie below all that are drawn)"""
    bases = _bases(gathered)
    known = levels(model, unit_mm, bases)
    invented = not known
    if invented:
        stand = (
            [s.mesh.low for s in gathered.spaces]
            or [h.hole.bottom for h in gathered.holes if h.kind == "door"]
            or [b.whole.low for b in gathered.bodies if b.what == "walls"]
        )
        known = made_up(stand)
    by_space = _by_level(known, [(s, s.place.storey, s.mesh.low) for s in gathered.spaces])
    used = [s for s in known if by_space[s]] if gathered.spaces else _walled(known, gathered, invented)
    # A storey that is left out holds nothing: what lies in its height belongs to the one below.
    above = [h for h in gathered.holes if not used or _middle(h) >= used[0].level - CUT_MM / 4.0]
    by_hole = _by_level(used, [(h, 0, _middle(h)) for h in above])
    drawn = []
    for s in used:
        higher = [o.level for o in known if o.level > s.level + STOREY_GAP_MM and o.building == s.building]
        drawn.append(Sheet(s, min(higher, default=None), by_space[s], by_hole[s]))
    empty = [s.name for s in known if s not in used]
    return drawn, empty, invented, len(gathered.holes) - len(above)


def _middle(hole: HoleBody) -> float:
    return (hole.hole.bottom + hole.hole.top) / 2.0


def _bases(gathered: Gathered) -> dict[int, list[float]]:
    found: dict[int, list[float]] = {}
    for space in gathered.spaces:
        found.setdefault(space.place.storey, []).append(space.mesh.low)
    doors: dict[int, list[float]] = {}
    for hole in gathered.holes:
        if hole.kind == "door" and hole.place.storey not in found:
            doors.setdefault(hole.place.storey, []).append(hole.hole.bottom)
    walls: dict[int, list[float]] = {}
    for body in gathered.bodies:
        if body.what == "walls":
            walls.setdefault(body.place.storey, []).append(body.whole.low)
    return {**walls, **doors, **found}


def _by_level(known: list[Level], items: Sequence[tuple[Any, int, float]]) -> dict[Level, list[Any]]:
    """Items by storey: the one they say, else the highest whose level lies below them."""
    found: dict[Level, list[Any]] = {s: [] for s in known}
    by_key = {s.key: s for s in known if s.key}
    for item, key, z in items:
        level = by_key.get(key) or _under(known, z)
        if level is not None:
            found[level].append(item)
    return found


def _under(known: list[Level], z: float) -> Level | None:
    below = [s for s in known if s.level <= z + CUT_MM / 4.0]
    return below[-1] if below else known[0] if known else None


def _walled(known: list[Level], gathered: Gathered, invented: bool) -> list[Level]:
    """Without spaces: storeys that walls, doors or windows stand in, and that are high enough."""
    if invented:
        return known
    stand = {b.place.storey for b in gathered.bodies}
    used = [s for s in known if s.key in stand] or [
        s
        for s in known
        if any(b.whole.low < s.level + CUT_MM < b.whole.high for b in gathered.bodies if b.what == "walls")
    ]
    high = [
        s for s in used if not any(0 < o.level - s.level < STOREY_GAP_MM and o.building == s.building for o in used)
    ]
    return high


def drawing_of(sheet: Sheet, gathered: Gathered, name: str, digest: str, units: Units, several: bool) -> Drawing:
    """The drawing of one storey; with ``several`` buildings only what stands in its own is cut."""
    level = sheet.level
    bodies = [b for b in gathered.bodies if not several or b.place.building in (0, level.building)]
    lines, sources, loops = _cut(bodies, level.level + CUT_MM)
    claims = [_storey(sheet), *gathered.north]
    labels: list[Label] = []
    for space in sheet.spaces:
        claims += space_claims(space.entity, space.mesh, space.shape, level.level, units.scale)
        labels += _labels(space)
    for hole in sheet.holes:
        if several and hole.place.building not in (0, level.building):
            continue
        claims.append(
            _rooflight(hole, level.level)
            if hole.in_roof
            else opening_claim(
                hole.hole, level.level, hole.filling, hole.body, hole.host, hole.kind, hole.guid, units.mm
            )
        )
    for body in bodies:
        claims += _wall_claims(body, level.level)
    return Drawing(
        name=name,
        layers=tuple(Layer(n) for n in LAYER_NAMES),
        lines=lines,
        loops=loops,
        labels=tuple(labels),
        claims=tuple(claims),
        sources=sources,
        declared_unit=units.name,
        unit=units.name,
        unit_mm=units.mm,
        sha256=digest,
    )


def _storey(sheet: Sheet) -> Claim:
    level = sheet.level
    values = [("level_mm", level.level), ("cut_mm", CUT_MM)]
    if level.elevation is not None:
        values.append(("elevation_mm", level.elevation))
    if sheet.top is not None:
        values.append(("top_mm", sheet.top - level.level))
    return Claim("storey", "IFC storey", (), tuple(values), (("guid", level.guid), ("name", level.name)))


def _labels(space: SpaceBody) -> list[Label]:
    x, y = space.shape.inside
    words = [w for w in (text(space.entity, "LongName"), text(space.entity, "Name")) if w]
    return [
        Label(w, x, y - n * 1.5 * LABEL_MM, LABEL_MM, LAYERS.index("rooms"), 0.0, text(space.entity, "GlobalId"))
        for n, w in enumerate(words)
    ]


def _cut(bodies: list[Body], z: float) -> tuple[Linework, tuple[LineSource, ...], tuple[Loop, ...]]:
    rows, layer, source = [], [], []
    sources: list[LineSource] = []
    loops: list[Loop] = []
    for body in bodies:
        rings, rest = chains(section(body.cut, z))
        if not rings and not len(rest):
            continue
        number = LAYERS.index(body.what)
        own = LineSource(str(body.entity.is_a()), text(body.entity, "GlobalId"))
        cut = np.concatenate([rest, *(np.column_stack((r.xy, np.roll(r.xy, -1, axis=0))) for r in rings)])
        rows.append(cut)
        layer.append(np.full(len(cut), number, np.int32))
        source.append(np.full(len(cut), len(sources), np.int32))
        sources.append(own)
        if body.what in ("walls", "columns"):
            loops += [Loop(ring_of(r), number, "line", own.handle) for r in rings]
    if not rows:
        return Linework(), (), ()
    return (Linework(np.concatenate(rows), np.concatenate(layer), np.concatenate(source)), tuple(sources), tuple(loops))


def _wall_claims(body: Body, level: float) -> list[Claim]:
    """The section of a wall, column or curtain wall without its openings, if it stands in the storey."""
    if body.what not in CUT_SETS:
        return []
    z = level + CUT_MM
    if not body.whole.low < z < body.whole.high:
        return []
    rings, _ = chains(section(body.whole, z))
    said = [v for s in CUT_SETS[body.what] if isinstance(v := property_of(body.entity, s, "IsExternal"), bool)]
    words = (
        ("guid", text(body.entity, "GlobalId")),
        ("what", body.what),
        ("external", "" if not said else "yes" if said[0] else "no"),
    )
    values = (("base_mm", body.whole.low - level), ("top_mm", body.whole.high - level))
    return [Claim("wall", "IFC wall", ring_of(r), values, words) for r in rings]


def _rooflight(hole: HoleBody, level: float) -> Claim:
    h = hole.hole
    ring: Ring = _box(hole)
    values = [("bottom_mm", h.bottom - level), ("top_mm", h.top - level)]
    if hole.body is not None:
        values.append(("frame_mm", hole.body.low - level))
    return Claim(
        "rooflight",
        "IFC opening",
        ring_of(ring),
        tuple(values),
        (("guid", hole.guid), ("mark", text(hole.filling, "Tag")), ("name", text(hole.filling, "Name"))),
    )


def _box(hole: HoleBody) -> Ring:
    h = hole.hole
    d = np.array(h.along)
    n = np.array((-h.along[1], h.along[0]))
    a = np.array(h.origin)
    ring = np.array([a, a + d * h.width, a + d * h.width + n * h.depth, a + n * h.depth])
    return Ring(ring, h.width * h.depth)


def levels(model: Any, unit_mm: float, bases: dict[int, list[float]]) -> list[Level]:
    """The storeys from the lowest to the highest. ``bases``: by storey id the lowest z of what stands
    in it, which decides where the placement and the written elevation differ."""
    found = []
    for storey in of_class(model, "IfcBuildingStorey"):
        written = number(storey, "Elevation")
        elevation = None if written is None else round(written * unit_mm, NOISE_DIGITS)
        choices = [z for z in (_placed(storey, unit_mm), elevation) if z is not None]
        base = bases.get(storey.id())
        if not choices and not base:
            continue
        z = _nearest(choices or list(base or ()), median(base) if base else choices[0])
        found.append(
            Level(storey.id(), text(storey, "GlobalId"), text(storey, "Name"), container(storey).building, z, elevation)
        )
    return sorted(found, key=lambda s: (s.level, s.key))


def _nearest(choices: list[float], z: float) -> float:
    return min(choices, key=lambda c: abs(c - z))


def _placed(storey: Any, unit_mm: float) -> float | None:
    """The z of the storey's placement in the model, mm; None where it has none."""
    from ifcopenshell.util import placement

    if getattr(storey, "ObjectPlacement", None) is None:
        return None
    try:
        z = finite(float(placement.get_local_placement(storey.ObjectPlacement)[2][3]))
    except ENTITY_FAULTS:
        return None
    return None if z is None else round(z * unit_mm, NOISE_DIGITS)


def made_up(bases: Iterable[float]) -> list[Level]:
    """Storeys at the floors that spaces or doors stand on, for a file that names none."""
    groups: list[list[float]] = []
    for z in sorted(bases):
        if groups and z - groups[-1][0] < STOREY_GAP_MM:
            groups[-1].append(z)
        else:
            groups.append([z])
    return [Level(0, f"level-{n}", "", 0, median(group), None) for n, group in enumerate(groups, 1)]
