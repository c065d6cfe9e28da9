"""Figures beside dimension lines on a sheet that knows no dimensions, only lines and text.

A dimension's figure stands in the middle over (or in a gap of) a line along it, and what crosses
that line nearest on both sides are its ends: common practice of drawing, no source."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Dimension, Drawing, Floats, Label, Layer, Linework
from takeoff.recognise.units.written_dimensions import readings

Bools = NDArray[np.bool_]

MOST_FIGURES = 400
LONGEST_FIGURE = 16
"""Characters: longer text is a note that has a number in it."""
PARALLEL = math.sin(math.radians(2.0))
GAP_HEIGHTS, IN_GAP_HEIGHTS = 0.7, 0.25
"""The middle of an upright figure lies as near as the first to its line's gap; what stands as near as the second to a
line stands in its gap, whatever else is beside it."""
BLANK_HEIGHTS = 0.75
"""A line with a gap for its figure ends so far from the figure, besides the figure's own half width."""
BESIDE_HEIGHTS = 2.4
"""A figure's middle lies within so many of its heights of its line."""
ON_LINE_MM = 0.15
"""On paper: lines this close in line are one, crossings this close to a line touch it."""
SHORT_MM = 1.2
"""On paper: a short line square across is the back of an arrow, no end of a dimension."""
_STARTS = re.compile(r"[\s(±~]*[.,]?\d[^A-Za-z]*[A-Za-z]{0,4}[^A-Za-z]*$")
"""A number, perhaps with a unit; D1 and ST-01 are marks."""
TICK_MM, TICK_HEIGHTS = 5.0, 2.5
OVERSHOOT_MM = 4.0
"""On paper: slashes and arrows are shorter, or than so many heights of their figure; lines to the object end this soon
beyond."""
FREE_MM = 0.05
REACH_MM = 500.0
"""On paper: half of the longest dimension."""
SQUARE_COS = 0.3
SHORTEST_MM = 1.0
OFF_MIDDLE_SHARE = 0.06
OFF_MIDDLE_MM = 0.8
ENDS_TRIED = 4
HEAD = -1
"""In place of the row of a line: the head of an arrow."""
HEAD_SLENDER, LONGEST_HEAD_MM, LEGS_ALIKE = 0.8, 12.0, 1.1
"""A head is so many times as deep as its back is wide, or more, no deeper on paper than this, and its sides are as
long as each other but for so much."""
LONG_MM, MARK_MM, MARK_STEP_MM = 4.0, 2.0, 0.02
"""On paper: figures of such lengths and more tell how deep marks at both ends together are, to the second, in steps."""
FEWEST_MARKED, MARKED_PART, MUCH_MORE, SAME_LOG = 8, 0.5, 1.6, 0.004
"""So many figures, this part of all and so many times as many as without, agree on one ratio within the last."""
LAYER = "dimension lines and figures"
"""Where recognised dimensions go, so that they are not taken for walls and room numbers."""


class Figure(NamedTuple):
    """A figure at its line: the dimension in the drawing's unit, the row of its label, and the rows
    of the lines that draw it."""

    dimension: Dimension
    label: int
    lines: tuple[int, ...]


class _Seen(NamedTuple):
    """All lines as a figure sees them: along and over its baseline, from its middle."""

    along: Floats
    over: Floats
    flat: Bools
    lying: Floats
    length: Floats


def figures_on_paper(drawing: Drawing) -> tuple[Figure, ...]:
    """The figures that stand at a dimension line, with the length between its ends, in the unit of
    the drawing (mm on paper). Figures without a line are left out."""
    labels = [i for i, v in enumerate(drawing.labels) if _is_figure(v)][:MOST_FIGURES]
    rows = np.flatnonzero(_drawn(drawing))
    if not labels or not len(rows):
        return ()
    heads = _heads(drawing)
    lines = np.concatenate((drawing.lines.segments[rows], heads))
    rows = np.concatenate((rows, np.full(len(heads), HEAD)))
    boxes = np.concatenate((np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])), axis=1)
    found = []
    for i in labels:
        near = _around(drawing.labels[i], boxes)
        if len(near):
            own = lines[near], rows[near]
            figure = _figure(drawing, i, *own)
            if figure is None and readings(drawing.labels[i].text)[0].unit:
                figure = _figure(drawing, i, *own, across=True)
            found += [figure] if figure is not None else []
    return _to_marks_middles(found)


