"""Figures with letters in them among the lines of walls: lamps, sockets, boards and boxes of wires, marks of walls and
windows.

A symbol that no other drawing would explain is a small box, lozenge or round with one or two letters in it, said once
in the legend and drawn again and again, often right at the wall that the thing hangs on. Where all is drawn on one
layer it encloses something as a pier does (common practice, no source)."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.walls.room_spaces import edge_lengths
from takeoff.recognise.walls.wall_reading import Reading

Bools = NDArray[np.bool_]

LARGEST_MM2, NARROWEST_MM, ASPECT = 0.8e6, 150.0, 3.5
"""A symbol is no larger, no narrower and no slimmer (common practice, no source)."""
LONGEST = 4
"""So many letters stand in one."""
FEWEST = 4
"""Fewer of them are no manner of drawing."""
IN_ROOM = 0.3
"""So much of a symbol's border lies along its room, a plain gap or another symbol: shafts with letters in them have
walls round them, and doors."""
ON_IT_MM = 15.0
_COLUMN = re.compile(r"(?:c|k|p|s|z|rc|col|сt|st|ст)[-. ]?\d+\w?", re.IGNORECASE)
"""How columns are numbered: these stay."""
_LETTERS = ("name", "number", "mark", "figure", "note")


class Figures(NamedTuple):
    """``lines`` (n,): which of a reading's own lines draw such symbols and nothing else; ``words``: the rows of the
    words that stand in them."""

    lines: Bools
    words: frozenset[int]


def lettered_figures(reading: Reading, words: list[Placed]) -> Figures:
    """The symbols among the lines of a reading; nothing where there are too few."""
    lines = np.zeros(len(reading.lines.xy), bool)
    faces = reading.faces
    rows = [k for k, w in enumerate(words) if w.words.kind in _LETTERS and _is_letters(w.words.text)]
    if len(rows) < FEWEST or not len(faces.polygons):
        return Figures(lines, frozenset())
    said = shapely.points(np.array([(words[k].x, words[k].y) for k in rows]))
    word, held = shapely.STRtree(faces.polygons).query(said, predicate="within")
    small = faces.area[held] <= LARGEST_MM2
    word, held = word[small], held[small]
    open_part = _open_part(reading, np.unique(held))
    figures = [f for f in np.unique(held).tolist() if open_part[f] >= IN_ROOM and _is_figure(faces.polygons[f])]
    if len(figures) < FEWEST:
        return Figures(lines, frozenset())
    zone = shapely.union_all(shapely.buffer(shapely.make_valid(faces.polygons[figures]), ON_IT_MM))
    parts = shapely.STRtree(shapely.get_parts(zone))
    lines[parts.query(shapely.linestrings(reading.lines.xy.reshape(-1, 2, 2)), predicate="within")[0]] = True
    return Figures(lines, frozenset(np.array(rows)[word[np.isin(held, figures)]].tolist()))


def _is_letters(text: str) -> bool:
    return len(text) <= LONGEST and not _COLUMN.fullmatch(text)


def _open_part(reading: Reading, held: NDArray[np.int64]) -> NDArray[np.float64]:
    """For each face which part of its border lies along what is no body of a wall, unless it is one of ``held``, and
    no door or window."""
    faces, length = reading.faces, edge_lengths(reading.faces)
    shut = np.array([gap.confirmed or gap.kind != "open" for gap in reading.gaps] + [False])
    solid = np.append(faces.body | shut[faces.gap], False)
    solid[held] = False
    along = np.zeros(len(faces.polygons) + 1)
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        np.add.at(along, own[~solid[other]], length[~solid[other]])
    return np.asarray(along[:-1] / np.maximum(faces.perimeter, 1e-9))


def _is_figure(polygon: shapely.Polygon) -> bool:
    xy = shapely.get_coordinates(shapely.oriented_envelope(polygon))
    if len(xy) < 5:
        return False
    thin, long = sorted(float(np.hypot(*(xy[k + 1] - xy[k]))) for k in (0, 1))
    return thin >= NARROWEST_MM and long <= ASPECT * thin
