"""What pieces of walls cover together: its outline is their faces, and where two pieces meet there is none."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]

JOINT_MM = 15.0
"""Pieces that belong together are drawn so far apart, half of it each."""
WITHIN_MM = 6.0
"""Lines drawn round a piece lie so near to its border."""
EVEN_MM, GRID_MM = 1.0, 0.1
"""Corners of an outline that lie nearer to it than the first are none; ends of pieces are joined to the second."""


def together(pieces: Iterable[shapely.Geometry]) -> shapely.Geometry:
    """The ground that these pieces (mm) cover, with the joints between them; empty without any."""
    body = shapely.union_all(list(pieces), grid_size=GRID_MM)
    closed = body.buffer(JOINT_MM, join_style="mitre").buffer(-JOINT_MM, join_style="mitre")
    return closed.simplify(EVEN_MM)


def sides_of(body: shapely.Geometry) -> Floats:
    """The sides (n, 4) of all rings of a polygon or of several; none of an empty one."""
    rings = [ring for part in shapely.get_parts(body) for ring in (part.exterior, *part.interiors)]
    at = [shapely.get_coordinates(ring) for ring in rings]
    return np.concatenate([np.zeros((0, 4)), *(np.hstack([ring[:-1], ring[1:]]) for ring in at)])


def half_round(shape: shapely.Polygon) -> float:
    """Half of what runs round a shape, mm: about as much as a slender one is long."""
    return float(shape.length) / 2.0


def thick_mm(shape: shapely.Polygon) -> float:
    """How thick a slender shape is: the shorter side of a rectangle with its area and its perimeter.

    >>> thick_mm(shapely.box(0, 0, 2000, 150))
    150.0
    """
    half = half_round(shape)
    return half / 2.0 - math.sqrt(max(half * half / 4.0 - float(shape.area), 0.0))
