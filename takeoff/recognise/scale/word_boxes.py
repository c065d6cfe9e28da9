"""Boxes drawn round a word on a page: the frame of a room's area or number, and no cupboard with a name in it.

Such a frame is hardly deeper than its letters are high; what stands in a room is many times as deep (common practice,
no source). Taken for a wall it keeps the word from its room, and the room goes without its printed area."""

from __future__ import annotations

import math

import msgspec
import numpy as np

from takeoff.drawing.model import Drawing, Floats, Label, Linework, Loop

DEEP_HEIGHTS, LONG_HEIGHTS = 1.6, 3.0
"""A frame is no deeper than so many heights of its letters, and no longer than its letters and so many heights more."""
LETTER = 0.9
"""A letter is no wider than so many times its height."""
SQUARE = 0.02
STEP = 1e-3
MOST_LABELS = 5000


def with_boxes_at_words(drawing: Drawing) -> Drawing:
    """A page, with lines of frames round single words on the layers of these words. A drawing that is no page, and a
    page without such frames, stays as it is."""
    if not any(claim.kind == "sheet" for claim in drawing.claims) or not 0 < len(drawing.labels) <= MOST_LABELS:
        return drawing
    at = np.array([(v.x, v.y) for v in drawing.labels])
    layers: dict[tuple[tuple[int, int], tuple[int, int]], int] = {}
    for loop in drawing.loops:
        if loop.role == "line" and len(loop.vertices) == 4 and (word := _word_in(loop, drawing.labels, at)) is not None:
            corners = [(round(x / STEP), round(y / STEP)) for x, y, _ in loop.vertices]
            for k in range(4):
                a, b = sorted((corners[k], corners[(k + 1) % 4]))
                layers[a, b] = word.layer
    if not layers:
        return drawing
    lines = drawing.lines
    of = lines.segment_layer.copy()
    for row, (x0, y0, x1, y1) in enumerate(np.round(lines.segments / STEP).tolist()):
        if math.isfinite(x0 + y0 + x1 + y1):
            a, b = sorted(((int(x0), int(y0)), (int(x1), int(y1))))
            of[row] = layers.get((a, b), of[row])
    moved = Linework(lines.segments, of, lines.segment_source, lines.arcs, lines.arc_layer, lines.arc_source)
    return msgspec.structs.replace(drawing, lines=moved)


def _word_in(loop: Loop, labels: tuple[Label, ...], at: Floats) -> Label | None:
    """The word that a rectangle is drawn close round; None where it is no rectangle or holds no word."""
    corners = np.array(loop.vertices)
    if corners[:, 2].any() or not np.isfinite(corners).all():
        return None
    corners = corners[:, :2]
    u, v = corners[1] - corners[0], corners[3] - corners[0]
    wide, deep = float(np.hypot(*u)), float(np.hypot(*v))
    off = np.abs(corners[2] - corners[0] - u - v).max()
    if min(wide, deep) <= 0.0 or off > SQUARE * min(wide, deep) or abs(u @ v) > SQUARE * wide * deep:
        return None
    along, across = (at - corners[0]) @ u / wide**2, (at - corners[0]) @ v / deep**2
    for row in np.flatnonzero((along > 0.0) & (along < 1.0) & (across > 0.0) & (across < 1.0)).tolist():
        word = labels[row]
        longest = (LETTER * len(word.text) + LONG_HEIGHTS) * word.height
        if min(wide, deep) <= DEEP_HEIGHTS * word.height and max(wide, deep) <= longest:
            return word
    return None
