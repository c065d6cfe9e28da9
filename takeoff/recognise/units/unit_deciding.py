"""The unit of a drawing is decided from everything it shows, never believed from its header."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from takeoff.drawing.model import Claim, Dimension, Drawing, Label, Linework, Loop, Symbol
from takeoff.errors import Finding, InputError, Severity, Where
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.recognise.units.unit_by_rooms import MOST_SEGMENTS, by_rooms
from takeoff.recognise.units.unit_evidence import CANDIDATES, Evidence, gather, unit_said, units_for
from takeoff.recognise.units.written_dimensions import check_dimensions, writing_units, written_mm
from takeoff.units.lengths import UNIT_MM

if TYPE_CHECKING:
    from takeoff.recognise.propose import Progress, Proposal

MARGIN = 1.5
"""By how much the best unit must lead the next where strong evidence speaks for it."""
MARGIN_WEAK = 3.0
"""And where only hints do."""
SPEAKS = 1.0
"""From this score on, a piece of evidence speaks for a unit."""
SETTLES = 3.0
"""From this score on nothing else needs to be asked."""
OF_HEADER = ("declared", "system")
"""Kinds of evidence that are the file's own word."""
SAME_UNIT_SHARE = 0.01
"""Units closer than this (international and survey feet) are no rivals."""


class Decided(NamedTuple):
    """A drawing in mm and what was found of its unit. ``rooms``: what was proposed from just this drawing as it
    comes, where the unit was sought in the rooms; None where it was settled without them."""

    drawing: Drawing
    findings: tuple[Finding, ...]
    rooms: Proposal | None


