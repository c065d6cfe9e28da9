"""Letters drawn as lines are told from what they stand among."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "recognise"))

from strokes import strokes

from takeoff.geometry.glyphs import written

Piece = tuple[float, float, float, float]


def text(words: str, x: float, y: float, turned_deg: float = 0.0) -> list[list[Piece]]:
    """The strokes of a text 2 mm high, one list per polyline, mm on paper."""
    c, s = 2.0 * np.cos(np.radians(turned_deg)), 2.0 * np.sin(np.radians(turned_deg))
    runs = []
    for run in strokes(words)[0]:
        at = [(x + u * c - v * s, y + u * s + v * c) for u, v in run]
        runs.append([(*p, *q) for p, q in pairwise(at)])
    return runs


def box(x: float, y: float, w: float, h: float) -> list[Piece]:
    return [(x, y, x + w, y), (x + w, y, x + w, y + h), (x + w, y + h, x, y + h), (x, y + h, x, y)]


def found(paths: list[list[Piece]], pens: list[int] | None = None) -> list[bool]:
    pieces = np.array([piece for path in paths for piece in path], float)
    path = np.repeat(np.arange(len(paths)), [len(p) for p in paths])
    return [bool(v) for v in written(pieces, path, np.array(pens or [0] * len(paths)))]


@pytest.mark.parametrize("turned", [0.0, 17.0, 90.0])
def test_strokes_of_words_are_letters_and_the_walls_round_them_are_not(turned: float) -> None:
    words = text("KITCHEN 1240", 20.0, 20.0, turned_deg=turned)
    walls = [box(0.0, 0.0, 80.0, 60.0), box(-3.0, -3.0, 86.0, 66.0)]
    assert found(words + walls) == [True] * len(words) + [False, False]


def test_piers_in_a_row_are_no_letters() -> None:
    assert not any(found([box(8.0 * k, 0.0, 4.0, 3.0) for k in range(9)]))


def test_dashes_and_hatch_lines_are_no_letters() -> None:
    dashes = [[(5.0 * k, 0.0, 5.0 * k + 3.0, 0.0)] for k in range(20)]
    hatch = [[(1.2 * k, 10.0, 1.2 * k + 1.0, 11.0)] for k in range(20)]
    assert not any(found(dashes + hatch))


def test_one_symbol_alone_is_no_letter() -> None:
    assert not any(found([box(0.0, 0.0, 3.0, 2.0), [(0.0, 0.0, 3.0, 2.0)]]))


def test_short_faces_of_walls_with_strokes_of_another_pen_are_no_letters() -> None:
    """Four stubs of a wall side by side, each face with one to four strokes of hatching that end on it: as many strokes
    as letters have, and unlike one another; the face is drawn with a heavier pen."""
    stubs, pens = list[list[Piece]](), list[int]()
    for k in range(4):
        x = 5.0 * k
        stubs += [[(x, 0.0, x + 4.0, 0.0)], [(x, 1.0, x + 4.0, 1.0)]]
        stubs += [[(x + 0.7 * j, 0.0, x + 0.7 * j + 1.0, 1.0)] for j in range(k + 1)]
        pens += [1, 1] + [0] * (k + 1)
    assert all(found(stubs))
    assert not any(found(stubs, pens))


def test_what_a_longer_line_ends_on_is_no_letter() -> None:
    # Mullions of 1 × 1 in a window, panes of 8 from one to the next, and its sill's height written 0.6 below them.
    mullions = [box(9.0 * k, 0.0, 1.0, 1.0) for k in range(4)]
    mullions = [[*m, (m[0][0], 0.0, m[0][0] + 1.0, 1.0)] for m in mullions]
    panes = [[(9.0 * k + 1.0, 0.5, 9.0 * k + 9.0, 0.5)] for k in range(3)]
    height = text("P=120", 9.0, -2.6)
    assert found(mullions + panes + height) == [False] * 7 + [True] * len(height)


@pytest.mark.parametrize(("far", "letter"), [(4.0, False), (3.6, True)])
def test_panes_between_two_jambs_are_no_letters(far: float, letter: bool) -> None:
    """A window of 4 × 1 right below a word of letters as large, with the jambs of another pen: its two panes, as long
    as the glyphs are high, run from the one to the other; strokes that end short of one touch it no more than letters
    do."""
    word = [[tuple(2.0 * v for v in piece) for piece in run] for run in text("F24", 0.0, 2.5)]
    jambs = [[(0.0, 0.0, 0.0, 1.0)], [(4.0, 0.0, 4.0, 1.0)]]
    panes = [[(0.0, y, far, y)] for y in (0.3, 0.7)]
    told = found(word + jambs + panes, [0] * len(word) + [1, 1] + [0, 0])
    assert told == [True] * len(word) + [False, False] + [letter] * 2
