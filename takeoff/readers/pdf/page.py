"""From a page's points to millimetres on the paper as it is looked at: turned, y up, origin at
its lower left corner."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.readers.pdf.messages import Char, Content, Note
from takeoff.readers.pdf.pens import MM_PER_POINT

_TURNED = (((1.0, 0.0), (0.0, 1.0)), ((0.0, 1.0), (-1.0, 0.0)), ((-1.0, 0.0), (0.0, -1.0)), ((0.0, -1.0), (1.0, 0.0)))
"""Rows of the turn by 0, 90, 180 and 270 degrees clockwise."""


class Paper(NamedTuple):
    """The turn (2, 2) in mm per point, its shift (2,), and the sheet's size in mm."""

    turn: Floats
    shift: Floats
    width_mm: float
    height_mm: float

    def points(self, xy: Floats) -> Floats:
        """Points (n, 2) in mm on paper."""
        return np.asarray(xy @ self.turn.T + self.shift)

    def boxes(self, boxes: Floats) -> Floats:
        """Boxes (n, 4), still lower and upper corner."""
        a, b = self.points(boxes[:, :2]), self.points(boxes[:, 2:])
        return np.concatenate((np.minimum(a, b), np.maximum(a, b)), axis=1)

    def box(self, box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        """One box."""
        x0, y0, x1, y1 = self.boxes(np.array([box]))[0].tolist()
        return (x0, y0, x1, y1)

    def char(self, char: Char) -> Char:
        """A character, its size in mm."""
        x, y = self.points(np.array([[char.x, char.y]]))[0].tolist()
        way = self.turn @ np.array([char.way_x, char.way_y]) / MM_PER_POINT
        return Char(char.text, x, y, self.box(char.box), float(way[0]), float(way[1]), char.size * MM_PER_POINT)

    def note(self, note: Note) -> Note:
        """The words of an annotation."""
        return Note(note.text, self.box(note.box))


def paper_of(content: Content) -> Paper:
    """The paper of a page."""
    turn = np.array(_TURNED[content.turns]) * MM_PER_POINT
    x0, y0, x1, y1 = content.box
    corners = np.array([[x0, y0], [x1, y0], [x0, y1], [x1, y1]]) @ turn.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Paper(turn, -low, float(high[0] - low[0]), float(high[1] - low[1]))
