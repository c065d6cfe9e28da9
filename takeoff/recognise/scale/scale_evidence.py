"""What a sheet shows of its scale, piece by piece, each with a score for every scale.

Scores are rough log-odds as for units: 1 is a hint, 3 is good evidence, 6 all but proof. The
sizes (doors, walls, whole plans) are common practice, no source."""

from __future__ import annotations

import math
from collections import Counter
from statistics import median
from typing import NamedTuple

import msgspec
import numpy as np

from takeoff.drawing.model import Dimension, Drawing, Label
from takeoff.language import mark, percent, quoted, tr
from takeoff.recognise.scale.paper_figures import Figure, figures_on_paper
from takeoff.recognise.scale.scale_bars import SAME_RATIO as BAR_RATIO
from takeoff.recognise.scale.scale_bars import bar_evidence, bars_on_paper
from takeoff.recognise.scale.scale_words import (
    IMPERIAL,
    METRIC,
    WrittenScale,
    is_scale_word,
    name_of,
    not_to_scale,
    scales_in,
)
from takeoff.recognise.units.unit_evidence import Evidence
from takeoff.recognise.units.unit_evidence import gather as gather_sizes
from takeoff.recognise.units.written_dimensions import WRITING_UNITS, readings
from takeoff.units.lengths import UNIT_MM
from takeoff.units.printing import printed, whole

