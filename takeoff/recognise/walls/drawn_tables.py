"""Tables of words beside a plan: lists of fixtures or names, schedules, title blocks. Their cells close as rooms do."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Words
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SQUARE = 0.99
"""A cell fills this part of the box round it: tables are drawn square to the sheet."""
FEWEST_CELLS, WRITTEN = 6, 0.25
"""A table has so many cells, and words in this part of them: many of a title block stay empty."""
SAME_MM, ALIKE = 20.0, 0.6
"""This part of the cells stand exactly below one another or in a row, within the first: columns and rows."""
MOST_LETTERS, MOST_OF_AREAS = 9.0, 5.0
"""Half of the cells with words are no deeper than so many letters are high, the second where areas stand in them:
rows are drawn round their words, rooms are as large as people need (common practice, no source)."""
MOST_BESIDE = 2
"""A table stands free, or in a corner of a sheet's frame."""


class Tables(NamedTuple):
    """``lines``: which lines of the reading draw nothing but tables; ``words``: which words stand in one (rows of all
    that are placed)."""

    lines: Bools
    words: frozenset[int]


def tables(reading: Reading, words: list[Placed]) -> Tables:
    """The tables among what a reading encloses, by closed cells without any gap that touch each other and nothing but
    what lies round them, in columns or rows, drawn round words. Without such nothing."""
    faces = reading.faces
    none = Tables(np.zeros(len(reading.lines.xy), bool), frozenset())
    cells = _cells(faces)
    if cells.sum() < FEWEST_CELLS or not words:
        return none
    places = shapely.points(np.array([(w.x, w.y) for w in words]))
    word, face = shapely.STRtree(faces.polygons).query(places, predicate="within")
    of_table = np.zeros(len(cells), bool)
    for group in _touching(faces, cells):
        own = np.isin(face, group)
        if _is_table(faces, group, [(int(f), words[w]) for w, f in zip(word[own], face[own], strict=True)]):
            of_table[group] = True
    if not of_table.any():
        return none
    return Tables(_lines_of(reading, of_table), frozenset(word[of_table[face]].tolist()))


def not_of_rooms(words: list[Placed], rows: frozenset[int]) -> list[Placed]:
    """The words, those of tables said to be the sheet's."""
    return [w._replace(words=Words("sheet", w.words.text)) if k in rows else w for k, w in enumerate(words)]


def _cells(faces: Faces) -> Bools:
    """Which faces are boxes square to the sheet that nothing but drawn lines close."""
    if not len(faces.polygons):
        return np.zeros(0, bool)
    bounds = shapely.bounds(faces.polygons)
    box = (bounds[:, 2] - bounds[:, 0]) * (bounds[:, 3] - bounds[:, 1])
    cells = (faces.area >= SQUARE * box) & (faces.gap < 0)
    bridged = faces.graph.source >= BRIDGED
    for side in (faces.left[bridged], faces.right[bridged]):
        cells[side[side >= 0]] = False
    return np.asarray(cells)


def _touching(faces: Faces, cells: Bools) -> list[Ints]:
    """The groups of cells that touch each other, those with no more beside them that is no cell than the
    sheet and its margin."""
    known = np.append(cells, False)
    both = known[faces.left] & known[faces.right] & (faces.left != faces.right)
    group = components(len(cells), faces.left[both], faces.right[both])
    beside: dict[int, set[int]] = {}
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        rim = known[own] & (other >= 0) & ~known[other]
        for g, f in set(zip(group[own[rim]].tolist(), other[rim].tolist(), strict=True)):
            beside.setdefault(g, set()).add(f)
    count = np.bincount(group[cells], minlength=1)
    found = np.flatnonzero(count >= FEWEST_CELLS).tolist()
    return [np.flatnonzero(cells & (group == g)) for g in found if len(beside.get(g, ())) <= MOST_BESIDE]


def _is_table(faces: Faces, group: Ints, said: list[tuple[int, Placed]]) -> bool:
    """Whether cells that touch each other are a table: most in columns or rows, many with words and
    as deep as these need."""
    written = {f for f, _ in said}
    if len(written) < WRITTEN * len(group):
        return False
    bounds = shapely.bounds(faces.polygons[group])
    shared = [_shared(bounds[:, (k, k + 2)]) for k in (0, 1)]
    if max(float(s.mean()) for s in shared) < ALIKE:
        return False
    deep = {int(f): float(y1 - y0) for f, (_, y0, _, y1) in zip(group, bounds, strict=True)}
    letters = [deep[f] / w.height for f, w in said if w.height > 0]
    most = MOST_OF_AREAS if any(w.words.kind == "area" for _, w in said) else MOST_LETTERS
    return bool(letters) and float(np.median(letters)) <= most


def _shared(ends: Floats) -> Bools:
    """(n,): which of these ranges (n, 2) two others share or more."""
    _, place, count = np.unique(np.round(ends / SAME_MM), axis=0, return_inverse=True, return_counts=True)
    return np.asarray(count[place.reshape(-1)] > 2)


def _lines_of(reading: Reading, of_table: Bools) -> Bools:
    """Which lines draw cells of tables and bound nothing else."""
    faces = reading.faces
    known = np.append(of_table, False)
    own = (faces.graph.source >= 0) & (faces.graph.source < BRIDGED)
    beside = known[faces.left] | known[faces.right]
    count = len(reading.lines.xy)
    drawn = np.bincount(faces.graph.source[own & beside], minlength=count)
    return np.asarray((drawn > 0) & (np.bincount(faces.graph.source[own & ~beside], minlength=count) == 0))
