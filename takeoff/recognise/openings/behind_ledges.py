"""Gaps that open into the depth of a wall: a ledge before a row of windows, the sill of a deep one. The room ends at
the ledge, and what lies behind is an opening in its side there."""

from __future__ import annotations

import numpy as np

from takeoff.recognise.openings.lines_in_walls import STEP_MM, Solid
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.walls.enclosed_faces import Faces

DEEPEST_MM = 380.0
"""A ledge is no deeper (common practice, no source)."""
BESIDE_MM = 10.0


def at_ledges(candidates: list[Candidate], faces: Faces) -> list[Candidate]:
    """The candidates, bare gaps and windows with the faces of the ledges that lie before them."""
    solid = Solid(faces)
    return [_with_ledges(one, solid) if one.kind != "door" and len(one.lines) == 2 else one for one in candidates]


def _with_ledges(candidate: Candidate, solid: Solid) -> Candidate:
    first, second = candidate.lines
    across = (second[:2] + second[2:] - first[:2] - first[2:]) / 2
    deep = float(np.hypot(*across))
    if deep <= BESIDE_MM:
        return candidate
    lines = [first, second]
    for line, out in ((first, -across / deep), (second, across / deep)):
        middle = (line[:2] + line[2:]) / 2
        far = solid.reaches(middle + out * BESIDE_MM, out)
        if STEP_MM < far <= DEEPEST_MM:
            lines.append(line + np.tile(out * (far + BESIDE_MM), 2))
    return candidate._replace(lines=np.array(lines))
