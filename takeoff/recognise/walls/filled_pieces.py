"""Walls that are told by what is filled: the outline of all filled pieces together is their faces.

Whoever fills walls fills them piece by piece, columns apart from what stands between them, on whatever layer is
current. Where pieces touch no face is, and lines drawn round each piece are none either. A filled shape with square
corners, as thick as walls are, is no arrow, no tick and no letter."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Loop
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.hatched_faces import hatched_faces

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

THICK_MM, LONG_MM = (60.0, 700.0), 300.0
"""Such a piece is so thick, and no shorter than that."""
FEWEST, LEAST_MM = 8, 15_000.0
"""Fewer, or less of them in all, are a sample in a legend or a frame."""
SQUARE_COS = 0.02
MOST_CORNERS = 40
SHORTEST_MM = 2.0
JOINT_MM = 15.0
"""Pieces that belong together are drawn so far apart, half of it each."""
WITHIN_MM = 6.0
"""Lines drawn round a piece lie so near to its border."""


def with_filled_pieces(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with the outline of what is filled of walls in place of the borders of each piece, on a layer that
    says nothing; the same ones where layers or hatching tell walls, or where hardly a piece is filled."""
    if is_role(lines, "wall").any():
        return lines
    solid = np.array([source.role == "solid" for source in drawing.sources] or [False])[lines.source] & ~lines.hidden
    borders = np.flatnonzero(solid & ~is_role(lines, "furniture", "site", "stair", "door", "glazing"))
    pieces: dict[int, list[shapely.Polygon]] = {}
    for loop in drawing.loops if len(borders) else ():
        if (piece := _piece(loop, lines.origin)) is not None:
            pieces.setdefault(loop.layer, []).append(piece)
    layer = max(np.unique(lines.layer[borders]).tolist(), key=lambda k: _long(pieces.get(k, [])), default=-1)
    own = pieces.get(layer, [])
    if len(own) < FEWEST or _long(own) < LEAST_MM or hatched_faces(lines).any():
        return lines
    body = shapely.union_all(own, grid_size=0.1)
    body = body.buffer(JOINT_MM, join_style="mitre").buffer(-JOINT_MM, join_style="mitre").simplify(1.0)
    rings = [ring for part in shapely.get_parts(body) for ring in (part.exterior, *part.interiors)]
    at = [shapely.get_coordinates(ring) for ring in rings]
    sides = np.concatenate([np.hstack([ring[:-1], ring[1:]]) for ring in at])
    row = borders[lines.layer[borders] == layer][0]
    return _with_outline(lines.pick(~_within(lines, body)), sides, int(layer), int(lines.source[row]))


def _with_outline(lines: Lines, sides: Floats, layer: int, source: int) -> Lines:
    count = len(sides)
    false = np.zeros(count, bool)
    return lines._replace(
        xy=np.concatenate([lines.xy, sides]),
        layer=np.concatenate([lines.layer, np.full(count, layer)]),
        source=np.concatenate([lines.source, np.full(count, source)]),
        role=np.concatenate([lines.role, np.full(count, "unknown", lines.role.dtype)]),
        arc=np.concatenate([lines.arc, np.full(count, -1)]),
        dashed=np.concatenate([lines.dashed, false]),
        hatch=np.concatenate([lines.hatch, false]),
        hidden=np.concatenate([lines.hidden, false]),
    )


def _within(lines: Lines, body: shapely.Geometry) -> Bools:
    """Which straight lines lie within the bodies of walls or along their borders."""
    ground = body.buffer(WITHIN_MM, join_style="mitre")
    shapely.prepare(ground)
    found = lines.arc < 0
    found[found] = shapely.contains(ground, shapely.linestrings(lines.xy[found].reshape(-1, 2, 2)))
    return np.asarray(found)


def _piece(loop: Loop, origin: tuple[float, float]) -> shapely.Polygon | None:
    """A filled shape that is a piece of wall, None for any other."""
    if loop.role != "solid" or not 3 < len(loop.vertices) <= MOST_CORNERS or any(v[2] for v in loop.vertices):
        return None
    at = np.array([v[:2] for v in loop.vertices]) - origin
    d = np.roll(at, -1, axis=0) - at
    length = np.hypot(*d.T)
    d, length = d[length > SHORTEST_MM], length[length > SHORTEST_MM]
    if len(d) < 4 or length.max() < LONG_MM:
        return None
    after = np.roll(d, -1, axis=0)
    if (np.abs((d * after).sum(axis=1)) > SQUARE_COS * length * np.roll(length, -1)).any():
        return None
    half, shape = length.sum() / 2, shapely.Polygon(at)
    thick = (half - np.sqrt(max(half * half - 4 * shape.area, 0.0))) / 2
    return shape if shape.is_valid and THICK_MM[0] <= thick <= THICK_MM[1] else None


def _long(pieces: list[shapely.Polygon]) -> float:
    return sum(float(piece.length) for piece in pieces) / 2.0
