"""Letters that are drawn as lines: short strokes in glyphs, glyphs in rows.

Programs with fonts of their own print text so; no text is left in the file, and the strokes would be
taken for walls. What is written is not read, only told apart (sizes: common practice, no source).
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

GLYPH_MM = (0.7, 5.5)
"""On paper: the larger side of a letter."""
MEET_MM = 0.03
"""Strokes of one letter cross or touch."""
REACH = 2.6
"""Middles of neighbours in a row, a blank between them or none, lie within so many of the smaller size."""
ALIKE = 0.45
FEWEST_GLYPHS = 3
MANY_STROKES, SHARE = 3, 0.4
"""So many of a row's glyphs have so many strokes: dashes and hatch lines have one."""
MOST_PIECES = 400_000


def written(xyxy: Floats, path: Ints, pen: Ints) -> Bools:
    """Which subpaths draw letters; ``xyxy`` (n, 4) mm on paper, ``path`` (n,) the subpath of each piece, ``pen``
    (count,) what each subpath is drawn with. Rows of like shapes (piers, chairs) are none: letters differ. A word is
    drawn with one pen: the face of a wall and the strokes that fill it, which meet it, are not. Nor is what a longer
    line ends on: the end of a wall, the mullion between two panes; nor a lone stroke that runs from one line of another
    pen to the next: a pane between two jambs."""
    count = len(pen)
    found = np.zeros(count, bool)
    low, high = _boxes(xyxy, path, count)
    size = np.where(np.isfinite(high - low), high - low, np.inf).max(axis=1)
    rows = np.flatnonzero(size[path] <= GLYPH_MM[1])
    if len(rows) < FEWEST_GLYPHS or len(rows) > MOST_PIECES:
        return found
    glyph = _glyphs(xyxy[rows], path[rows], pen)
    number = int(glyph.max()) + 1
    low, high = _boxes(xyxy[rows], glyph, number)
    size = (high - low).max(axis=1)
    strokes = np.bincount(glyph, minlength=number)
    no_letter = _ended_on(xyxy, rows, glyph, number)
    lone = strokes[glyph] == 1
    no_letter[glyph[lone]] |= _between_others(xyxy, rows[lone], pen[path])
    fits = np.flatnonzero((size >= GLYPH_MM[0]) & (size <= GLYPH_MM[1]) & ~no_letter)
    of_text = np.zeros(number, bool)
    drawn_with = np.zeros(number, np.int64)
    drawn_with[glyph] = pen[path[rows]]
    middle = (low[fits] + high[fits]) / 2.0
    of_text[fits[_in_rows(middle, size[fits], strokes[fits], drawn_with[fits])]] = True
    found[path[rows[of_text[glyph]]]] = True
    return found


def _ended_on(xyxy: Floats, rows: Ints, glyph: Ints, number: int) -> Bools:
    """Which glyphs, of the pieces ``rows``, one of the other pieces ends on."""
    found = np.zeros(number, bool)
    rest = np.delete(xyxy, rows, axis=0)
    tree = shapely.STRtree(shapely.linestrings(xyxy[rows].reshape(-1, 2, 2)))
    _, at = tree.query(shapely.points(rest.reshape(-1, 2)), predicate="dwithin", distance=MEET_MM)
    found[glyph[at]] = True
    return found


def _between_others(xyxy: Floats, rows: Ints, pen: Ints) -> Bools:
    """Which of the pieces ``rows`` end at both ends on pieces of other pens. ``pen``: of every piece."""
    ends = shapely.points(xyxy[rows, :4].reshape(-1, 2))
    at, met = shapely.STRtree(shapely.linestrings(xyxy.reshape(-1, 2, 2))).query(
        ends, predicate="dwithin", distance=MEET_MM
    )
    other = pen[met] != pen[rows[at // 2]]
    return np.asarray(np.isin(np.arange(len(ends)), at[other]).reshape(-1, 2).all(axis=1))


def _boxes(xyxy: Floats, group: Ints, count: int) -> tuple[Floats, Floats]:
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(low, group, np.minimum(xyxy[:, :2], xyxy[:, 2:4]))
    np.maximum.at(high, group, np.maximum(xyxy[:, :2], xyxy[:, 2:4]))
    return low, high


def _glyphs(xyxy: Floats, path: Ints, pen: Ints) -> Ints:
    """The glyph (0, 1, …) of each piece: pieces of one subpath, and pieces of one pen that touch."""
    drawn = shapely.linestrings(xyxy.reshape(-1, 2, 2))
    a, b = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=MEET_MM)
    own = pen[path[a]] == pen[path[b]]
    a, b = a[own], b[own]
    first = np.full(int(path.max()) + 1, -1)
    first[path[::-1]] = np.arange(len(path))[::-1]
    return _groups(len(xyxy), np.concatenate([a, np.arange(len(path))]), np.concatenate([b, first[path]]))


def _groups(count: int, a: Ints, b: Ints) -> Ints:
    """The number of the connected group of each of ``count`` things."""
    return np.asarray(np.unique(components(count, a, b), return_inverse=True)[1].reshape(-1), np.int64)


def _in_rows(middle: Floats, size: Floats, strokes: Ints, pen: Ints) -> Bools:
    """Which glyphs stand among others of about their size and of their pen, and differ from them, as letters do."""
    if len(middle) < FEWEST_GLYPHS:
        return np.zeros(len(middle), bool)
    points = shapely.points(middle)
    a, b = shapely.STRtree(points).query(points, predicate="dwithin", distance=REACH * GLYPH_MM[1])
    small, large = np.minimum(size[a], size[b]), np.maximum(size[a], size[b])
    near = np.hypot(*(middle[a] - middle[b]).T) <= REACH * small
    keep = (a != b) & near & (small >= ALIKE * large) & (pen[a] == pen[b])
    row = _groups(len(middle), a[keep], b[keep])
    number = int(row.max()) + 1
    members = np.bincount(row, minlength=number)
    many = np.bincount(row, weights=strokes >= MANY_STROKES, minlength=number)
    least, most = np.full(number, np.iinfo(np.int64).max), np.zeros(number, np.int64)
    np.minimum.at(least, row, strokes)
    np.maximum.at(most, row, strokes)
    good = (members >= FEWEST_GLYPHS) & (many >= SHARE * members) & (least != most)
    return np.asarray(good[row])
