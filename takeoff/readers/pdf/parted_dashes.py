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
SAME_RAD = 0.02
GAP_SHARE = 0.15
"""A gap is this part of the longest dash, or more: the panes of a glazed front stand closer."""
LENGTHS, DOT_SHARE = 2, 0.5
"""Dashes and dots: so many lengths in one line; a dot is no longer than this part of a dash."""


def dashes(xyxy: Floats, path: Ints, pen: Ints, dotted: bool = False) -> Bools:
    """Which subpaths (count,) are dashes of one line: straight ones by themselves, drawn one after the other with one
    pen, in line and with one gap between them. ``xyxy`` (n, 4) mm on paper, ``path`` (n,) the subpath of each, ``pen``
    (count,). ``dotted``: only those of lines that have dashes and dots."""
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
    for first, last in _runs(on, gap if dotted else None):
        if last - first + 1 >= FEWEST and _regular(gap[first:last], length[first : last + 1], dotted):
            found[of[first : last + 1]] = True
    return found


def _runs(on: Bools, gap: Floats | None) -> list[tuple[int, int]]:
    """(first, last) of the dashes that follow one another. ``gap``: a run that has one usual gap ends at others."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(np.int8), [0]))))
    runs = list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))
    if gap is None:
        return runs
    usual = on.copy()
    for first, last in runs:
        own = gap[first:last]
        usual[first:last] = np.abs(own - np.median(own)) <= SAME_MM
    return _runs(usual, None)


def broad_dashes(middle: Floats, wide_mm: Floats, pen: Ints) -> Bools:
    """Which filled strips (n,) are dashes and dots of one broad line, as that of a section is, in whatever order they
    were drawn. ``middle`` (n, 4): the line along the middle of each, ``wide_mm`` (n,) how wide it is across that,
    ``pen`` (n,) what it is filled with. Piers between windows are of one length."""
    d = middle[:, 2:] - middle[:, :2]
    turned = (d[:, 0] < -IN_LINE_MM) | ((np.abs(d[:, 0]) <= IN_LINE_MM) & (d[:, 1] < 0))
    middle = np.where(turned[:, None], np.roll(middle, 2, axis=1), middle)
    way = np.arctan2(middle[:, 3] - middle[:, 1], middle[:, 2] - middle[:, 0])
    unit = np.stack([np.cos(way), np.sin(way)], axis=1)
    aside = middle[:, 0] * unit[:, 1] - middle[:, 1] * unit[:, 0]
    kind = np.column_stack((pen, np.round(wide_mm / SAME_MM), np.round(way / SAME_RAD), np.round(aside / SAME_MM)))
    kind = np.unique(kind, axis=0, return_inverse=True)[1].reshape(-1)
    order = np.lexsort(((middle[:, :2] * unit).sum(axis=1), kind))
    found = np.zeros(len(pen), bool)
    found[order] = dashes(middle[order], np.arange(len(pen)), kind[order], dotted=True)
    return found


def _regular(gap: Floats, length: Floats, dotted: bool) -> bool:
    """Whether gaps are one, and dashes of few lengths, as a pattern has them."""
    inner = np.sort(length[1:-1])
    longest = inner[-1] if dotted else length.max()
    if np.ptp(gap) > SAME_MM + SAME_SHARE * float(gap.mean()) or gap.mean() < GAP_SHARE * longest:
        return False
    others = int((np.diff(inner) > SAME_MM + SAME_SHARE * inner[1:]).sum())
    return others < LENGTHS and (not dotted or (others == 1 and inner[0] <= DOT_SHARE * inner[-1]))
