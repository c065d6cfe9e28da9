"""The scale of a sheet is decided from everything it shows; the title block is one witness."""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from takeoff.drawing.model import Dimension, Drawing
from takeoff.errors import Finding, Severity, Where
from takeoff.findings import noticed
from takeoff.geometry.perspective import scale_from_known_length
from takeoff.language import tr
from takeoff.recognise.scale.paper_figures import on_own_layer
from takeoff.recognise.scale.scale_evidence import Sheet, gather, nothing_to_scale
from takeoff.recognise.scale.scale_words import do_not_scale, name_of, parse_scale
from takeoff.recognise.scale.sheet_frames import with_frame_apart
from takeoff.recognise.scale.word_boxes import with_boxes_at_words
from takeoff.recognise.units import in_mm
from takeoff.recognise.units.unit_evidence import Evidence
from takeoff.recognise.units.written_dimensions import WRITING_UNITS, readings, says

__all__ = ["decide_scale", "parse_scale", "scale_from_known_length"]

MARGIN = 1.5
"""By how much the best scale must lead the next where strong evidence speaks for it."""
MARGIN_WEAK = 3.0
"""And where only hints do."""
SPEAKS = 1.0
SAME_SHARE = 0.01
"""Scales closer than this are no rivals."""
FEW_RULE, FIGURES_RULE = 3, 4
"""So many figures that agree on one scale overrule a title block that says another."""
FIGURES_SHARE = 0.6
FITS_SHARE = 0.005
MANY_SAY = 4.0
"""What it counts for a scale besides that as many figures as below, and most of all, say what is drawn to half a
percent: chance does not do that, and a title block is copied from sheet to sheet."""
NEARLY_SHARE, MANY_FIT = 0.02, 10
"""Where so many figures and half of all fit a scale, those that nearly do are its dimensions too: many round them."""
TELLING_MM, FEW_FIT = 5.0, 0.1
"""On paper: figures at lines of such length and more speak of them; so few that fit contradict a title block."""
WRITTEN = ("written scale", "scale bar")
SAYS = ("written scale", "scale bar", "printed areas")
"""Evidence that says a scale without figures at dimension lines."""
PROVES = ("dimensions", "printed areas")
"""Evidence that tells which of several written scales is the plan's."""


class ScaleDecided(NamedTuple):
    """A page in mm real size, how its scale came, and whether so many figures at lines say what is drawn there that
    no other scale need be tried."""

    drawing: Drawing
    findings: tuple[Finding, ...]
    proven: bool


