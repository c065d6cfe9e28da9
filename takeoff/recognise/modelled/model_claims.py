"""What a model claims, as values near one origin: spaces, holes, walls, by storey."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Claim, Drawing

Floats = NDArray[np.float64]
Origin = tuple[float, float]

SLIVER_MM2 = 1000.0
"""Holes and parts of a space smaller than this are noise of its solid."""


class Part(NamedTuple):
    """A plane piece of a ceiling or floor: z above the storey's level at (0, 0) of the origin, its
    slopes, its outer rings and the holes in it, (n, 2) each, and its area in mm²."""

    z: float
    slope_x: float
    slope_y: float
    outer: tuple[Floats, ...]
    holes: tuple[Floats, ...]
    area: float


class Quantity(NamedTuple):
    """A quantity that the file gives, in m, m² or m³."""

    name: str
    unit: str
    value: float


class Space(NamedTuple):
    """One space of the model. Heights are above its storey's level."""

    storey: int
    guid: str
    name: str
    number: str
    exterior: bool
    made: str
    plan: shapely.Polygon | shapely.MultiPolygon
    floor_mm: float
    top_mm: float
    ceiling: tuple[Part, ...]
    floor: tuple[Part, ...]
    overhang_m2: float
    quantities: tuple[Quantity, ...]

    @property
    def title(self) -> str:
        """Number and name as a person would say them."""
        number = number_beside(self.number, self.name) if self.name else self.number
        return " ".join(w for w in (number, self.name) if w) or self.guid


def number_beside(number: str, name: str) -> str:
    """What is left of a space's number where its name is written in it as well; without a name nothing.

    >>> number_beside("1 - Living room", "Living room"), number_beside("A101", "Foyer"), number_beside("Hall", "hall")
    ('1', 'A101', '')
    >>> number_beside("12", ""), number_beside("Hallway 2", "Hall"), number_beside("Room 1", "1")
    ('', 'Hallway 2', 'Room 1')
    """
    if not name:
        return ""
    if not any(letter.isalpha() for letter in name):
        return number
    without = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", " ", number, flags=re.IGNORECASE)
    return number if without == number else without.strip(" -–—_:,.;/()")


class Hole(NamedTuple):
    """An opening: ``ring`` (4, 2) from its first jamb along the wall and back on the other face."""

    storey: int
    guid: str
    kind: str
    mark: str
    ring: Floats
    values: dict[str, float]
    hosted: bool = True
    """Whether it is a hole in a wall; else a door or window that stands by itself."""
    operation: str = ""
    """How its door or window works, as the model's enumerations name it."""


class Light(NamedTuple):
    """A window in a roof: its plan and heights above its storey's level."""

    storey: int
    guid: str
    mark: str
    ring: Floats
    values: dict[str, float]


class Wall(NamedTuple):
    """The section of a wall, column or curtain wall; ``external`` as the file says, None if not."""

    plan: shapely.Polygon
    external: bool | None


class Level(NamedTuple):
    """A storey: its level in the model and the next one's height above it (None on the highest)."""

    guid: str
    name: str
    level_mm: float
    top_mm: float | None


class Model(NamedTuple):
    """All claims of a model, coordinates less ``origin``."""

    origin: Origin
    levels: tuple[Level, ...]
    spaces: tuple[Space, ...]
    holes: tuple[Hole, ...]
    lights: tuple[Light, ...]
    walls: tuple[tuple[Wall, ...], ...]
    wall_tops: tuple[tuple[float, ...], ...]


def model_of(drawings: tuple[Drawing, ...]) -> Model:
    """The claims of a model's drawings, one storey each; all empty for drawings without claims."""
    origin = _origin(drawings)
    spaces: list[Space] = []
    holes: list[Hole] = []
    lights: list[Light] = []
    walls = []
    levels = []
    for number, drawing in enumerate(drawings):
        levels.append(_level(drawing))
        spaces += _spaces(drawing.claims, number, origin)
        walls.append(tuple(_walls(drawing.claims, origin)))
        for claim in drawing.claims:
            words = dict(claim.words)
            if claim.kind == "opening" and len(claim.ring) == 4:
                holes.append(
                    Hole(
                        number,
                        words.get("guid", ""),
                        words.get("kind", ""),
                        words.get("mark", ""),
                        ring_xy(claim, origin),
                        dict(claim.values),
                        words.get("host", "") != "",
                        words.get("operation", ""),
                    )
                )
            elif claim.kind == "rooflight":
                lights.append(
                    Light(
                        number, words.get("guid", ""), words.get("mark", ""), ring_xy(claim, origin), dict(claim.values)
                    )
                )
    return Model(
        origin,
        tuple(levels),
        tuple(spaces),
        tuple(holes),
        tuple(lights),
        tuple(walls),
        tuple(
            tuple(
                dict(c.values)["top_mm"] for c in d.claims if c.kind == "wall" and dict(c.words).get("what") == "walls"
            )
            for d in drawings
        ),
    )


