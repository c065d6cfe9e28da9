"""Slits beside rooms that are open to them: the cavity of a wall, or what lies between a wall and its lining, whose end
nobody closed. They are no floor, and rooms that hang together by one alone are two."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.room_spaces import SMALLEST_M2, Space

Floats = NDArray[np.float64]

WIDEST_MM, SHORTEST_MM = 100.0, 1000.0
"""A slit is no wider and no shorter: nobody plasters in what a hand hardly fits into (common practice, no source)."""
MOUTHS = 2.5
"""A slit is open to its room at one end or both, as wide as it is."""
BESIDE = 0.25
"""What other spaces lie beside in this part of its border is what furniture leaves of the floor along a wall."""
MITRE = 20.0
"""Corners as sharp as walls have them stay where they are."""
SLIVER_MM = 0.5
"""What is left along the border of a shape that was narrowed and widened again is no wider."""


def without_slits(spaces: list[Space], faces: Faces, words: Floats) -> list[Space]:
    """The spaces, each without the slits that are open to it, or in its parts; the very same one where it has none.
    ``words`` (w, 2): where the words lie that spaces know by their rows."""
    polygons = np.array([space.polygon for space in spaces], dtype=object)
    # a room without a corner that leads outwards has none, and most rooms are such
    bent = shapely.area(shapely.convex_hull(polygons)) - shapely.area(polygons) > SLIVER_MM * SHORTEST_MM
    if not bent.any():
        return spaces
    open_faces = np.flatnonzero(~faces.body & (faces.gap < 0))
    tree = shapely.STRtree(faces.polygons[open_faces])
    found: list[Space] = []
    for space, may in zip(spaces, bent.tolist(), strict=True):
        slits, wide = _slits(space.polygon) if may else ([], space.polygon)
        slits = [slit for slit in slits if _beside(slit, faces, _others(open_faces[tree.query(slit)], space))]
        found += _parts(space, slits, wide, faces, words) if slits else [space]
    return found


def _others(near: NDArray[np.int64], space: Space) -> NDArray[np.int64]:
    """Those of these faces that are of another space."""
    return near[~np.isin(near, space.faces)]


def _slits(polygon: shapely.Polygon) -> tuple[list[shapely.Polygon], shapely.Geometry]:
    """(what is too narrow for a room, but for a sliver at its mouth, and what is wide enough)"""
    if not polygon.is_valid:
        return [], polygon
    narrowed = polygon.buffer(-WIDEST_MM / 2, join_style="mitre", mitre_limit=MITRE)
    wide = narrowed.buffer(WIDEST_MM / 2, join_style="mitre", mitre_limit=MITRE)
    about = wide.buffer(SLIVER_MM, join_style="mitre", mitre_limit=MITRE)
    rest = shapely.get_parts(polygon.difference(about))
    rest = rest[shapely.length(rest) >= 2 * SHORTEST_MM]
    # a niche as shallow as a slit is open all along
    mouth = shapely.length(shapely.intersection(shapely.boundary(rest), about.buffer(SLIVER_MM)))
    return rest[mouth <= MOUTHS * WIDEST_MM].tolist(), wide


def _beside(slit: shapely.Polygon, faces: Faces, others: NDArray[np.int64]) -> bool:
    """Whether hardly any of these faces, which are spaces, lies beside a slit."""
    near = shapely.union_all(shapely.buffer(faces.polygons[others], 2 * SLIVER_MM, join_style="mitre"))
    return float(slit.boundary.intersection(near).length) < BESIDE * float(slit.length)


def _parts(
    space: Space, slits: list[shapely.Polygon], wide: shapely.Geometry, faces: Faces, words: Floats
) -> list[Space]:
    """What a space is without these slits, in one or several parts."""
    zone = shapely.union_all(shapely.buffer(slits, 2 * SLIVER_MM, join_style="mitre"))
    floor = shapely.get_parts(space.polygon.difference(zone.difference(wide)))
    parts = [p for p in floor if p.geom_type == "Polygon" and p.area >= SMALLEST_M2 * 1e6]
    if len(parts) < 2:
        return [space._replace(polygon=part) for part in parts] or [space]
    found = []
    for part in parts:
        own = tuple(f for f in space.faces if part.intersects(faces.polygons[f].representative_point()))
        said = tuple(w for w in space.words if part.intersects(shapely.Point(words[w])))
        found.append(space._replace(polygon=part, faces=own or space.faces, words=said))
    return found
