"""The storeys of a model and their levels, made up from the doors where the file has none."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median
from typing import Any, NamedTuple

from takeoff.readers.ifc.entities import ENTITY_FAULTS, container, finite, number, of_class, text
from takeoff.readers.ifc.shapes import NOISE_DIGITS

STOREY_GAP_MM = 1800.0
"""Floors closer together than this are one storey with steps (common practice, no source)."""


class Level(NamedTuple):
    """A storey: entity id (0 where made up), its names, its building, its level in the model in mm,
    and its elevation as written in mm."""

    key: int
    guid: str
    name: str
    building: int
    level: float
    elevation: float | None


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
