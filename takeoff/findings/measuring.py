"""The ledger, one part: what measuring notices, and what of it the check of the job has told already."""

from __future__ import annotations

from collections.abc import Iterable

from takeoff.errors import Finding, Where
from takeoff.findings.rules import Rule, assumed, check

RULES: dict[str, Rule] = {
    "opening-cut-by-ceiling": check(
        "{called}: the head of {opening} lies above the ceiling, so it is measured without a head strip: check its "
        "height."
    ),
    "opening-wider-than-wall/measured": check(
        "{called}: {opening} reaches past the end of wall {wall} and is cut off there: check its place and width."
    ),
    "exclusion-sticks-out/measured": check(
        "{called}: a part left out on wall {wall} reaches past the wall and is cut off at its border: check its size."
    ),
    "exclusion-sticks-out/every-wall": check(
        "{called}: a part left out on every wall reaches past each of them and is cut off at its border: check its "
        "size."
    ),
    "picked-corner-gone": check(
        "{called}: the corner {corner} that was picked by hand is no longer there: pick it again where it is now."
    ),
    "half-wall-without-thickness/stands": check(
        "{called}: the half-height wall to {beyond} has no thickness, so its top and edges are missing: draw it as a "
        "dwarf wall, a raised part of the floor."
    ),
    "half-wall-without-thickness/hangs": check(
        "{called}: the wall over the opening to {beyond} has no thickness, so its underside and edges are missing: "
        "draw it as a beam, a lowered part of the ceiling."
    ),
    "outside-as-drawn": check(
        "{runs} of the outline of {storey} ({names}), {length} m of wall, {are} outside only as drawn. Coated are "
        "{all} m² if all of it is outside, {none} m² if none is: say what stands there."
    ),
    "outside-as-drawn/by-hand": check(
        "{runs} of the outline of {storey} ({names}), {length} m of wall, {are} outside only as drawn, and the coat "
        "keeps to it: say what stands there."
    ),
    "custom-assumed/skirting": assumed(
        "skirting is taken to come off: leaving it on at {size} would take about {amount} off the walls."
    ),
    "custom-assumed/coving": assumed(
        "coving is taken to come off: leaving it on at {size} would take about {amount} off walls and ceilings."
    ),
    "custom-assumed/architraves": assumed(
        "architraves are taken to come off: leaving them on at {size} would take about {amount} off the walls."
    ),
    "custom-assumed/arrises": assumed(
        "new bead is taken for every arris: if all sound ones keep theirs, up to {amount} of it is not needed."
    ),
    "open-side-leads-nowhere/measured": check(
        "{called}: side {side} is open but no other room begins there: make it a wall, or draw the room beyond."
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
