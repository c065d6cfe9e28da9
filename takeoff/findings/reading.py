"""The ledger, one part: what the readers of files notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule

RULES: dict[str, Rule] = {}
