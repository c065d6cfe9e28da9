"""The ledger, one part: what ordering, opening and writing notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule

RULES: dict[str, Rule] = {}
