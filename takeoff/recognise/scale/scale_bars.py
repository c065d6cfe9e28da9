"""Scale bars: figures in a row over a line, as far apart as they say.

A print that was fitted to its page keeps its written scale, but its bar shrinks with it (common
practice of drawing, no source)."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from typing import NamedTuple

import numpy as np

from takeoff.drawing.model import Drawing, Floats, Label
from takeoff.language import number, tr
from takeoff.recognise.units.unit_evidence import Evidence
from takeoff.units.lengths import UNIT_MM
from takeoff.units.printing import shown_short

SCORE = 6.0
FEWEST = 3
MOST_MARKS, MOST_BARS = 1000, 20
EVEN_SHARE = 0.03
"""Of the bar's length: figures stand this near to their marks."""
LEVEL_SHARE = 0.6
BESIDE_HEIGHTS = 4.0
COVER = 0.8
"""Of the bar's length there are lines along the figures."""
SHORTEST_MM = 8.0
SAME_RATIO = 0.02
_FIGURE = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|ft|feet|metres?|meters?|')?\s*\.?$", re.I)
_UNIT = re.compile(r"^\s*(mm|cm|m|ft|feet|metres?|meters?|in metern)\s*\.?$", re.I)
_WORDS = {"metre": "m", "metres": "m", "meter": "m", "meters": "m", "in metern": "m", "feet": "ft", "'": "ft"}


class Bar(NamedTuple):
    """A bar: one to ``ratio``; it shows ``value`` ``unit``."""

    ratio: float
    value: float
    unit: str


class _Mark(NamedTuple):
    value: float
    unit: str
    label: Label


def bars_on_paper(drawing: Drawing) -> tuple[Bar, ...]:
    """The scale bars of a sheet in mm on paper: rows of three or more figures from 0 on."""
    marks = [m for label in drawing.labels if (m := _mark(label)) is not None][:MOST_MARKS]
    found = []
    for zero in [m for m in marks if m.value == 0.0][:MOST_BARS]:
        bar = _bar(zero, marks, drawing)
        if bar is not None:
            found.append(bar)
    return tuple(found)


def _mark(label: Label) -> _Mark | None:
    match = _FIGURE.match(label.text)
    if match is None or label.height <= 0.0:
        return None
    unit = (match[2] or "").lower()
    return _Mark(float(match[1].replace(",", ".")), _WORDS.get(unit, unit), label)


def _bar(zero: _Mark, marks: list[_Mark], drawing: Drawing) -> Bar | None:
    """The longest run of figures that lie along the zero's baseline in proportion to their values."""
    angle = math.radians(zero.label.rotation_deg)
    u, n = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    row = []
    for m in marks:
        d = np.array([m.label.x - zero.label.x, m.label.y - zero.label.y])
        if m.value > 0.0 and abs(float(d @ n)) <= LEVEL_SHARE * zero.label.height and float(d @ u) > 0.0:
            row.append((m, float(d @ u)))
    best: list[tuple[_Mark, float]] = []
    for own, along in row:
        step = along / own.value
        pace = [(m, at) for m, at in row if abs(at - step * m.value) <= EVEN_SHARE * max(at, along)]
        best = max(best, pace, key=len)
    if len(best) < FEWEST - 1 or len({m.value for m, _ in best}) < FEWEST - 1:
        return None
    far, length = max(best, key=lambda pair: pair[1])
    unit = next((m.unit for m, _ in best if m.unit), "") or zero.unit or _unit_beside(far.label, drawing)
    ends = _drawn(zero.label, u, n, length, drawing)
    if length < SHORTEST_MM or not unit or ends is None:
        return None
    marks_at = [_nearest_end(at, ends, m.label) for m, at in ((zero, 0.0), (far, length))]
    if marks_at[0] is not None and marks_at[1] is not None:
        pace_mm = (marks_at[1] - marks_at[0]) / far.value
    else:
        pace_mm = float(np.median([at / m.value for m, at in best]))
    return Bar(UNIT_MM[unit] / pace_mm, far.value, unit)


def _nearest_end(at: float, ends: Floats, label: Label) -> float | None:
    """Where the line nearest to a figure's middle ends: the mark that the figure stands at, its unit beside it; None
    where none does within the figure's width."""
    best = float(ends[np.abs(ends - at).argmin()])
    return best if abs(best - at) <= label.height * max(1.0, 0.5 * len(label.text)) else None


def _unit_beside(last: Label, drawing: Drawing) -> str:
    """A unit written alone after the last figure."""
    for label in drawing.labels:
        match = _UNIT.match(label.text)
        if match is not None and math.hypot(label.x - last.x, label.y - last.y) <= 8.0 * last.height:
            unit = match[1].lower()
            return _WORDS.get(unit, unit)
    return ""


def _drawn(zero: Label, u: Floats, n: Floats, length: float, drawing: Drawing) -> Floats | None:
    """Where lines end that run along the figures, over or under them, if they do for most of the bar, else None."""
    s = drawing.lines.segments
    if not len(s):
        return None
    start = np.array([zero.x, zero.y])
    along = np.stack([(s[:, :2] - start) @ u, (s[:, 2:] - start) @ u], axis=1)
    over = np.stack([(s[:, :2] - start) @ n, (s[:, 2:] - start) @ n], axis=1)
    near = np.abs(over).max(axis=1) <= BESIDE_HEIGHTS * zero.height
    near &= np.abs(over[:, 1] - over[:, 0]) <= 0.1
    low = np.clip(along.min(axis=1), 0.0, length)[near]
    high = np.clip(along.max(axis=1), 0.0, length)[near]
    reached, covered = 0.0, 0.0
    for a, b in sorted(zip(low.tolist(), high.tolist(), strict=True)):
        covered += max(0.0, b - max(a, reached))
        reached = max(reached, b)
    return np.asarray(along[near].reshape(-1)) if covered >= COVER * length else None


def bar_evidence(bars: tuple[Bar, ...], candidates: dict[str, float]) -> Evidence | None:
    """What the bars say for each scale. Several that differ (a sheet of several scales) share it."""
    if not bars:
        return None
    ratios = sorted({round(b.ratio, 3) for b in bars})
    share = 1.0 / math.sqrt(sum(1 for k, r in enumerate(ratios) if k == 0 or r / ratios[k - 1] - 1.0 > SAME_RATIO))
    scores = {}
    for name, ratio in candidates.items():
        off = min(abs(b.ratio / ratio - 1.0) for b in bars)
        scores[name] = SCORE * share if off <= SAME_RATIO else 0.0

    def tells(ratio: float) -> str:
        bar = min(bars, key=lambda b: abs(b.ratio / ratio - 1.0))
        long = bar.value * ratio / bar.ratio
        told = number(Decimal(f"{long:.3g}"))
        return tr(
            "the scale bar of {said} {unit} is then {long} {unit} long",
            said=shown_short(bar.value),
            unit=bar.unit,
            long=told,
        )

    return Evidence("scale bar", scores, tells, True)
