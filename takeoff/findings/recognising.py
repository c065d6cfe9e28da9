"""The ledger, one part: what is noticed while rooms and openings are looked for."""

from __future__ import annotations

from takeoff.findings.rules import Rule

RULES: dict[str, Rule] = {}
