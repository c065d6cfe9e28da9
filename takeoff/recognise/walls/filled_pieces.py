"""Walls that are told by what is filled: the outline of all filled pieces together is their faces.

Whoever fills walls fills them piece by piece, columns apart from what stands between them, on whatever layer is
current, and printers fill a wall by triangles. Where pieces touch no face is, and lines drawn round each piece are none
either. Walls are of one ink, and so are columns, of the same or another."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.covered_ground import JOINT_MM, WITHIN_MM, half_round, sides_of, thick_mm, together
from takeoff.recognise.walls.hatched_faces import hatched_faces
from takeoff.recognise.walls.layer_roles import Role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

THICK_MM, LONG_MM = (60.0, 700.0), 300.0
"""Walls that are filled are so thick, and no piece of them, once those that touch are one, is shorter than that."""
FEWEST, MOST, LEAST_MM = 8, 5000, 15_000.0
"""Fewer pieces, or less of them in all, are a sample in a legend or a frame; more are the grains of a pattern."""
FEWEST_CORNERS = 4
"""With fewer a piece that stands alone is an arrow."""
COLUMN_MM, COLUMN_ASPECT, MOSTLY = (140.0, 1300.0), 2.5, 0.6
MOST_CORNERS = 200
OTHERS: tuple[Role, ...] = ("text", "furniture", "site", "stair", "door", "glazing")
"""What is filled on layers for these is no wall."""


def with_filled_pieces(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with the outline of what is filled of walls in place of the borders of each piece, on a layer that
    says nothing; the same ones where layers or hatching tell walls, or where hardly a piece is filled."""
    if is_role(lines, "wall").any():
        return lines
    solid = np.array([source.role == "solid" for source in drawing.sources] or [False])[lines.source] & ~lines.hidden
    borders = np.flatnonzero(solid & ~is_role(lines, *OTHERS))
    inks = _by_ink(drawing, lines, borders)
    source = max(inks, key=lambda k: _long(inks[k]), default=-1)
    own = inks.get(source, [])
    if not FEWEST <= len(own) <= MOST or _long(own) < LEAST_MM or hatched_faces(lines).any():
        return lines
    walls = [part for part in shapely.get_parts(together(own)) if _is_wall(part)]
    walls += [column for k, pieces in inks.items() if k != source for column in _columns(pieces, walls)]
    if sum(map(half_round, walls)) < LEAST_MM:
        return lines
    body = together(walls)
    layer = int(lines.layer[borders[lines.source[borders] == source][0]])
    return _with_outline(lines.pick(~_within(lines, body)), sides_of(body), layer, source)


def _by_ink(drawing: Drawing, lines: Lines, borders: Ints) -> dict[int, list[shapely.Polygon]]:
    """What is filled and no thicker than walls, by what it comes from: the source of its first side."""
    ends = np.round(lines.xy[borders]).astype(np.int64)
    of_side = {(*row[:2], *row[2:]): k for row, k in zip(ends.tolist(), lines.source[borders].tolist(), strict=True)}
    found: dict[int, list[shapely.Polygon]] = {}
    for loop in drawing.loops if len(borders) else ():
        if loop.role != "solid" or not 2 < len(loop.vertices) <= MOST_CORNERS or any(v[2] for v in loop.vertices):
            continue
        at = np.array([v[:2] for v in loop.vertices]) - lines.origin
        if np.ptp(at, axis=0).max() < THICK_MM[0]:
            continue
        sides = np.round(np.hstack([at, np.roll(at, -1, axis=0)])).astype(np.int64).tolist()
        source = next((k for side in sides if (k := of_side.get(tuple(side), -1)) >= 0), -1)
        piece = shapely.Polygon(at)
        if source >= 0 and piece.is_valid and piece.area > 0 and thick_mm(piece) <= THICK_MM[1]:
            found.setdefault(source, []).append(piece)
    return found


def _is_wall(part: shapely.Polygon) -> bool:
    corners = shapely.get_coordinates(part.exterior)
    long = np.hypot(*np.diff(corners, axis=0).T).max()
    return len(corners) > FEWEST_CORNERS and long >= LONG_MM and THICK_MM[0] <= thick_mm(part) <= THICK_MM[1]


def _columns(pieces: list[shapely.Polygon], walls: list[shapely.Polygon]) -> list[shapely.Polygon]:
    """The columns among walls that are filled in another ink: that ink fills hardly anything else, and most of them
    stand in walls."""
    columns = [piece for piece in pieces if _is_column(piece)]
    if not columns or len(columns) < MOSTLY * len(pieces):
        return []
    body = shapely.union_all(walls)
    if shapely.dwithin(columns, body, JOINT_MM).mean() < MOSTLY:
        return []
    return [column for column in columns if body.convex_hull.intersects(column)]


def _is_column(piece: shapely.Polygon) -> bool:
    x0, y0, x1, y1 = piece.bounds
    low, high = sorted((x1 - x0, y1 - y0))
    return bool(COLUMN_MM[0] <= low and high <= min(COLUMN_MM[1], COLUMN_ASPECT * low))


def _long(pieces: list[shapely.Polygon]) -> float:
    return sum(map(half_round, pieces))


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
