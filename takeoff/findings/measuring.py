"""The ledger, one part: what measuring notices."""

from __future__ import annotations

from takeoff.findings.rules import Rule

RULES: dict[str, Rule] = {}