def _origin(drawings: Iterable[Drawing]) -> Origin:
    points = [c.ring[0] for d in drawings for c in d.claims if c.ring]
    if not points:
        return 0.0, 0.0
    # Whole metres, so that taking it off and putting it back costs no digits.
    return float(round(min(p[0] for p in points), -3)), float(round(min(p[1] for p in points), -3))


def ring_xy(claim: Claim, origin: Origin) -> Floats:
    """A claim's ring less the origin, (n, 2)."""
    return np.array([(x - origin[0], y - origin[1]) for x, y, _ in claim.ring], float).reshape(-1, 2)


def _level(drawing: Drawing) -> Level:
    for claim in drawing.claims:
        if claim.kind == "storey":
            words, values = dict(claim.words), dict(claim.values)
            return Level(
                words.get("guid", ""), words.get("name", ""), values.get("level_mm", 0.0), values.get("top_mm")
            )
    return Level("", "", 0.0, None)


def _walls(claims: Iterable[Claim], origin: Origin) -> Iterable[Wall]:
    said = {"yes": True, "no": False}
    for claim in claims:
        if claim.kind == "wall" and len(claim.ring) > 2:
            plan = sound(shapely.Polygon(ring_xy(claim, origin)))
            external = said.get(dict(claim.words).get("external", ""))
            for part in shapely.get_parts(plan):
                if part.area > SLIVER_MM2:
                    yield Wall(part, external)


def sound(plan: shapely.Geometry) -> shapely.Geometry:
    """The plan as one or more valid polygons; empty where nothing is enclosed."""
    if not plan.is_valid:
        plan = shapely.make_valid(plan)
    faces = [p for p in shapely.get_parts(plan) if p.geom_type == "Polygon"]
    return plan if plan.geom_type in ("Polygon", "MultiPolygon") else shapely.union_all(faces)


def _spaces(claims: tuple[Claim, ...], storey: int, origin: Origin) -> list[Space]:
    """Spaces with the claims that follow each until the next."""
    groups: list[list[Claim]] = []
    for claim in claims:
        if claim.kind == "space":
            groups.append([claim])
        elif groups and claim.kind in ("space-part", "space-inner", "ceiling", "floor", "quantity"):
            groups[-1].append(claim)
    found = (_space(group, storey, origin) for group in groups)
    return [space for space in found if space is not None]


def _space(group: list[Claim], storey: int, origin: Origin) -> Space | None:
    head = group[0]
    words, values = dict(head.words), dict(head.values)
    plan = _plan(group, origin)
    if plan.is_empty:
        return None
    return Space(
        storey,
        words.get("guid", ""),
        words.get("name", ""),
        words.get("number", ""),
        words.get("exterior") == "yes",
        words.get("made", ""),
        plan,
        values["floor_mm"],
        values["top_mm"],
        _parts(group, "ceiling", origin),
        _parts(group, "floor", origin),
        values.get("overhang_m2", 0.0),
        tuple(
            Quantity(dict(c.words)["name"], dict(c.words)["unit"], dict(c.values)["value"])
            for c in group
            if c.kind == "quantity"
        ),
    )


def _plan(group: list[Claim], origin: Origin) -> shapely.Geometry:
    outer = [sound(shapely.Polygon(ring_xy(c, origin))) for c in group if c.kind in ("space", "space-part")]
    inner = [sound(shapely.Polygon(ring_xy(c, origin))) for c in group if c.kind == "space-inner"]
    plan = outer[0] if len(outer) == 1 else shapely.union_all(outer)
    holes = [h for h in inner if h.area > SLIVER_MM2]
    if holes:
        plan = sound(plan.difference(shapely.union_all(holes)))
    parts = [p for p in shapely.get_parts(plan) if p.area > SLIVER_MM2]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _parts(group: list[Claim], kind: str, origin: Origin) -> tuple[Part, ...]:
    by_piece: dict[float, list[Claim]] = {}
    for claim in group:
        if claim.kind == kind:
            by_piece.setdefault(dict(claim.values)["piece"], []).append(claim)
    found = []
    for claims in by_piece.values():
        v = dict(claims[0].values)
        z = v["z_mm"] - v["slope_x"] * (v["at_x_mm"] - origin[0]) - v["slope_y"] * (v["at_y_mm"] - origin[1])
        rings = [ring_xy(c, origin) for c in claims]
        turned = [_area(r) for r in rings]
        found.append(
            Part(
                z,
                v["slope_x"],
                v["slope_y"],
                tuple(r for r, a in zip(rings, turned, strict=True) if a > 0),
                tuple(r for r, a in zip(rings, turned, strict=True) if a < 0),
                sum(turned),
            )
        )
    return tuple(sorted(found, key=lambda p: -p.area))


def _area(xy: Floats) -> float:
    x, y = (xy - xy[0]).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2.0)