def _to_marks_middles(found: list[Figure]) -> tuple[Figure, ...]:
    """The figures, each longer by as much on paper where most agree on one ratio only so: dots, rings and open arrows
    at a line's ends are crossed before their middle, by the same length everywhere."""
    read = [readings(f.dimension.text)[0] for f in found]
    said = np.array([r.number for r in read])
    length = np.array([f.dimension.length for f in found])
    own = (said > 0.0) & (length > LONG_MM) & np.array([not r.unit for r in read], bool)
    if own.sum() < FEWEST_MARKED:
        return tuple(found)
    said, length = said[own], length[own]
    counts = []
    for step in range(int(MARK_MM / MARK_STEP_MM) + 1):
        logs = np.sort(np.log(said / (length + step * MARK_STEP_MM)))
        counts.append(int((np.searchsorted(logs, logs + SAME_LOG, "right") - np.arange(len(logs))).max()))
    best = int(np.median(np.flatnonzero(np.array(counts) == max(counts))))
    if counts[best] < max(FEWEST_MARKED, MARKED_PART * own.sum(), MUCH_MORE * counts[0]):
        return tuple(found)
    return tuple(_longer(f, best * MARK_STEP_MM) for f in found)


def _longer(figure: Figure, by_mm: float) -> Figure:
    d = figure.dimension
    k = by_mm / 2.0 / d.length
    x, y = (d.x1 - d.x0) * k, (d.y1 - d.y0) * k
    longer = msgspec.structs.replace(d, x0=d.x0 - x, y0=d.y0 - y, x1=d.x1 + x, y1=d.y1 + y, length=d.length + by_mm)
    return figure._replace(dimension=longer)


def _around(label: Label, boxes: Floats) -> NDArray[np.intp]:
    """The rows of lines near enough along and beside a figure to be its dimension; few, so that the
    rest is quick however large the drawing."""
    angle = math.radians(label.rotation_deg)
    c, s = abs(math.cos(angle)), abs(math.sin(angle))
    beside = BESIDE_HEIGHTS * label.height + OVERSHOOT_MM
    x, y = c * REACH_MM + s * beside, s * REACH_MM + c * beside

    def within(x: float, y: float) -> Bools:
        return np.asarray(
            (boxes[:, 0] <= label.x + x)
            & (boxes[:, 2] >= label.x - x)
            & (boxes[:, 1] <= label.y + y)
            & (boxes[:, 3] >= label.y - y)
        )

    return np.flatnonzero(within(x, y) | within(y, x))


def _drawn(drawing: Drawing) -> Bools:
    """Which segments are lines and not the edges of filled shapes, and have a length."""
    s = drawing.lines.segments
    there = (s[:, :2] != s[:, 2:]).any(axis=1)
    if not len(drawing.sources):
        return np.asarray(there)
    solid = np.array([source.role == "solid" for source in drawing.sources])
    return np.asarray(there & ~solid[drawing.lines.segment_source])


def _heads(drawing: Drawing) -> Floats:
    """Filled heads of arrows as lines (n, 4) from the middle of their back to their tip: a dimension line ends at the
    back, the length that it gives at the tip."""
    found = []
    for loop in drawing.loops:
        if loop.role != "solid" or len(loop.vertices) != 3:
            continue
        corners = np.array(loop.vertices)[:, :2]
        sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
        back = int(sides.argmin())
        a, b, tip = corners[back], corners[(back + 1) % 3], corners[(back + 2) % 3]
        middle = (a + b) / 2.0
        deep = float(np.hypot(*(tip - middle)))
        legs = sides[[(back + 1) % 3, (back + 2) % 3]]
        if (
            deep > 0.0
            and HEAD_SLENDER * sides[back] <= deep <= LONGEST_HEAD_MM
            and legs.max() <= LEGS_ALIKE * legs.min()
        ):
            found.append((*middle, *tip))
    return np.array(found).reshape(-1, 4)


