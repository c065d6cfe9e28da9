"""The ledger, one part: what measuring notices, and what of it the check of the job has told already."""

from __future__ import annotations

from collections.abc import Iterable

from takeoff.errors import Finding, Where
from takeoff.findings.rules import Rule, assumed, check

RULES: dict[str, Rule] = {
    "opening-cut-by-ceiling": check(
        "The head of {opening} in {called} is above the ceiling, so no head reveal is measured: check its height."
    ),
    "opening-wider-than-wall/measured": check(
        "{opening} in {called} reaches past the end of wall {wall}: check its place and width.",
        evidence="What reaches past the wall is cut off.",
    ),
    "exclusion-sticks-out/measured": check(
        "A masked part on wall {wall} of {called} reaches past the wall: check its size.",
        evidence="What reaches past the wall is cut off.",
    ),
    "exclusion-sticks-out/every-wall": check(
        "A masked part on every wall of {called} reaches past each of them: check its size.",
        evidence="What reaches past the walls is cut off.",
    ),
    "picked-corner-gone": check(
        "A corner of {called} that was set by hand is no longer there: set it again where it is now.",
        evidence="The job file names the corner “{corner}”.",
    ),
    "half-wall-without-thickness/stands": check(
        "The half-height wall from {called} to {beyond} has no thickness: draw it as a dwarf wall.",
        evidence="Its top and edges are missing until then. A dwarf wall is a raised part of the floor.",
    ),
    "half-wall-without-thickness/hangs": check(
        "The wall over the opening from {called} to {beyond} has no thickness: draw it as a beam.",
        evidence="Its underside and edges are missing until then.",
    ),
    "outside-as-drawn": check(
        "The outline of {storey} is outside only as drawn ({names}, {length} m of wall): say what stands there.",
        evidence="Open: {runs}. Coated are {all} m² if all of it is outside, {none} m² if none is.",
    ),
    "outside-as-drawn/by-hand": check(
        "The outline of {storey} is outside only as drawn ({names}, {length} m of wall): say what stands there.",
        evidence="Open: {runs}. The coat keeps to the drawing.",
    ),
    "open-side-leads-nowhere/measured": check(
        "Wall {side} of {called} is open but nothing adjoins it: close it or draw the adjoining room."
    ),
    "custom-assumed/skirting": assumed(
        "Skirting is taken to come off: keeping it at {size} would take about {amount} off the walls."
    ),
    "custom-assumed/coving": assumed(
        "Coving is taken to come off: keeping it at {size} would take about {amount} off walls and ceilings."
    ),
    "custom-assumed/architraves": assumed(
        "Architraves are taken to come off: keeping them at {size} would take about {amount} off the walls."
    ),
    "custom-assumed/arrises": assumed(
        "New corner bead is taken for every external corner: up to {amount} less where sound beads are kept."
    ),
}

_SAME_FAULT = {
    "opening-cut-by-ceiling": {"opening-above-ceiling", "opening-outside-wall"},
    "opening-wider-than-wall": {"opening-wider-than-wall", "opening-outside-wall"},
    "exclusion-sticks-out": {"exclusion-sticks-out", "exclusion-outside", "exclusion-unsound"},
    "open-side-leads-nowhere": {"open-side-leads-nowhere"},
}
"""By code of measuring: as what the check of the job tells the same fault."""


def untold(measured: Iterable[Finding], checked: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings of measuring, in order and each once, without those that are faults of the job that its check
    has told of the same place: one fault is told once. Measuring goes by the finished faces, slopes and all, and
    so finds some that the check does not."""
    told: dict[str, list[Where]] = {}
    for finding in checked:
        told.setdefault(finding.code, []).append(finding.where)
    return tuple(
        finding
        for finding in dict.fromkeys(measured)
        if not any(
            _same_place(finding.where, where)
            for code in _SAME_FAULT.get(finding.code, ())
            for where in told.get(code, ())
        )
    )


def _same_place(a: Where, b: Where) -> bool:
    """Whether two findings are of one surface, or one opening of one; what is said of no one surface of a room
    is said of each."""
    if (a.storey, a.room, a.opening) != (b.storey, b.room, b.opening):
        return False
    return a.surface is None or b.surface is None or a.surface == b.surface