def decide(drawing: Drawing, override: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """The drawing with every coordinate in mm, ``unit`` and ``unit_mm`` set, and how that came.

    One finding lists the evidence: a note where it agrees, a check where the declared unit or
    strong evidence contradicts, an error where it does not suffice (the best guess is used then).
    ``override`` wins, and the finding says what it overruled. Written dimensions that differ
    from what is drawn follow as findings. Raises InputError for an unknown override.
    """
    return decide_with_rooms(drawing, override)[:2]


def decide_with_rooms(drawing: Drawing, override: str | None = None, progress: Progress | None = None) -> Decided:
    """What ``decide`` gives, with the rooms that were sought on the way: to seek them is most of what reading a
    drawing takes. ``progress`` is told as ``propose`` tells it, and what it raises is passed on (Cancelled)."""
    units = units_for(drawing.declared_unit)
    evidence = gather(drawing, units)
    totals = _totals(evidence, units)
    sought = _Sought(drawing, units, progress)
    if override is None and (rooms := _rooms(sought, evidence, totals)) is not None:
        evidence = [*evidence, rooms]
        totals = _totals(evidence, units)
    best = max(units, key=lambda u: totals[u])
    if override is not None:
        unit = _named(override, drawing.name)
        found = _overruled(drawing, unit, best, evidence, totals, units)
    else:
        unit = best
        found = _decided(drawing, best, evidence, totals, units)
    scaled, writing = sought.drawn(unit)
    names = tuple(layer.name for layer in scaled.layers)
    dims = check_dimensions(scaled.dimensions, writing, names)
    return Decided(scaled, (found, *dims), sought.proposals.get(unit))


class _Sought:
    """A drawing in the units that it may be in, each made once, and the rooms sought in some of them."""

    def __init__(self, raw: Drawing, units: dict[str, float], progress: Progress | None) -> None:
        self.raw = raw
        self.units = units
        self.proposals: dict[str, Proposal] = {}
        self._progress = progress
        self._drawn: dict[str, tuple[Drawing, tuple[str, ...]]] = {}

    def drawn(self, unit: str) -> tuple[Drawing, tuple[str, ...]]:
        """The drawing in mm, its dimensions with the lengths that their words say, and the units of the words."""
        if unit not in self._drawn:
            scaled = in_mm(self.raw, unit, UNIT_MM[unit])
            writing = writing_units(scaled.dimensions, 1.0)
            figured = tuple(_figured(d, writing) for d in scaled.dimensions)
            self._drawn[unit] = msgspec.structs.replace(scaled, dimensions=figured), writing
        return self._drawn[unit]

    def job(self, unit: str) -> Job:
        """What is proposed in a unit."""
        from takeoff.recognise.propose import DEFAULTS, proposal  # rooms are sought in a drawing that has its unit

        self.proposals[unit] = proposal(self.drawn(unit)[0], DEFAULTS, self._progress)
        return self.proposals[unit].job


def _totals(evidence: list[Evidence], units: dict[str, float]) -> dict[str, float]:
    return {u: sum(e.scores[u] for e in evidence) for u in units}


def _rooms(sought: _Sought, evidence: list[Evidence], totals: dict[str, float]) -> Evidence | None:
    """The rooms' vote, which is asked for where nothing strong speaks for the unit that leads: seeking rooms
    takes as long as everything else together."""
    units = sought.units
    best = max(units, key=lambda u: totals[u])
    if any(e.strong and e.scores[best] >= SETTLES for e in evidence) and _lead(totals, units, best) >= MARGIN:
        return None
    count = len(sought.raw.lines.segments)
    if not 0 < count <= MOST_SEGMENTS:
        return None
    return by_rooms(sought.job, count, units, totals)


def _named(override: str, name: str) -> str:
    unit = override.strip().lower()
    if unit not in UNIT_MM:
        raise InputError(
            tr("“{unit}” is no unit for {file}: choose mm, cm, dm, m, in or ft.", unit=override, file=name)
        )
    return unit


def _lead(totals: dict[str, float], units: dict[str, float], best: str) -> float:
    rivals = [totals[u] for u in units if abs(units[u] / units[best] - 1.0) > SAME_UNIT_SHARE]
    return totals[best] - max(rivals)


def _decided(
    drawing: Drawing, best: str, evidence: list[Evidence], totals: dict[str, float], units: dict[str, float]
) -> Finding:
    lead = _lead(totals, units, best)
    backed = any(e.strong and e.scores[best] >= SPEAKS for e in evidence)
    declared = drawing.declared_unit
    if lead < (MARGIN if backed or declared == best else MARGIN_WEAK) or _by_header_alone(evidence, best, units):
        return _undecided(drawing, best, evidence, units)
    against = _against(evidence, best, units)
    wrong = declared not in ("", best)
    more = ""
    if wrong:
        more += " " + tr("The file says {unit}, but the drawing disagrees: check one length.", unit=unit_said(declared))
    elif not declared:
        more += " " + tr("The file gives no unit.")
    if against:
        more += " " + tr("Against it: {against}.", against=against)
    severity: Severity = "check" if wrong or against else "note"
    why = _for(evidence, best, units)
    return noticed("unit-decided", severity=severity, file=drawing.name, unit=unit_said(best), why=why, more=more)


def _by_header_alone(evidence: list[Evidence], best: str, units: dict[str, float]) -> bool:
    """Whether only the file's own word puts a unit first: without it another one leads, and something strong that is
    drawn speaks for that one. A header is what the program wrote that saved the file."""
    drawn = [e for e in evidence if e.kind not in OF_HEADER]
    totals = _totals(drawn, units)
    rival = max(units, key=lambda u: totals[u])
    if abs(units[rival] / units[best] - 1.0) <= SAME_UNIT_SHARE or totals[rival] <= totals[best]:
        return False
    return any(e.strong and e.scores[rival] >= max(SPEAKS, e.scores[best] + MARGIN) for e in drawn)


def _undecided(drawing: Drawing, best: str, evidence: list[Evidence], units: dict[str, float]) -> Finding:
    said = drawing.declared_unit
    header = tr("says it is in {unit}", unit=unit_said(said)) if said else tr("gives no unit")
    told = [e.tells(units[best]) for e in evidence if e.kind != "declared"]
    shown = "; ".join(told) or tr("nothing else tells it")
    extents = next((e for e in evidence if e.kind == "extents"), None)
    if extents is not None:
        others = [
            tr("in {unit} {evidence}", unit=unit_said(u), evidence=extents.tells(units[u]))
            for u in CANDIDATES
            if u != best
        ]
        shown += f" ({'; '.join(others)})"
    return noticed("unit-undecided", file=drawing.name, header=header, unit=unit_said(best), shown=shown)


def _overruled(
    drawing: Drawing, unit: str, best: str, evidence: list[Evidence], totals: dict[str, float], units: dict[str, float]
) -> Finding:
    same = unit in units and abs(units[unit] / units[best] - 1.0) <= SAME_UNIT_SHARE
    if same or _lead(totals, units, best) < MARGIN:
        return noticed("unit-chosen", file=drawing.name, unit=unit_said(unit))
    why = _for(evidence, best, units)
    return noticed("unit-chosen/overruled", file=drawing.name, unit=unit_said(unit), best=unit_said(best), why=why)


def _for(evidence: list[Evidence], unit: str, units: dict[str, float]) -> str:
    tell = [e.tells(units[unit]) for e in evidence if e.scores[unit] > 0.0]
    return "; ".join(tell) or tr("nothing else fits better")


def _against(evidence: list[Evidence], unit: str, units: dict[str, float]) -> str:
    """Strong evidence that speaks for another unit instead."""
    parts = []
    for e in evidence:
        other = max(e.scores, key=lambda u: e.scores[u])
        if e.strong and e.scores[other] - e.scores[unit] >= MARGIN and e.scores[other] >= SPEAKS:
            parts.append(tr("in {unit}, {evidence}", unit=unit_said(other), evidence=e.tells(units[other])))
    return "; ".join(parts)


def _figured(d: Dimension, writing: tuple[str, ...]) -> Dimension:
    """The dimension with the length its words say, in mm (None where they say none)."""
    said = written_mm(d, d.length, writing)
    return msgspec.structs.replace(d, written=None if said is None else said[0])


def in_mm(drawing: Drawing, unit: str, unit_mm: float) -> Drawing:
    """The drawing with every coordinate times ``unit_mm``. Values of claims are left alone: their
    names carry their own units."""
    k = unit_mm
    done = {"unit": unit, "unit_mm": k}
    if k == 1.0:
        return msgspec.structs.replace(drawing, **done)
    lines = drawing.lines
    arcs = lines.arcs.copy()
    arcs[:, :4] *= k
    return msgspec.structs.replace(
        drawing,
        **done,
        lines=Linework(
            lines.segments * k, lines.segment_layer, lines.segment_source, arcs, lines.arc_layer, lines.arc_source
        ),
        loops=tuple(_loop(v, k) for v in drawing.loops),
        labels=tuple(_label(v, k) for v in drawing.labels),
        symbols=tuple(_symbol(v, k) for v in drawing.symbols),
        dimensions=tuple(_dimension(v, k) for v in drawing.dimensions),
        claims=tuple(_claim(v, k) for v in drawing.claims),
    )


def findings_in_mm(findings: tuple[Finding, ...], unit_mm: float) -> tuple[Finding, ...]:
    """A reader's findings, whose places are in drawing units, with their places in mm."""
    return tuple(msgspec.structs.replace(f, where=_where(f.where, unit_mm)) for f in findings)


def _where(w: Where, k: float) -> Where:
    return msgspec.structs.replace(
        w, x_mm=None if w.x_mm is None else w.x_mm * k, y_mm=None if w.y_mm is None else w.y_mm * k
    )


def _loop(v: Loop, k: float) -> Loop:
    return Loop(tuple((x * k, y * k, b) for x, y, b in v.vertices), v.layer, v.role, v.handle)


def _label(v: Label, k: float) -> Label:
    return msgspec.structs.replace(v, x=v.x * k, y=v.y * k, height=v.height * k)


def _symbol(v: Symbol, k: float) -> Symbol:
    b = v.box
    box = None if b is None else (b[0] * k, b[1] * k, b[2] * k, b[3] * k)
    return msgspec.structs.replace(v, x=v.x * k, y=v.y * k, box=box)


def _dimension(v: Dimension, k: float) -> Dimension:
    return msgspec.structs.replace(v, x0=v.x0 * k, y0=v.y0 * k, x1=v.x1 * k, y1=v.y1 * k, length=v.length * k)


def _claim(v: Claim, k: float) -> Claim:
    return msgspec.structs.replace(v, ring=tuple((x * k, y * k, b) for x, y, b in v.ring))
