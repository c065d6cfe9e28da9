"""Ceiling and floor fields from the plane pieces of a space's solid."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from takeoff.plan.model import Field, Plane, Region, RegionId, Ring
from takeoff.recognise.modelled.claims import Floats, Origin, Part

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
