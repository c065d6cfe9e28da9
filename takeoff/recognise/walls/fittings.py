"""Cupboards and worktops drawn along walls, where no layer tells them from walls.

A box that stands against a wall inside one room is a fitting or a casing: nothing in its lines says
which (common practice of drawing, no source). The room's printed area decides where there is one;
else the room is to be checked.
"""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.names.labels import Placed
from takeoff.recognise.walls.faces import BRIDGED, Faces
from takeoff.recognise.walls.spaces import Space, edge_lengths

Floats = NDArray[np.float64]

DEPTH_MM = (200.0, 750.0)
DOUBTED_MM = 300.0
"""Boxes less deep than this are linings and pipes, which the coat goes round."""
LARGEST_MM2 = 6.0e6
FILL = 0.95
BESIDE_ROOM, BESIDE_WALL = 0.25, 0.25
"""Parts of a box's border along its room, and along walls."""
MOST_PIECES, MOST_TRIED = 3, 10
EXACT_SHARE = 0.002
"""An area printed more coarsely than this tells no box from a wall."""
INCLUDED = "its printed area includes {} drawn along its walls"
DOUBT = "a box of {:.2f} × {:.2f} m against its wall is taken for wall: it may be a cupboard"


class _Box(NamedTuple):
    """Faces that are one box beside a space: their numbers, area, sides, and whether they were taken
    for the body of a wall."""

    faces: tuple[int, ...]
    area: float
    sides: tuple[float, float]
    body: bool


def with_fittings(spaces: list[Space], faces: Faces, words: list[Placed]) -> list[Space]:
    """The spaces, with such boxes joined as make their printed areas true, and a doubt where nothing
    is printed. What is joined to one space is no space of its own any more."""
    beside = _beside(faces)
    of_space = {f: k for k, s in enumerate(spaces) for f in s.faces}
    found, gone = list(spaces), set()
    for k, space in enumerate(spaces):
        boxes = _boxes(k, spaces, faces, beside, of_space)
        if not boxes:
            continue
        target = _printed(space, words)
        chosen = None if target is None else _making(float(space.polygon.area), target, boxes)
        if chosen:
            gone |= {of_space[f] for b in chosen for f in b.faces if f in of_space}
            found[k] = _joined(space, chosen, faces)
        elif target is None:
            found[k] = _doubted(space, boxes)
    return [s for k, s in enumerate(found) if k not in gone]


def _printed(space: Space, words: list[Placed]) -> tuple[float, float] | None:
    """(printed area, its rounding) in mm², where one is printed exactly enough."""
    areas = [words[w].words for w in space.words if words[w].words.kind == "area"]
    if len(areas) != 1 or areas[0].rounding > EXACT_SHARE * areas[0].value:
        return None
    return areas[0].value * 1e6, areas[0].rounding * 1e6 + 1.0


def _beside(faces: Faces) -> dict[int, dict[int, float]]:
    """For each face how long it lies along each other one (-1: outside), over no bridge."""
    length = edge_lengths(faces)
    drawn = faces.graph.source < BRIDGED
    found: dict[int, dict[int, float]] = {}
    for a, b, d in zip(faces.left[drawn].tolist(), faces.right[drawn].tolist(), length[drawn].tolist(), strict=True):
        for own, other in ((a, b), (b, a)):
            if own >= 0:
                row = found.setdefault(own, {})
                row[other] = row.get(other, 0.0) + d
    return found


def _boxes(
    k: int, spaces: list[Space], faces: Faces, beside: dict[int, dict[int, float]], of_space: dict[int, int]
) -> list[_Box]:
    """The boxes that stand in space ``k``: nothing but it and walls lie round them."""
    near = {f for own in spaces[k].faces for f in beside.get(own, {}) if f >= 0 and f not in spaces[k].faces}
    boxes = []
    for f in sorted(near):
        other = of_space.get(f)
        if other is not None and (len(spaces[other].faces) > 1 or spaces[other].words):
            continue
        if other is None and not faces.body[f]:
            continue
        row = beside[f]
        rim = float(faces.perimeter[f])
        room = sum(d for g, d in row.items() if of_space.get(g) == k)
        wall = sum(d for g, d in row.items() if g >= 0 and of_space.get(g) is None)
        if room < BESIDE_ROOM * rim or wall < BESIDE_WALL * rim or room + wall < 0.98 * rim:
            continue
        sides = _sides(faces.polygons[f])
        if sides is not None and DEPTH_MM[0] <= sides[0] <= DEPTH_MM[1] and faces.area[f] <= LARGEST_MM2:
            boxes.append(_Box((f,), float(faces.area[f]), sides, other is None))
    return boxes[:MOST_TRIED]


def _sides(polygon: shapely.Polygon) -> tuple[float, float] | None:
    """Short and long side of what is all but a rectangle."""
    box = shapely.oriented_envelope(polygon)
    xy = shapely.get_coordinates(box)
    if len(xy) < 5 or polygon.area < FILL * box.area:
        return None
    first, second = (float(np.hypot(*(xy[i + 1] - xy[i]))) for i in (0, 1))
    return min(first, second), max(first, second)


def _making(area: float, target: tuple[float, float], boxes: list[_Box]) -> tuple[_Box, ...]:
    """The boxes that bring an area to the printed one; none where it is that already, or where
    several choices do."""
    if abs(area - target[0]) <= target[1]:
        return ()
    fits = [
        some
        for n in range(1, MOST_PIECES + 1)
        for some in itertools.combinations(boxes, n)
        if abs(area + sum(b.area for b in some) - target[0]) <= target[1]
    ]
    return fits[0] if len(fits) == 1 else ()


def _joined(space: Space, chosen: tuple[_Box, ...], faces: Faces) -> Space:
    own = [f for b in chosen for f in b.faces]
    whole = shapely.union_all([space.polygon, *faces.polygons[own]])
    parts = [p for p in shapely.get_parts(whole) if p.geom_type == "Polygon"]
    what = "a box" if len(own) == 1 else f"{len(own)} boxes"
    return space._replace(
        polygon=max(parts, key=lambda p: float(p.area)),
        faces=(*space.faces, *own),
        joined=(*space.joined, INCLUDED.format(what)),
    )


def _doubted(space: Space, boxes: list[_Box]) -> Space:
    deep = [b for b in boxes if b.body and b.sides[0] >= DOUBTED_MM]
    if not deep:
        return space
    largest = max(deep, key=lambda b: b.area)
    text = DOUBT.format(largest.sides[1] / 1000, largest.sides[0] / 1000)
    return space._replace(joined=(*space.joined, text))
