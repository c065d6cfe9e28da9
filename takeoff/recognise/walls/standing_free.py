"""What stands free inside a space: piers and walls stay, furniture and arrows become floor again."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.reasons import because
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.room_spaces import Space

Floats = NDArray[np.float64]

SPECK_MM2 = 5e3
ARROW_MM2, ARROW_FILL = 2e5, 0.55
"""The head of an arrow is small and fills half of the rectangle round it."""
PIER_MM = (120.0, 1000.0)
"""Square and round piers, where no layer says what they are (common practice, no source)."""
PIER_ASPECT = 2.0
SCREEN_MM, SCREEN_ASPECT = 350.0, 3.0
"""A free-standing wall is no thicker, and longer than this many times its thickness."""
ROUND_FILL = 0.75
SCREEN_FILL = 0.97
PIER_DOUBT = because("piers")


def settle(spaces: list[Space], faces: Faces, words: Floats, wall_layers: bool) -> list[Space]:
    """The spaces with only such inner rings as are walls or piers, and with the words that then
    lie in them. ``wall_layers``: the layers say that what is drawn is walls or columns."""
    holed = [k for k, s in enumerate(spaces) if len(s.polygon.interiors)]
    found = list(spaces)
    if holed:
        in_space = np.zeros(len(faces.polygons), bool)
        for space in spaces:
            in_space[list(space.faces)] = True
        inner = shapely.STRtree(shapely.point_on_surface(faces.polygons))
        for k in holed:
            found[k] = _settled(found[k], faces, inner, in_space, words, wall_layers)
    return _with_words(found, words)


def _settled(
    space: Space, faces: Faces, inner: shapely.STRtree, in_space: NDArray[np.bool_], words: Floats, wall_layers: bool
) -> Space:
    kept, guessed = [], False
    for ring in space.polygon.interiors:
        island = shapely.Polygon(ring)
        if _is_speck(island):
            continue
        if wall_layers:
            kept.append(ring)
            continue
        within = inner.query(island, predicate="contains")
        if in_space[within].any():
            kept.append(ring)
        elif _pier_like(island) and len(within) == 1 and not _written_on(island, words):
            kept.append(ring)
            guessed = True
    if len(kept) == len(space.polygon.interiors) and not guessed:
        return space
    joined = (*space.joined, PIER_DOUBT) if guessed else space.joined
    return space._replace(polygon=shapely.Polygon(space.polygon.exterior, kept), joined=joined)


def _is_speck(island: shapely.Polygon) -> bool:
    """Slivers, and the heads of arrows."""
    size = float(island.area)
    return size < SPECK_MM2 or (size < ARROW_MM2 and size < ARROW_FILL * float(shapely.oriented_envelope(island).area))


def _written_on(island: shapely.Polygon, words: Floats) -> bool:
    return bool(len(words)) and bool(shapely.contains_xy(island, words[:, 0], words[:, 1]).any())


def _pier_like(island: shapely.Polygon) -> bool:
    box = shapely.oriented_envelope(island)
    xy = shapely.get_coordinates(box)
    if len(xy) < 5:
        return False
    thin, long = sorted((float(np.hypot(*(xy[1] - xy[0]))), float(np.hypot(*(xy[2] - xy[1])))))
    fill = float(island.area) / float(box.area)
    pier = PIER_MM[0] <= thin and long <= PIER_MM[1] and long <= PIER_ASPECT * thin and fill > ROUND_FILL
    return pier or (thin <= SCREEN_MM and long >= SCREEN_ASPECT * thin and fill > SCREEN_FILL)


def _with_words(spaces: list[Space], words: Floats) -> list[Space]:
    """Words that lay on an island now lie in the space around it."""
    taken = {w for s in spaces for w in s.words}
    free = [w for w in range(len(words)) if w not in taken]
    if not free or not spaces:
        return spaces
    tree = shapely.STRtree([s.polygon for s in spaces])
    at, k = tree.query(shapely.points(words[free]), predicate="within")
    more: dict[int, list[int]] = {}
    for word, space in zip(at.tolist(), k.tolist(), strict=True):
        more.setdefault(space, []).append(free[word])
    return [s._replace(words=(*s.words, *more[k])) if k in more else s for k, s in enumerate(spaces)]