PAPER_MM = {"A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297)}
"""Trimmed sizes of ISO 216."""
PAPER_SHARE = 0.03
WORD_BESIDE_MM = 15.0
"""On paper: a box of a title block says "Scale", the number stands below it."""
NAMED_SCORE, BARE_SCORE = 6.0, 4.0
DOOR_USUAL_MM = 800.0
DOOR_SPREAD = 1.25
USUAL = {50: 0.6, 100: 0.6, 20: 0.3, 200: 0.3, 48: 0.3, 96: 0.3}
LEFT_OUT = ("letters", "declared", "system")
"""Evidence for units that says nothing of a scale: letters are made for the paper."""
SAME_RATIO = 0.005
FIGURES_FOR_RATIO, NAMED_FOR_RATIO = 5, 2
FEW_FOR_RATIO, CLOSE, DIGITS, LONGER = 3, 0.002, 3, 1.5
"""Fewer bare figures than the first above are enough where all agree so closely, each has so many digits and the
longest is so much longer than the shortest: chance does not do that."""
THICKNESS_MM = 500.0
"""What a figure of a wall, a frame or a lining says less than."""
ROUND_MM = 10.0
ROUND_WITHIN_MM = 0.4
MOST_LENGTHS = 4000
FEWEST_LENGTHS = 8
MOST_WORDS = 200
LONG_ENOUGH = 0.02
"""Of the drawing's size: shorter lines are letters and symbols."""


class OnSheet(NamedTuple):
    """A written scale, its place, and by how much the page is larger than the paper it names."""

    scale: WrittenScale
    label: Label
    enlarged: float = 1.0

    @property
    def ratio(self) -> float:
        """The scale that holds on this page."""
        return self.scale.ratio / self.enlarged


class Sheet(NamedTuple):
    """All that was found for the scale: candidates by name, evidence, what was written, the
    figures at dimension lines (mm on paper), and remarks on the paper."""

    candidates: dict[str, float]
    evidence: list[Evidence]
    written: tuple[OnSheet, ...]
    found: tuple[Figure, ...]
    remarks: tuple[str, ...]

    @property
    def figures(self) -> tuple[Dimension, ...]:
        """The figures as dimensions."""
        return tuple(f.dimension for f in self.found)


def gather(drawing: Drawing) -> Sheet:
    """Everything the sheet shows; scales that it writes or its figures agree on join the usual."""
    written, remarks = written_scales(drawing)
    found = _with_units(figures_on_paper(drawing))
    measured = ratio_of_figures(tuple(f.dimension for f in found))
    found = _without_thicknesses(found, measured)
    figures = tuple(f.dimension for f in found)
    bars = bars_on_paper(drawing)
    ratios = [float(r) for r in (*METRIC, *IMPERIAL)]
    for ratio in (*(w.ratio for w in written), *([measured] if measured else [])):
        if all(abs(ratio / r - 1.0) > SAME_RATIO for r in ratios):
            ratios.append(ratio)
    # Figures stand less exactly at a bar's marks than at the ends of dimensions.
    ratios += [b.ratio for b in bars if all(abs(b.ratio / r - 1.0) > BAR_RATIO for r in ratios)]
    candidates = {name_of(r): r for r in ratios}
    with_figures = msgspec.structs.replace(drawing, dimensions=figures)
    sizes = [e for e in gather_sizes(with_figures, candidates) if e.kind not in LEFT_OUT]
    own = (
        _written(written, candidates),
        bar_evidence(bars, candidates),
        _door_size(drawing, candidates),
        _round(drawing, candidates),
        _usual(drawing, candidates),
    )
    evidence = [*(e for e in own[:2] if e), *sizes, *(e for e in own[2:] if e)]
    return Sheet(candidates, evidence, written, found, remarks)


def _with_units(found: tuple[Figure, ...]) -> tuple[Figure, ...]:
    """The figures; where those that name their unit agree on a scale and the others do not, these are numbers of steps,
    doors and levels, and left out."""
    named = tuple(f for f in found if readings(f.dimension.text)[0].unit)
    bare = tuple(f.dimension for f in found if not readings(f.dimension.text)[0].unit)
    agree = ratio_of_figures(tuple(f.dimension for f in named)) is not None
    return named if agree and ratio_of_figures(bare) is None else found


def _without_thicknesses(found: tuple[Figure, ...], ratio: float | None) -> tuple[Figure, ...]:
    """The figures, where most agree on a ratio without those of thicknesses that do not: figures of walls stand beside
    their ends, so that another line is nearest."""
    if ratio is None:
        return found
    unit = _unit_at(tuple(f.dimension for f in found), ratio)
    return tuple(f for f in found if _fits_at(f.dimension, ratio, unit) or _said_mm(f.dimension, unit) >= THICKNESS_MM)


def _unit_at(figures: tuple[Dimension, ...], ratio: float) -> float:
    """The unit in mm in which most bare numbers say their length at a ratio; the first of all where none does."""
    units = [UNIT_MM[u] for u in WRITING_UNITS[:3]]
    return max(units, key=lambda u: sum(_fits_at(d, ratio, u) for d in figures))


def _said_mm(d: Dimension, unit_mm: float) -> float:
    reading = readings(d.text)[0]
    return reading.number * (1.0 if reading.unit else unit_mm)


def _fits_at(d: Dimension, ratio: float, unit_mm: float) -> bool:
    said = _said_mm(d, unit_mm)
    return said > 0.0 and abs(math.log(said / (d.length * ratio))) <= SAME_RATIO


def paper_size(drawing: Drawing) -> tuple[float, float] | None:
    """Short and long side of the sheet in mm, from the reader's claim; None without one."""
    for claim in drawing.claims:
        if claim.kind == "sheet":
            values = dict(claim.values)
            a, b = values.get("width_mm", 0.0), values.get("height_mm", 0.0)
            return (min(a, b), max(a, b)) if min(a, b) > 0.0 else None
    return None


def written_scales(drawing: Drawing) -> tuple[tuple[OnSheet, ...], tuple[str, ...]]:
    """The scales that the sheet's text says, set right for the page's size, and remarks on it.

    Of several for several papers only those for this page's paper are kept.
    """
    words = [v for v in drawing.labels if is_scale_word(v.text)][:MOST_WORDS]
    found = []
    for label in drawing.labels:
        for scale in scales_in(label.text):
            if not scale.named and _beside(label, words):
                scale = scale._replace(named=True)
            found.append(OnSheet(scale, label))
    page = paper_size(drawing)
    if page is None:
        return tuple(found), ()
    right = [w for w in found if w.scale.paper and _fits(page, w.scale.paper)]
    if right:
        return tuple(w for w in found if not w.scale.paper or w in right), ()
    return _set_right(found, page)


def _set_right(found: list[OnSheet], page: tuple[float, float]) -> tuple[tuple[OnSheet, ...], tuple[str, ...]]:
    """Scales for a paper that this page is not: enlarged or reduced with it where its shape fits."""
    made, remarks = [], []
    size = f"{whole(page[0])} × {whole(page[1])}"
    for w in found:
        enlarged = enlargement(page, w.scale.paper) if w.scale.paper else 1.0
        if enlarged is None:
            remarks.append(
                tr(
                    "“{words}” speaks of {paper}, but the page is {size} mm",
                    words=w.scale.words,
                    paper=w.scale.paper,
                    size=size,
                )
            )
        elif enlarged != 1.0:
            larger = mark("“{words}” speaks of {paper}, but the page is {size} mm: printed larger, it is {scale}")
            smaller = mark("“{words}” speaks of {paper}, but the page is {size} mm: printed smaller, it is {scale}")
            remarks.append(
                tr(
                    larger if enlarged > 1.0 else smaller,
                    words=w.scale.words,
                    paper=w.scale.paper,
                    size=size,
                    scale=name_of(w.scale.ratio / enlarged),
                )
            )
        made.append(w._replace(enlarged=enlarged or 1.0))
    return tuple(made), tuple(dict.fromkeys(remarks))


def _fits(page: tuple[float, float], paper: str) -> bool:
    return all(abs(a / b - 1.0) <= PAPER_SHARE for a, b in zip(page, PAPER_MM[paper], strict=True))


def enlargement(page: tuple[float, float], paper: str) -> float | None:
    """How many times larger than the named paper a page of the same shape is: exactly a power of
    the root of two where it is another of the series. None where the shape is another."""
    if _fits(page, paper):
        return 1.0
    other = next((p for p in PAPER_MM if _fits(page, p)), None)
    if other is not None:
        return math.sqrt(2.0) ** (int(paper[1]) - int(other[1]))
    by = [a / b for a, b in zip(page, PAPER_MM[paper], strict=True)]
    return sum(by) / 2.0 if abs(by[0] / by[1] - 1.0) <= PAPER_SHARE else None


def _beside(label: Label, words: list[Label]) -> bool:
    return any(math.hypot(label.x - w.x, label.y - w.y) <= WORD_BESIDE_MM + len(w.text) * w.height for w in words)


def _nearest(candidates: dict[str, float], ratio: float) -> str:
    return min(candidates, key=lambda c: abs(math.log(candidates[c] / ratio)))


def _written(written: tuple[OnSheet, ...], candidates: dict[str, float]) -> Evidence | None:
    """The title block's word. Several scales share its weight: details have their own."""
    if not written:
        return None
    best: dict[str, float] = {}
    for w in written:
        name = _nearest(candidates, w.ratio)
        best[name] = max(best.get(name, 0.0), NAMED_SCORE if w.scale.named else BARE_SCORE)
    share = 1.0 / math.sqrt(len(best))
    words = {_nearest(candidates, w.ratio): w.scale.words for w in written}

    def tells(ratio: float) -> str:
        name = _nearest(candidates, ratio)
        others = [v for k, v in words.items() if k != name]
        also = ", ".join(quoted(v) for v in others[:4])
        if name not in words:
            return tr("the sheet says {scales}", scales=also)
        if others:
            return tr("the sheet says “{scale}”, and also {others}", scale=words[name], others=also)
        return tr("the sheet says “{scale}”", scale=words[name])

    return Evidence("written scale", {c: best.get(c, 0.0) * share for c in candidates}, tells, True)


def ratio_of_figures(figures: tuple[Dimension, ...]) -> float | None:
    """The one ratio that most figures agree on within half a percent, in their likeliest unit;
    None where fewer than five, of figures that all name their unit fewer than two, or under half of them, do (three
    are enough that agree closely: ``_few_agree``); figures of thicknesses that do not agree are not counted."""
    named = all(readings(d.text)[0].unit for d in figures)
    figures = tuple(d for d in figures if readings(d.text)[0].number > 0.0)
    logs: list[tuple[float, int]] = []
    for i, d in enumerate(figures):
        reading = readings(d.text)[0]
        units = (1.0,) if reading.unit else tuple(UNIT_MM[u] for u in WRITING_UNITS[:3])
        logs += [(math.log(reading.number * u / d.length), i) for u in units if reading.number > 0.0]
    best: tuple[int, float, float] = (0, 0.0, 0.0)
    for middle, _ in logs:
        near = [(v, i) for v, i in logs if abs(v - middle) <= SAME_RATIO]
        real = median(math.exp(v) * figures[i].length for v, i in near)
        # Of ratios ten apart the one whose lengths are a building's: about 2.5 m.
        rank = (len({i for _, i in near}), -abs(math.log(real / 2500.0)), median(v for v, _ in near))
        best = max(best, rank)
    ratio = math.exp(best[2])
    if best[0] < (NAMED_FOR_RATIO if named else FIGURES_FOR_RATIO) and not _few_agree(figures, ratio):
        return None
    unit = _unit_at(figures, ratio)
    telling = sum(_fits_at(d, ratio, unit) or _said_mm(d, unit) >= THICKNESS_MM for d in figures)
    return ratio if 2 * best[0] >= telling else None


def _few_agree(figures: tuple[Dimension, ...], ratio: float) -> bool:
    """Whether three figures or more, all of them but thicknesses, are as exact as numbers of several digits can be."""
    unit = _unit_at(figures, ratio)
    told = [d for d in figures if _said_mm(d, unit) >= THICKNESS_MM]
    if len(told) < FEW_FOR_RATIO or max(d.length for d in told) < LONGER * min(d.length for d in told):
        return False
    exact = all(abs(math.log(_said_mm(d, unit) / (d.length * ratio))) <= CLOSE for d in told)
    return exact and all(sum(c.isdigit() for c in d.text) >= DIGITS for d in told)


def _door_size(drawing: Drawing, candidates: dict[str, float]) -> Evidence | None:
    """Doors are most often some 800 mm wide: tells scales apart that all give possible doors."""
    radii = quarter_radii(drawing)
    if not radii:
        return None
    middle = Counter(round(math.log(r), 1) for r in radii).most_common(1)[0][0]
    usual = median(r for r in radii if abs(math.log(r) - middle) <= 0.1)
    scores = {
        c: max(0.0, 1.5 - (math.log(usual * r / DOOR_USUAL_MM) / math.log(DOOR_SPREAD)) ** 2)
        for c, r in candidates.items()
    }
    return Evidence(
        "door size", scores, lambda r: tr("most quarter circles then have {radius} mm radius", radius=whole(usual * r))
    )


def quarter_radii(drawing: Drawing) -> list[float]:
    """Radii of all quarter circles, as door swings are drawn; an empty list without any."""
    arcs = drawing.lines.arcs
    bulge = np.abs(arcs[:, 4])
    sweep = np.degrees(4.0 * np.arctan(bulge))
    q, b = arcs[(sweep > 80.0) & (sweep < 100.0)], bulge[(sweep > 80.0) & (sweep < 100.0)]
    chord = np.hypot(q[:, 2] - q[:, 0], q[:, 3] - q[:, 1])
    return [float(v) for v in chord * (1.0 + b * b) / (4.0 * b)]


def _round(drawing: Drawing, candidates: dict[str, float]) -> Evidence | None:
    """At the true scale many lengths are whole centimetres; at a wrong one few are."""
    s = drawing.lines.segments
    length = np.hypot(s[:, 2] - s[:, 0], s[:, 3] - s[:, 1])
    if not len(length):
        return None
    length = np.unique(np.round(np.sort(length)[-MOST_LENGTHS:], 4))
    length = length[length > LONG_ENOUGH * length[-1]]
    if len(length) < FEWEST_LENGTHS:
        return None
    chance = 2.0 * ROUND_WITHIN_MM / ROUND_MM
    share = {}
    for c, ratio in candidates.items():
        away = np.abs(np.remainder(length * ratio + ROUND_MM / 2.0, ROUND_MM) - ROUND_MM / 2.0)
        share[c] = float((away <= ROUND_WITHIN_MM).mean())
    scores = {c: 4.0 * max(0.0, (v - chance - 0.1) / (1.0 - chance)) for c, v in share.items()}
    if not any(scores.values()):
        return None
    return Evidence(
        "whole centimetres",
        scores,
        lambda r: tr(
            "{share} of the lengths are whole centimetres",
            share=percent(printed(share[_nearest(candidates, r)] * 100.0, 0)),
        ),
    )


_USUAL = (mark("{scale} is no usual scale of a floor plan"), mark("{scale} is a usual scale of a floor plan"))


def _usual(drawing: Drawing, candidates: dict[str, float]) -> Evidence:
    """Plans are mostly 1:50 or 1:100; sheets of the A series are metric."""
    page = paper_size(drawing)
    series = page is not None and any(_fits(page, p) for p in PAPER_MM)
    scores = {c: USUAL.get(round(r), 0.0) if abs(r - round(r)) < 1e-6 else 0.0 for c, r in candidates.items()}
    if series:
        scores = {c: v + (0.5 if candidates[c] in METRIC else 0.0) for c, v in scores.items()}
    return Evidence("usual", scores, lambda r: tr(_USUAL[round(r) in USUAL], scale=name_of(r)))


def nothing_to_scale(drawing: Drawing) -> bool:
    """Does the sheet say somewhere that it is not to scale?"""
    return any(not_to_scale(v.text) for v in drawing.labels)
