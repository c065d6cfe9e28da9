"""Closed outlines of rooms on layers that say so: each is a room as it is drawn, however small, and nothing in it is a
wall or a gap in one."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.believed_gaps import Gap
from takeoff.recognise.walls.bounding_lines import Lines
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.recognise.walls.room_spaces import SMALLEST_M2

MOST_CORNERS = 20_000
"""A polyline of more corners is no outline of walls or rooms."""
GROSS_PART = 0.5
"""An outline that others fill in so much of it is one of a storey, a department or a whole house."""
COLUMN_PART = 0.1
"""What is a smaller part of its outline is no room in it."""


def room_outlines(drawing: Drawing, guesses: tuple[LayerGuess, ...], lines: Lines) -> NDArray[np.object_]:
    """The closed polylines on layers of areas that are rooms: those of whole storeys are none, nor those within another
    one, which are columns and shafts."""
    x, y = lines.origin
    rings = [
        [(vx - x, vy - y) for vx, vy, _ in loop.vertices]
        for loop in drawing.loops
        if loop.role == "line" and guesses[loop.layer].role == "area" and 2 < len(loop.vertices) <= MOST_CORNERS
    ]
    shapes = np.array([shapely.make_valid(shapely.Polygon(ring)) for ring in rings] or [], dtype=object)
    shapes = shapes[shapely.area(shapes) >= SMALLEST_M2 * 1e6]
    shapes = shapes[~_filled(shapes)]
    return np.asarray(shapes[~_within(shapes)])


def _filled(shapes: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Which of these shapes others lie within, on so much of their ground."""
    held = np.zeros(len(shapes))
    for inner, outer in _held(shapes):
        held[outer] += shapes[inner].area
    return np.asarray(held >= GROSS_PART * shapely.area(shapes))


def _within(shapes: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Which of these shapes lie within another one."""
    found = np.zeros(len(shapes), bool)
    found[[inner for inner, _ in _held(shapes)]] = True
    return found


def _held(shapes: NDArray[np.object_]) -> list[tuple[int, int]]:
    """(inner, outer) of shapes that lie within larger ones."""
    if not len(shapes):
        return []
    area = shapely.area(shapes)
    pairs = shapely.STRtree(shapes).query(shapely.point_on_surface(shapes), predicate="within").T.tolist()
    return [(i, o) for i, o in pairs if area[i] < area[o]]


def between_outlines(gaps: list[Gap], outlines: NDArray[np.object_]) -> list[Gap]:
    """The gaps but for those that lie in one outline."""
    if not gaps or not len(outlines):
        return gaps
    middles = shapely.centroid(np.array([gap.quad for gap in gaps]))
    inside = set(shapely.STRtree(outlines).query(middles, predicate="within")[0].tolist())
    return [gap for k, gap in enumerate(gaps) if k not in inside]


def as_outlined(faces: Faces, outlines: NDArray[np.object_]) -> Faces:
    """The faces, those that outlines have for rooms no walls; what is a small part of one is a column."""
    if not len(faces.polygons) or not len(outlines):
        return faces
    body = faces.body.copy()
    inside, own = shapely.STRtree(outlines).query(shapely.point_on_surface(faces.polygons), predicate="within")
    least = np.maximum(SMALLEST_M2 * 1e6, COLUMN_PART * shapely.area(outlines[own]))
    body[inside[faces.area[inside] >= least]] = False
    return faces._replace(body=body)
