"""Characters become words and lines: one label per run of characters on one baseline."""

from __future__ import annotations

import math
from typing import NamedTuple

from takeoff.drawing.model import Label
from takeoff.readers.pdf.pdf_messages import Char, Note

SAME_WAY = math.cos(math.radians(3.0))
OFF_BASELINE = 0.3
"""Of the letters' size: characters further off the baseline are on another line."""
SAME_SIZE = 0.7
WORD_GAP = 0.2
"""A gap of more than this of the size is a space, where none was written."""
COLUMN_GAP = 1.2
"""A wider gap parts two pieces of text."""
BACKWARDS = -0.6
CAP_SHARE = 0.7
"""Height of capitals per size of the font (common to most faces; no source)."""
RAISED = {"2": "²", "3": "³"}
RAISED_SIZE = 0.85
LONGEST_LABEL = 2000


class Placed(NamedTuple):
    """A character along its own baseline: start, end and height over it."""

    char: Char
    along: float
    end: float
    over: float


def labels(chars: tuple[Char, ...], notes: tuple[Note, ...], layer: int) -> tuple[Label, ...]:
    """The labels of a page, in the unit of the characters; blank runs are left out."""
    runs: list[list[Char]] = []
    for char in chars:
        if not (runs and _goes_on(runs[-1], char)):
            runs.append([])
        runs[-1].append(char)
    made = [_label(run, layer) for run in runs]
    kept = [label for label in made if label.text]
    return (*kept, *(_note(note, layer) for note in notes))


def _place(char: Char, run: list[Char]) -> Placed:
    """The character in the frame of the run's first: along its baseline and over it."""
    first = run[0] if run else char
    dx, dy = char.x - first.x, char.y - first.y
    along = dx * first.way_x + dy * first.way_y
    over = dy * first.way_x - dx * first.way_y
    return Placed(char, along, along + advance(char), over)


def advance(char: Char) -> float:
    """How far a character runs along its baseline; read off its box, which lies square to the
    page, so for text near 45 degrees it is estimated."""
    c, s = abs(char.way_x), abs(char.way_y)
    wide, high = char.box[2] - char.box[0], char.box[3] - char.box[1]
    spread = c * c - s * s
    if abs(spread) < 0.2:
        return 0.55 * char.size
    return min(max((wide * c - high * s) / spread, 0.1 * char.size), 2.0 * char.size)


def _goes_on(run: list[Char], char: Char) -> bool:
    first, last = run[0], _place(run[-1], run)
    if len(run) >= LONGEST_LABEL or char.way_x * first.way_x + char.way_y * first.way_y < SAME_WAY:
        return False
    here = _place(char, run)
    gap = here.along - last.end
    ratio = char.size / first.size
    if not BACKWARDS * first.size < gap < COLUMN_GAP * first.size:
        return False
    if char.text in RAISED and ratio < RAISED_SIZE:
        return abs(here.over) < first.size
    return abs(here.over) < OFF_BASELINE * first.size and SAME_SIZE < ratio < 1.0 / SAME_SIZE


def _label(run: list[Char], layer: int) -> Label:
    first = run[0]
    placed = [_place(char, run) for char in run]
    text, end = "", 0.0
    for p in placed:
        if text and p.along - end > WORD_GAP * first.size and not text.endswith(" "):
            text += " "
        raised = p.over > 0.1 * first.size and p.char.size / first.size < RAISED_SIZE
        text += RAISED.get(p.char.text, p.char.text) if raised else p.char.text
        end = p.end
    middle, up = end / 2.0, CAP_SHARE * first.size / 2.0
    x = first.x + middle * first.way_x - up * first.way_y
    y = first.y + middle * first.way_y + up * first.way_x
    angle = math.degrees(math.atan2(first.way_y, first.way_x)) % 360.0
    return Label(" ".join(text.split()), x, y, CAP_SHARE * first.size, layer, angle)


def _note(note: Note, layer: int) -> Label:
    """Words of an annotation: upright where its box stands."""
    x0, y0, x1, y1 = note.box
    upright = y1 - y0 > x1 - x0 and len(note.text) > 1
    height = min(x1 - x0, y1 - y0)
    return Label(" ".join(note.text.split()), (x0 + x1) / 2.0, (y0 + y1) / 2.0, height, layer, 90.0 if upright else 0.0)