def _is_figure(label: Label) -> bool:
    if len(label.text) > LONGEST_FIGURE or label.height <= 0.0 or "²" in label.text or ":" in label.text:
        return False
    return _STARTS.match(label.text) is not None and bool(readings(label.text))


def _figure(drawing: Drawing, i: int, lines: Floats, rows: NDArray[np.intp], across: bool = False) -> Figure | None:
    """The figure at its line; ``across``: in a gap of one that runs square to it, as where all stand upright."""
    label = drawing.labels[i]
    angle = math.radians(label.rotation_deg + 90.0 * across)
    u, n = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    middle = np.array([label.x, label.y])
    seen = _seen(lines - np.tile(middle, 2), u, n)
    wide = label.height * (BLANK_HEIGHTS + 0.5 * len(label.text))
    low, high = seen.along.min(axis=1), seen.along.max(axis=1)
    near = seen.flat & (np.abs(seen.over).max(axis=1) <= BESIDE_HEIGHTS * label.height)
    near &= (low <= wide) & (high >= -wide) & (seen.length > SHORTEST_MM) & (rows != HEAD)
    # A line that slants more than lines in line may differ has no one height over the figure.
    near &= np.abs(seen.over[:, 1] - seen.over[:, 0]) <= ON_LINE_MM
    if across:
        near &= (np.abs(seen.over).max(axis=1) <= GAP_HEIGHTS * label.height) & ((low > 0.0) | (high < 0.0))
    tick = max(TICK_MM, TICK_HEIGHTS * label.height)
    best: tuple[int, float, tuple[float, float]] | None = None
    for row in sorted(np.flatnonzero(near).tolist(), key=lambda k: abs(float(seen.over[k].sum())))[:3]:
        height = float(seen.over[row].mean())
        ends, slashed = _ends(height, seen, tick)
        if ends is not None and (best is None or slashed):
            best = (row, height, ends)
        if slashed or (ends is not None and abs(height) <= IN_GAP_HEIGHTS * label.height):
            break
    if best is None:
        return None
    row, height, ends = best
    p, q = middle + ends[0] * u + height * n, middle + ends[1] * u + height * n
    dimension = Dimension(
        float(p[0]), float(p[1]), float(q[0]), float(q[1]), ends[1] - ends[0], label.text, None, label.layer
    )
    same = (rows != HEAD) & (drawing.lines.segment_layer[rows] == drawing.lines.segment_layer[rows[row]])
    drawn = np.flatnonzero(_draws(height, ends, seen, lines, tick) & same)
    return Figure(dimension, i, tuple(rows[drawn].tolist()))


def _seen(lines: Floats, u: Floats, n: Floats) -> _Seen:
    along = np.stack((lines[:, :2] @ u, lines[:, 2:] @ u), axis=1)
    over = np.stack((lines[:, :2] @ n, lines[:, 2:] @ n), axis=1)
    da, do = along[:, 1] - along[:, 0], over[:, 1] - over[:, 0]
    length = np.hypot(da, do)
    with np.errstate(invalid="ignore"):  # a line without length runs no way at all
        return _Seen(along, over, np.abs(do) < PARALLEL * length, np.abs(da) / length, length)


def _own(height: float, seen: _Seen) -> Bools:
    """The lines in line with the one at ``height``."""
    return np.asarray(seen.flat & (np.abs(seen.over - height).max(axis=1) <= ON_LINE_MM))


def _crossings(height: float, seen: _Seen) -> tuple[Bools, Floats]:
    """(which lines cross or touch the line at ``height``, where along it)"""
    meets = ~seen.flat & (seen.over.min(axis=1) <= height + ON_LINE_MM)
    meets &= seen.over.max(axis=1) >= height - ON_LINE_MM
    step = np.where(meets, seen.over[:, 1] - seen.over[:, 0], 1.0)
    t = np.clip((height - seen.over[:, 0]) / step, 0.0, 1.0)
    return meets, seen.along[:, 0] + t * (seen.along[:, 1] - seen.along[:, 0])


