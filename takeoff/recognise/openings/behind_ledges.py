"""Gaps that open into the depth of a wall: a ledge before a row of windows, the sill of a deep one. The room ends at
the ledge, and what lies behind is an opening in its side there."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.openings.lines_in_walls import STEP_MM, Solid
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.enclosed_faces import Faces

Floats = NDArray[np.float64]

DEEPEST_MM = 380.0
"""A ledge is no deeper (common practice, no source)."""
BESIDE_MM = 10.0
FEWEST_STROKES = 3
"""With so many strokes of hatching in it it is the wall, and what lies behind it no opening."""


def at_ledges(candidates: list[Candidate], faces: Faces, drawn: Lines) -> list[Candidate]:
    """The candidates, bare gaps and windows with the faces of the ledges that lie before them. ``drawn``: all lines."""
    solid = Solid(faces)
    middle = drawn.xy[drawn.hatch | is_role(drawn, "hatch")].reshape(-1, 2, 2).mean(axis=1)
    strokes = shapely.STRtree(shapely.points(middle))
    return [
        _with_ledges(one, solid, strokes) if one.kind != "door" and len(one.lines) == 2 else one for one in candidates
    ]


def _with_ledges(candidate: Candidate, solid: Solid, strokes: shapely.STRtree) -> Candidate:
    first, second = candidate.lines
    across = (second[:2] + second[2:] - first[:2] - first[2:]) / 2
    deep = float(np.hypot(*across))
    if deep <= BESIDE_MM:
        return candidate
    lines = [first, second]
    for line, out in ((first, -across / deep), (second, across / deep)):
        middle = (line[:2] + line[2:]) / 2
        far = solid.reaches(middle + out * BESIDE_MM, out)
        if not STEP_MM < far <= DEEPEST_MM:
            continue
        face = line + np.tile(out * (far + BESIDE_MM), 2)
        if not _hatched(line, face, strokes):
            lines.append(face)
    return candidate._replace(lines=np.array(lines))


def _hatched(line: Floats, face: Floats, strokes: shapely.STRtree) -> bool:
    """Whether the ground between two lines is hatched."""
    ground = shapely.multipoints(np.concatenate([line, face]).reshape(-1, 2)).convex_hull
    return len(strokes.query(ground, predicate="contains")) >= FEWEST_STROKES
