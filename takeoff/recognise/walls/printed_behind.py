"""Parts of a room behind what looks like a thin wall: the front of a stage, a platform's edge, panelling. Nothing is
written there, no door leads in, and the area that is printed in the room is only met with it."""

from __future__ import annotations

import numpy as np

from takeoff.plan.reasons import because
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.room_spaces import PRINT_SLACK, Space, is_printed, union_of

INCLUDED = because("with-box")


def join_behind_by_print(spaces: list[Space], faces: Faces, printed: dict[int, tuple[float, float]]) -> list[Space]:
    """The spaces, those with a printed area put together with such a part behind the body of a wall, where both and
    what lies between them have that area. ``printed``: (m², rounding m²) of words that are areas."""
    found = list(spaces)
    beside = _bodies_beside(spaces, faces)
    gone: set[int] = set()
    for k, space in enumerate(spaces):
        said = [printed[w] for w in space.words if w in printed]
        if not said or is_printed(space.polygon, said):
            continue
        for other in sorted({n for near in beside.values() if k in near for n in near} - {k, -1} - gone):
            part = spaces[other]
            if part.words or part.doors or part.doubtful_gaps:
                continue
            between = [f for f, near in beside.items() if near == {k, other}]
            own = [*space.faces, *part.faces, *between]
            sum_m2 = float(space.polygon.area + part.polygon.area + faces.area[between].sum()) / 1e6
            if not any(abs(sum_m2 - value) <= rounding + PRINT_SLACK * value for value, rounding in said):
                continue
            whole = union_of(faces, own)
            if is_printed(whole, said):
                found[k] = space._replace(polygon=whole, faces=tuple(own), joined=(*space.joined, INCLUDED))
                gone.add(other)
                break
    return [space for k, space in enumerate(found) if k not in gone]


def _bodies_beside(spaces: list[Space], faces: Faces) -> dict[int, set[int]]:
    """For each body of a wall the spaces that lie beside it, -1 for what is outside."""
    of_face = np.full(len(faces.polygons) + 1, -2)
    for k, space in enumerate(spaces):
        of_face[list(space.faces)] = k
    of_face[-1] = -1
    found: dict[int, set[int]] = {}
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        rim = np.flatnonzero((own >= 0) & (of_face[other] != -2))
        rim = rim[faces.body[own[rim]]]
        for f, near in zip(own[rim].tolist(), of_face[other[rim]].tolist(), strict=True):
            found.setdefault(f, set()).add(near)
    return found
