"""What the sheet shows: lines are cut at the edge of the page and of the viewport they lie in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Floats
from takeoff.readers.pdf.curves import Ints, Pieces, chord_pieces

Bools = NDArray[np.bool_]
EDGE_MM = 0.05
"""Lines on the very edge of a viewport are seen: so much on paper is let through."""


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
    cut, owner = chord_pieces(pieces.xyxyb[rows])
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
