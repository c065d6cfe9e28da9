"""Spaces that are walled in to outside by less than the house is: balconies and terraces behind parapets."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.rooms.sheet_plans import Plan
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]

THICKEST_MM, SIDE_MM = 700.0, 600.0
"""What lies farther from the outer border than the first is no outside wall; shorter sides tell nothing."""
ACROSS_MM = 5.0
THINNER, BORDER_PART = 0.7, 0.4
"""A parapet is thinner than this part of the wall that the doors stand in, along this part of the border."""


def behind_parapets(reading: Reading, found: list[Plan]) -> set[int]:
    """The spaces whose doors all stand in a wall that is thicker than any wall from them to outside, which are much of
    their border: the house's own wall is the one with the doors in it. None where nothing is drawn as walls of two
    lines. Common practice, no source."""
    if not reading.double:
        return set()
    rims = [shapely.get_exterior_ring(hull) for plan in found for hull in plan.hulls]
    if not rims:
        return set()
    rim = shapely.union_all(rims)
    return {k for k, space in enumerate(reading.spaces) if space.ways and _thin(reading, k, rim)}


def _thin(reading: Reading, row: int, rim: shapely.Geometry) -> bool:
    space = reading.spaces[row]
    stands_in = min(reading.gaps[k].bridge.thickness_mm for k in space.ways)
    ring = shapely.get_coordinates(shapely.get_exterior_ring(shapely.orient_polygons(space.polygon)))
    along = ring[1:] - ring[:-1]
    length = np.hypot(along[:, 0], along[:, 1])
    middle = (ring[1:] + ring[:-1]) / 2
    away = shapely.distance(shapely.points(middle), rim)
    # straight across the wall, and not aside past the end of it; the ring runs anticlockwise
    outwards = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.maximum(length, 1e-9)[:, None]
    across = shapely.dwithin(shapely.points(middle + outwards * away[:, None]), rim, ACROSS_MM)
    outer = across & (away <= THICKEST_MM) & (length >= SIDE_MM)
    if length[outer].sum() < BORDER_PART * length.sum():
        return False
    return bool((away[outer] < THINNER * stands_in).all())
