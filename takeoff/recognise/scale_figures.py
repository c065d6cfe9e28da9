"""Figures beside dimension lines on a sheet that knows no dimensions, only lines and text.

A dimension's figure stands in the middle over (or in a gap of) a line along it, and what crosses
that line nearest on both sides are its ends: common practice of drawing, no source.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Dimension, Drawing, Floats, Label
from takeoff.recognise.figured import readings

Bools = NDArray[np.bool_]

MOST_FIGURES = 400
LONGEST_FIGURE = 16
"""Characters: longer text is a note that has a number in it."""
PARALLEL = math.sin(math.radians(2.0))
BESIDE_HEIGHTS = 2.4
"""A figure's middle lies within so many of its heights of its line."""
ON_LINE_MM = 0.15
"""On paper: lines this close in line are one, crossings this close to a line touch it."""
SHORT_MM = 1.2
"""On paper: a short line square across is the back of an arrow, no end of a dimension."""
SQUARE_COS = 0.3
SHORTEST_MM = 1.0
OFF_MIDDLE_SHARE = 0.06
OFF_MIDDLE_MM = 0.8
ENDS_TRIED = 4


def figures_on_paper(drawing: Drawing) -> tuple[Dimension, ...]:
    """The figures that stand at a dimension line, with the length between its ends, in the unit of
    the drawing (mm on paper). Figures without a line are left out."""
    labels = [v for v in drawing.labels if _is_figure(v)][:MOST_FIGURES]
    if not labels:
        return ()
    solid = np.array([s.role == "solid" for s in drawing.sources] or [False])
    lines = drawing.lines.segments
    if len(drawing.sources):
        lines = lines[~solid[drawing.lines.segment_source]]
    d = lines[:, 2:] - lines[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    lines, d, length = lines[length > 0.0], d[length > 0.0], length[length > 0.0]
    found = [_dimension(v, lines, d / length[:, None], length) for v in labels]
    return tuple(f for f in found if f is not None)


def _is_figure(label: Label) -> bool:
    if len(label.text) > LONGEST_FIGURE or label.height <= 0.0 or "²" in label.text or ":" in label.text:
        return False
    return bool(readings(label.text)) and sum(c.isalpha() for c in label.text) <= 4


def _dimension(label: Label, lines: Floats, way: Floats, length: Floats) -> Dimension | None:
    angle = math.radians(label.rotation_deg)
    u, n = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    middle = np.array([label.x, label.y])
    a, b = lines[:, :2] - middle, lines[:, 2:] - middle
    along = np.sort(np.stack((a @ u, b @ u), axis=1), axis=1)
    off0, off1 = a @ n, b @ n
    flat = np.abs(way @ n) < PARALLEL
    wide = label.height * max(1.0, 0.5 * len(label.text))
    near = flat & (np.maximum(np.abs(off0), np.abs(off1)) <= BESIDE_HEIGHTS * label.height)
    near &= (along[:, 0] <= wide) & (along[:, 1] >= -wide) & (length > SHORTEST_MM)
    best: tuple[float, float, float] | None = None
    for row in sorted(np.flatnonzero(near).tolist(), key=lambda i: abs(off0[i] + off1[i]))[:3]:
        height = float(off0[row] + off1[row]) / 2.0
        ends = _ends(height, along, off0, off1, a @ u, b @ u, flat, np.abs(way @ u), length)
        if ends is not None:
            best = (ends[0], ends[1], height)
            break
    if best is None:
        return None
    p, q = middle + best[0] * u + best[2] * n, middle + best[1] * u + best[2] * n
    return Dimension(float(p[0]), float(p[1]), float(q[0]), float(q[1]), best[1] - best[0], label.text, None,
                     label.layer)


def _ends(
    height: float, along: Floats, off0: Floats, off1: Floats, along0: Floats, along1: Floats, flat: Bools,
    lying: Floats, length: Floats,
) -> tuple[float, float] | None:
    """Where the line at ``height`` over the figure ends on both sides, seen from its middle."""
    own = flat & (np.abs(off0 - height) <= ON_LINE_MM) & (np.abs(off1 - height) <= ON_LINE_MM)
    # An arrow's back is short and square across; a slash is short but slants.
    marks = ~flat & ((length > SHORT_MM) | (lying > SQUARE_COS))
    meets = marks & (np.minimum(off0, off1) <= height + ON_LINE_MM) & (
        np.maximum(off0, off1) >= height - ON_LINE_MM)
    t = (height - off0[meets]) / (off1[meets] - off0[meets])
    cross = along0[meets] + np.clip(t, 0.0, 1.0) * (along1[meets] - along0[meets])
    low, high = along[own].min(), along[own].max()
    cross = cross[(cross >= low - ON_LINE_MM) & (cross <= high + ON_LINE_MM)]
    left, right = np.sort(cross[cross < 0.0])[::-1], np.sort(cross[cross > 0.0])
    left = _apart(left if len(left) else np.array([low]))
    right = _apart(right if len(right) else np.array([high]))
    pairs = [(p, q) for p in left[:ENDS_TRIED] for q in right[:ENDS_TRIED]
             if q - p >= SHORTEST_MM and abs(p + q) / 2.0 <= OFF_MIDDLE_SHARE * (q - p) + OFF_MIDDLE_MM]
    return min(pairs, key=lambda e: e[1] - e[0], default=None)


def _apart(values: Floats) -> list[float]:
    """Values in order without those that repeat their neighbour."""
    kept: list[float] = []
    for v in values.tolist():
        if not kept or abs(v - kept[-1]) > ON_LINE_MM:
            kept.append(v)
    return kept
