"""Dashes that a driver wrote one by one: a broken line, an axis or what lies above, drawn as many short lines."""

from __future__ import annotations

import numpy as np

from takeoff.drawing.model import Floats
from takeoff.readers.pdf.beziers import Bools, Ints

GAP_MM = (0.15, 6.0)
"""On paper: the gaps of broken lines (ISO 128 has three widths of the pen and more)."""
IN_LINE_MM = 0.05
SAME_MM, SAME_SHARE = 0.1, 0.05
"""Gaps of one line are alike within these, and so are dashes but the first and the last."""
FEWEST = 6
GAP_SHARE = 0.15
"""A gap is this part of the longest dash, or more: the panes of a glazed front stand closer."""
LENGTHS = 2
"""Dashes and dots: so many lengths in one line."""


def dashes(xyxy: Floats, path: Ints, pen: Ints) -> Bools:
    """Which subpaths (count,) are dashes of one line: straight ones by themselves, drawn one after the other with one
    pen, in line and with one gap between them. ``xyxy`` (n, 4) mm on paper, ``path`` (n,) the subpath of each, ``pen``
    (count,)."""
    found = np.zeros(len(pen), bool)
    rows = np.flatnonzero(np.bincount(path, minlength=len(pen))[path] == 1) if len(path) else path
    if len(rows) < FEWEST:
        return found
    s, of = xyxy[rows], path[rows]
    length = np.hypot(*(s[:, 2:] - s[:, :2]).T)
    gap = np.hypot(*(s[1:, :2] - s[:-1, 2:]).T)
    whole = s[1:, 2:] - s[:-1, :2]
    far = np.hypot(whole[:, 0], whole[:, 1])
    d = s[:-1, 2:] - s[:-1, :2]
    off = np.abs(whole[:, 0] * d[:, 1] - whole[:, 1] * d[:, 0]) / np.maximum(far, 1e-9)
    on = (gap >= GAP_MM[0]) & (gap <= GAP_MM[1]) & (off <= IN_LINE_MM) & (pen[of[1:]] == pen[of[:-1]])
    on &= np.abs(far - gap - length[1:] - length[:-1]) <= IN_LINE_MM
    # a run ends where the next gap is another
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(np.int8), [0]))))
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if last - first + 1 >= FEWEST and _regular(gap[first:last], length[first : last + 1]):
            found[of[first : last + 1]] = True
    return found


def _regular(gap: Floats, length: Floats) -> bool:
    """Whether gaps are one, and dashes of few lengths, as a pattern has them."""
    if np.ptp(gap) > SAME_MM + SAME_SHARE * float(gap.mean()) or gap.mean() < GAP_SHARE * length.max():
        return False
    inner = np.sort(length[1:-1])
    return bool((np.diff(inner) > SAME_MM + SAME_SHARE * inner[1:]).sum() < LENGTHS)
