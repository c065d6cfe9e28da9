"""The ledger, one part: what is noticed while rooms and openings are looked for."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check

RULES: dict[str, Rule] = {
    "lines-beyond-counting": check(
        "The {lines} lines of this drawing lie so close, or cross so often, that not all can be looked at, and {done}: "
        "say which layers the walls are on, or draw the rooms by hand.",
        "mending",
    )
}
