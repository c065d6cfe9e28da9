"""The ledger, one part: what the check of a job finds."""

from __future__ import annotations

from takeoff.findings.rules import Rule

RULES: dict[str, Rule] = {}
