"""Spaces put together by the areas that are printed in them: two over a plain gap, and parts of a room behind what
looks like a thin wall, the front of a stage, a platform's edge or panelling."""

from __future__ import annotations

import numpy as np
import shapely

from takeoff.plan.reasons import because
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.room_spaces import Space, union_of

PRINT_EXACT = 0.005
"""A printed area that is rounded to more than this part of it proves nothing."""
PRINT_SLACK = 0.02
"""A sum of faces that is further than this part from what is printed is not worth a closer look."""


def join_by_print(spaces: list[Space], faces: Faces, printed: dict[int, tuple[float, float]]) -> list[Space]:
    """The spaces, those put together over a plain gap whose area is, only together, one that is printed in one of
    them: some print the area with the walls beside the one within them. ``printed``: (m², rounding m²) of words
    that are areas."""
    found = list(spaces)
    fill = {int(g): f for f, g in enumerate(faces.gap.tolist()) if g >= 0}
    areas_m2 = shapely.area(faces.polygons) / 1e6
    for k in sorted({k for s in spaces for k in s.doubtful_gaps}):
        pair = [s for s in found if k in s.doubtful_gaps]
        said = [printed[w] for s in pair for w in s.words if w in printed]
        if len(pair) != 2 or not said:
            continue
        between = [fill[k]] if k in fill else []
        whole_faces = [f for s in pair for f in s.faces] + between
        # A niche that was taken for a part of one of them may be a duct.
        bare = [max(s.faces, key=lambda f: float(areas_m2[f])) for s in pair] + between
        for own in (whole_faces, bare) if len(bare) < len(whole_faces) else (whole_faces,):
            sum_m2 = float(areas_m2[own].sum())
            if not _may_be(sum_m2, said):
                continue
            whole = union_of(faces, own)
            if _is_printed(whole, said) and not any(_is_printed(s.polygon, said) for s in pair):
                new = _as_printed(pair, k, whole, own)
                found = [s for s in found if s not in pair] + [new if own is whole_faces else new._replace(joined=())]
                break
    return found


def _as_printed(pair: list[Space], k: int, whole: shapely.Polygon, own: list[int]) -> Space:
    """Two spaces as one over the plain gap ``k``."""
    rest = tuple(sorted({g for s in pair for g in s.doubtful_gaps} - {k}))
    joined = tuple(dict.fromkeys(r for s in pair for r in s.joined))
    words = tuple(w for s in pair for w in s.words)
    first = max(pair, key=lambda s: float(s.polygon.area))
    return first._replace(polygon=whole, faces=tuple(own), doubtful_gaps=rest, joined=joined, words=words)


def _may_be(sum_m2: float, said: list[tuple[float, float]]) -> bool:
    """Whether faces of this sum may have one of the printed areas: they lie side by side, so that their sum tells
    without a union of thousands that none can be theirs."""
    return any(abs(sum_m2 - value) <= rounding + PRINT_SLACK * value for value, rounding in said)


def _is_printed(polygon: shapely.Polygon, said: list[tuple[float, float]]) -> bool:
    """Whether one of the printed areas (m², its rounding), told exactly enough to prove something, is this one's."""
    area_m2 = float(polygon.area) / 1e6
    return any(rounding <= PRINT_EXACT * value and abs(area_m2 - value) <= rounding for value, rounding in said)


INCLUDED = because("with-box")


def join_behind_by_print(spaces: list[Space], faces: Faces, printed: dict[int, tuple[float, float]]) -> list[Space]:
    """The spaces, those with a printed area put together with such a part behind the body of a wall, where both and
    what lies between them have that area. ``printed``: (m², rounding m²) of words that are areas."""
    found = list(spaces)
    beside = _bodies_beside(spaces, faces)
    gone: set[int] = set()
    for k, space in enumerate(spaces):
        said = [printed[w] for w in space.words if w in printed]
        if not said or _is_printed(space.polygon, said):
            continue
        for other in sorted({n for near in beside.values() if k in near for n in near} - {k, -1} - gone):
            part = spaces[other]
            if part.words or part.doors or part.doubtful_gaps:
                continue
            between = [f for f, near in beside.items() if near == {k, other}]
            own = [*space.faces, *part.faces, *between]
            sum_m2 = float(space.polygon.area + part.polygon.area + faces.area[between].sum()) / 1e6
            if not _may_be(sum_m2, said):
                continue
            whole = union_of(faces, own)
            if _is_printed(whole, said):
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
