"""Stairwells and shafts that a model cuts into one space per storey: no ceiling lies between them."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.recognise.modelled.claims import Model, Space
from takeoff.recognise.walls.layers import by_name

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