def decide_scale(drawing: Drawing, override: str | float | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """What ``scale_decided`` gives, without whether it is proven."""
    return scale_decided(drawing, override)[:2]


def scale_decided(drawing: Drawing, override: str | float | None = None) -> ScaleDecided:
    """A drawing in mm on paper, in mm real size; ``unit_mm`` is the scale, and how that came.

    Dimensions found on the way go to a layer of their own, the sheet's frame and title block to another.
    One finding lists the evidence: a note where it agrees, a check where strong evidence
    contradicts, an error where it does not suffice (the best guess is used then). ``override``
    is a scale as people write it, or a ratio such as ``scale_from_known_length`` gives; it wins,
    and the finding says what it overruled. Raises InputError for an override that is no scale.
    """
    sheet = gather(drawing)
    totals = {c: sum(e.scores[c] for e in _weighed(sheet)) for c in sheet.candidates}
    best = max(totals, key=lambda c: totals[c])
    if override is not None:
        ratio = parse_scale(override)
        found = _chosen(drawing, ratio, best, sheet, totals)
    else:
        ratio = sheet.candidates[best]
        found = _decided(drawing, best, sheet, totals)
    sure = _fitting(sheet, ratio) >= max(MANY_FIT, len(sheet.found) / 2)
    own = tuple(f for f in sheet.found if _says(f.dimension, ratio, NEARLY_SHARE if sure else FITS_SHARE))
    scaled = in_mm(with_frame_apart(on_own_layer(with_boxes_at_words(drawing), own)), f"mm at {name_of(ratio)}", ratio)
    return ScaleDecided(scaled, (found, *_remarks(drawing, sheet, ratio), *_forbidden(drawing, ratio)), sure)


def _weighed(sheet: Sheet) -> list[Evidence]:
    """The evidence; a written scale that many figures contradict counts for little, since a print
    that was fitted to its page keeps its title block."""
    figures = next((e for e in sheet.evidence if e.kind == "dimensions"), None)
    if figures is None or len(sheet.figures) < FEW_RULE:
        return sheet.evidence
    shares = {c: _fitting(sheet, r) / len(sheet.figures) for c, r in sheet.candidates.items()}
    top = max(shares.values())
    # of three figures all have to be right, and where the sheet says another scale they settle nothing
    if len(sheet.figures) < FIGURES_RULE and (top < 1.0 or sheet.written):
        return sheet.evidence
    made = []
    for e in sheet.evidence:
        if e.kind == "written scale" and top >= FIGURES_SHARE:
            e = e._replace(scores={c: v * (1.0 if shares[c] >= top / 2.0 else 0.3) for c, v in e.scores.items()})
        elif e.kind == "dimensions":
            # 2 % is as near as a drawn unit needs; between 1:106 and 1:108 it has to be nearer.
            more = MANY_SAY if top >= FIGURES_SHARE and top * len(sheet.figures) >= MANY_FIT else 0.0
            e = e._replace(
                scores={c: v + 3.0 * (shares[c] - top) + more * (shares[c] >= top / 2.0) for c, v in e.scores.items()}
            )
        made.append(e)
    return made


def _fitting(sheet: Sheet, ratio: float) -> int:
    """How many figures say their length within half a percent at this scale."""
    return sum(_says(d, ratio) for d in sheet.figures)


def _says(d: Dimension, ratio: float, share: float = FITS_SHARE) -> bool:
    length = d.length * ratio
    said = [s for r in readings(d.text) if (s := says(r, length, WRITING_UNITS)) is not None]
    return any(abs(mm - length) <= max(share * length, half) for mm, half, _ in said)


def _lead(totals: dict[str, float], sheet: Sheet, best: str) -> float:
    own = sheet.candidates[best]
    return totals[best] - max(v for c, v in totals.items() if abs(sheet.candidates[c] / own - 1.0) > SAME_SHARE)


def _decided(drawing: Drawing, best: str, sheet: Sheet, totals: dict[str, float]) -> Finding:
    lead = _lead(totals, sheet, best)
    evidence = _weighed(sheet)
    backed = any(e.strong and e.scores[best] >= SPEAKS for e in evidence)
    if lead < (MARGIN if backed else MARGIN_WEAK):
        return _undecided(drawing, best, sheet, totals)
    if _disagreed(sheet, best) or _unproven(sheet, best):
        return _undecided(drawing, best, sheet, totals)
    more = ""
    against = _against(sheet, best)
    ratios = {name_of(w.ratio) for w in sheet.written}
    several = len(ratios) > 1 and not any(e.strong and e.kind in PROVES and e.scores[best] >= SPEAKS for e in evidence)
    if several:
        scales = ", ".join(sorted(ratios))
        more += " " + tr("It names several scales ({scales}): check one length that you know.", scales=scales)
    if against:
        more += " " + tr("Against it: {against}. Check one length that you know.", against=against)
    severity: Severity = "check" if against or several or nothing_to_scale(drawing) else "note"
    if nothing_to_scale(drawing):
        more += " " + tr("The sheet says that something on it is not to scale.")
    why = _for(evidence, sheet, best)
    return noticed("scale-decided", severity=severity, file=drawing.name, scale=best, why=why, more=more)


def _disagreed(sheet: Sheet, best: str) -> bool:
    """Whether figures that name their unit contradict each other and nothing else says a scale: a sketch, or a drawing
    that was stretched in one way, has none."""
    if any(e.kind in SAYS and e.scores[best] >= SPEAKS for e in sheet.evidence):
        return False
    if _fitting(sheet, sheet.candidates[best]) >= max(MANY_FIT, FIGURES_SHARE * len(sheet.figures)):
        return False
    named = [d for d in sheet.figures if readings(d.text)[0].unit]
    fit = sum(_says(d, sheet.candidates[best]) for d in named)
    return len(named) > 1 and fit < FIGURES_SHARE * len(named)


def _unproven(sheet: Sheet, best: str) -> bool:
    """Whether the title block alone says the scale while hardly any of many figures at lines is what is drawn there:
    a print that was enlarged or reduced keeps its title block, and often its scale bar beside that."""
    if any(e.strong and e.kind not in WRITTEN and e.scores[best] >= SPEAKS for e in sheet.evidence):
        return False
    long = [d for d in sheet.figures if d.length >= TELLING_MM]
    return len(long) >= FIGURES_RULE and sum(_says(d, sheet.candidates[best]) for d in long) <= FEW_FIT * len(long)


def _undecided(drawing: Drawing, best: str, sheet: Sheet, totals: dict[str, float]) -> Finding:
    ranked = sorted(totals, key=lambda c: -totals[c])
    rivals = [c for c in ranked[1:] if totals[best] - totals[c] < MARGIN_WEAK][:3]
    told = [e.tells(sheet.candidates[best]) for e in sheet.evidence if e.kind != "usual"]
    shown = "; ".join(told) or tr("nothing on it tells more")
    others = " " + tr("It could as well be {scales}.", scales=", ".join(rivals)) if rivals else ""
    return noticed("scale-undecided", file=drawing.name, scale=best, shown=shown, others=others)


def _chosen(drawing: Drawing, ratio: float, best: str, sheet: Sheet, totals: dict[str, float]) -> Finding:
    same = abs(sheet.candidates[best] / ratio - 1.0) <= SAME_SHARE
    backed = any(e.strong and e.scores[best] >= SPEAKS for e in sheet.evidence)
    if same or not backed or _lead(totals, sheet, best) < MARGIN:
        return noticed("scale-chosen", file=drawing.name, scale=name_of(ratio))
    why = _for(sheet.evidence, sheet, best)
    return noticed("scale-chosen/overruled", file=drawing.name, scale=name_of(ratio), best=best, why=why)


def _for(evidence: list[Evidence], sheet: Sheet, name: str) -> str:
    tell = [e.tells(sheet.candidates[name]) for e in evidence if e.scores[name] > 0.0]
    return "; ".join(tell) or tr("nothing else fits better")


def _against(sheet: Sheet, best: str) -> str:
    """Strong evidence that speaks for another scale instead."""
    parts = []
    for e in sheet.evidence:
        other = max(e.scores, key=lambda c: e.scores[c])
        if e.strong and e.scores[other] - e.scores[best] >= MARGIN and e.scores[other] >= SPEAKS:
            parts.append(tr("at {scale}, {evidence}", scale=other, evidence=e.tells(sheet.candidates[other])))
    return "; ".join(parts)


def _remarks(drawing: Drawing, sheet: Sheet, ratio: float) -> list[Finding]:
    """The paper that the scale speaks of, and figures that do not fit what was decided."""
    found = [noticed("paper-differs", file=drawing.name, remark=r) for r in sheet.remarks]
    fit, all_figures = _fitting(sheet, ratio), len(sheet.figures)
    if all_figures >= FIGURES_RULE and fit < FIGURES_SHARE * all_figures:
        found.append(noticed("figures-differ", file=drawing.name, scale=name_of(ratio), fit=fit, count=all_figures))
    return found


def _forbidden(drawing: Drawing, ratio: float) -> list[Finding]:
    """The note that forbids to measure off the sheet, with its place in mm."""
    notes = [v for v in drawing.labels if do_not_scale(v.text)]
    if not notes:
        return []
    at = notes[0]
    place = Where(x_mm=at.x * ratio, y_mm=at.y * ratio) if math.isfinite(at.x * ratio) else Where()
    return [noticed("do-not-scale", place, file=drawing.name, said=at.text)]


def findings_at_scale(findings: tuple[Finding, ...], drawing: Drawing) -> tuple[Finding, ...]:
    """A reader's findings, whose places are in mm on paper, with their places in mm real size."""
    k = drawing.unit_mm
    made = []
    for f in findings:
        w = f.where
        if w.x_mm is not None and w.y_mm is not None:
            f = msgspec.structs.replace(f, where=msgspec.structs.replace(w, x_mm=w.x_mm * k, y_mm=w.y_mm * k))
        made.append(f)
    return tuple(made)