def _ends(height: float, seen: _Seen, tick_mm: float) -> tuple[tuple[float, float] | None, bool]:
    """(where the line at ``height`` over the figure ends on both sides, seen from its middle; whether
    slashes mark both ends, which then wins over other lines beside the figure)"""
    own = _own(height, seen)
    meets, at = _crossings(height, seen)
    # An arrow's back is short and square across; a slash is short but slants.
    meets &= (seen.length > SHORT_MM) | (seen.lying > SQUARE_COS)
    low, high = float(seen.along[own].min()), float(seen.along[own].max())
    cross = at[meets & (at >= low - ON_LINE_MM) & (at <= high + ON_LINE_MM)]
    left, right = np.sort(cross[cross < 0.0])[::-1], np.sort(cross[cross > 0.0])
    lefts = _apart(left if len(left) else np.array([low]))
    rights = _apart(right if len(right) else np.array([high]))
    pairs = [
        (p, q)
        for p in lefts[:ENDS_TRIED]
        for q in rights[:ENDS_TRIED]
        if q - p >= SHORTEST_MM and abs(p + q) / 2.0 <= OFF_MIDDLE_SHARE * (q - p) + OFF_MIDDLE_MM
    ]
    slash = meets & (seen.length <= tick_mm) & (seen.lying > SQUARE_COS)
    slashed = at[slash & (at >= low - ON_LINE_MM) & (at <= high + ON_LINE_MM)]
    # Slashes say where it ends; what else crosses it is drawn under it.
    both = [(p, q) for p, q in pairs if _among(p, slashed) and _among(q, slashed)]
    return min(both or pairs, key=lambda e: e[1] - e[0], default=None), bool(both)


def _among(value: float, others: Floats) -> bool:
    return bool((np.abs(others - value) <= ON_LINE_MM).any())


def _apart(values: Floats) -> list[float]:
    """Values in order without those that repeat their neighbour."""
    kept: list[float] = []
    for v in values.tolist():
        if not kept or abs(v - kept[-1]) > ON_LINE_MM:
            kept.append(v)
    return kept


def _draws(height: float, ends: tuple[float, float], seen: _Seen, lines: Floats, tick_mm: float) -> Bools:
    """The dimension's own lines: along it, short marks at its ends, and the lines that lead from
    there to the object. These end soon beyond it, and nothing hangs on their ends: a wall's face
    that the figure is written against goes on or has a corner, and stays what it is."""
    low, high = seen.along.min(axis=1), seen.along.max(axis=1)
    between = (low <= ends[1] + OVERSHOOT_MM) & (high >= ends[0] - OVERSHOOT_MM)
    own = _own(height, seen) & between
    meets, at = _crossings(height, seen)
    at_end = meets & (np.abs(at[:, None] - np.array(ends)).min(axis=1) <= ON_LINE_MM)
    beyond = np.minimum(seen.over.max(axis=1) - height, height - seen.over.min(axis=1))
    leads = at_end & (beyond <= OVERSHOOT_MM) & (seen.lying < PARALLEL)
    free = np.zeros(len(lines), bool)
    for row in np.flatnonzero(leads):
        free[row] = _is_free(int(row), lines, own | at_end)
    marks = at_end & (seen.length <= tick_mm)
    return np.asarray(own | marks | free)


def _is_free(row: int, lines: Floats, but: Bools) -> bool:
    """Does no other line, ``but`` these, end where this one ends?"""
    for end in (lines[row, :2], lines[row, 2:]):
        for other in (lines[:, :2], lines[:, 2:]):
            near = np.abs(other - end).max(axis=1) <= FREE_MM
            if (near & ~but).any():
                return False
    return True


def on_own_layer(drawing: Drawing, figures: tuple[Figure, ...]) -> Drawing:
    """The drawing with its dimensions' lines and figures on a layer of their own."""
    if not figures:
        return drawing
    layer = len(drawing.layers)
    own = {f.label for f in figures}
    labels = tuple(msgspec.structs.replace(v, layer=layer) if i in own else v for i, v in enumerate(drawing.labels))
    lines = drawing.lines
    of = lines.segment_layer.copy()
    of[sorted({row for f in figures for row in f.lines})] = layer
    moved = Linework(lines.segments, of, lines.segment_source, lines.arcs, lines.arc_layer, lines.arc_source)
    return msgspec.structs.replace(drawing, layers=(*drawing.layers, Layer(LAYER)), lines=moved, labels=labels)
