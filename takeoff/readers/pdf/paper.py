"""The paper: from a page's points to millimetres as it is looked at (turned, y up, origin at its lower
left corner), and the lines cut at the edge of the page and of the viewport they lie in."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.geometry.chords import chord_count, chords
from takeoff.readers.pdf.beziers import Bools, Ints, Pieces, refuse_too_many
from takeoff.readers.pdf.pdf_messages import Char, Content, Note
from takeoff.readers.pdf.pdf_pens import MM_PER_POINT

CHORD_DEG = 3.0
EDGE_MM = 0.05
"""Lines on the very edge of a viewport are seen: so much on paper is let through."""
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


def inside(pieces: Pieces, boxes: Floats) -> Bools:
    """Which pieces lie wholly in their boxes (n, 4), edges included."""
    low, high = _extent(pieces.xyxyb)
    return np.asarray(((low >= boxes[:, :2] - EDGE_MM) & (high <= boxes[:, 2:] + EDGE_MM)).all(axis=1))


def clipped(pieces: Pieces, boxes: Floats) -> Pieces:
    """The parts of the pieces within their boxes (n, 4: x0 y0 x1 y1); order is kept. Arcs that
    cross an edge become chords first."""
    whole = inside(pieces, boxes)
    if whole.all():
        return pieces
    low, high = _extent(pieces.xyxyb)
    touches = ((low <= boxes[:, 2:] + EDGE_MM) & (high >= boxes[:, :2] - EDGE_MM)).all(axis=1) & ~whole
    rows = np.flatnonzero(touches)
    crossing = pieces.xyxyb[rows]
    refuse_too_many(chord_count(crossing[:, 4], CHORD_DEG))
    cut, owner = chords(crossing, CHORD_DEG)
    cut = np.column_stack((cut, np.zeros(len(cut))))
    row = rows[owner]
    cut, kept = _cut(cut, boxes[row])
    cut, row = cut[kept], row[kept]
    all_rows = np.concatenate((np.flatnonzero(whole), row))
    order = np.argsort(all_rows, kind="stable")
    xyxyb = np.concatenate((pieces.xyxyb[whole], cut))[order]
    return Pieces(xyxyb, pieces.path[all_rows[order]], pieces.chorded)


def _extent(p: Floats) -> tuple[Floats, Floats]:
    """Lower and upper corner (n, 2) of a box round each piece, arcs generously."""
    # An arc lies within its chord's box widened by its sagitta, or by half its chord over a half turn.
    reach = np.abs(p[:, 4]) * np.hypot(p[:, 2] - p[:, 0], p[:, 3] - p[:, 1]) / 2.0
    low = np.minimum(p[:, :2], p[:, 2:4]) - reach[:, None]
    high = np.maximum(p[:, :2], p[:, 2:4]) + reach[:, None]
    return low, high


def _cut(p: Floats, boxes: Floats) -> tuple[Floats, Bools]:
    """Straight pieces cut to their boxes by the parameter of entry and exit (Liang and Barsky)."""
    d = p[:, 2:4] - p[:, :2]
    t0, t1 = np.zeros(len(p)), np.ones(len(p))
    ok = np.ones(len(p), bool)
    for axis in (0, 1):
        for edge, sign in ((boxes[:, axis] - EDGE_MM, -1.0), (boxes[:, axis + 2] + EDGE_MM, 1.0)):
            rate = sign * d[:, axis]
            room = sign * (edge - p[:, axis])
            flat = rate == 0.0
            ok &= ~(flat & (room < 0.0))
            t = room / np.where(flat, 1.0, rate)
            t1 = np.where(~flat & (rate > 0.0), np.minimum(t1, t), t1)
            t0 = np.where(~flat & (rate < 0.0), np.maximum(t0, t), t0)
    made = p.copy()
    made[:, :2] = p[:, :2] + d * t0[:, None]
    made[:, 2:4] = p[:, :2] + d * t1[:, None]
    return made, ok & (t1 > t0)


def boxes_of(clip: Ints, clips: Floats, page: Floats) -> Floats:
    """The box that each subpath is seen in: the page's, and its clip's where it has one."""
    boxes = np.tile(page, (len(clip), 1))
    has = clip >= 0
    if has.any():
        c = clips[clip[has]]
        boxes[has, :2] = np.maximum(boxes[has, :2], c[:, :2])
        boxes[has, 2:] = np.minimum(boxes[has, 2:], c[:, 2:])
    return boxes
