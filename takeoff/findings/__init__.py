"""The ledger of findings: every code with its severity, its sentence and who may settle it.

A stage that notices something says only the code, the place and the facts; the words stand here.
``reading``, ``recognising``, ``checking``, ``measuring``, ``ordering`` and ``revising`` hold one table each.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Protocol

from msgspec import UNSET

from takeoff.errors import Facts, Finding, Severity, Where
from takeoff.findings import checking, measuring, ordering, reading, recognising, revising
from takeoff.findings.rules import Rule, SettledBy, as_told, filled
from takeoff.language import tr

RULES: dict[str, Rule] = {
    key: rule
    for table in (reading.RULES, recognising.RULES, checking.RULES, measuring.RULES, ordering.RULES, revising.RULES)
    for key, rule in table.items()
}
"""By code, or by "code/variant" where one code is said in several ways."""

DOUBTS = ("room-to-check", "printed-area-differs")
"""Codes by which recognition says why it doubts a room, which the check then need not say again."""

GRAVE = {"error": 0, "check": 1, "assumed": 2, "note": 3}

NOWHERE = Where()


class Told(Protocol):
    """What a job keeps of a finding."""

    @property
    def code(self) -> str:
        """The finding's code."""

    @property
    def text(self) -> str:
        """Its sentence."""

    @property
    def where(self) -> Where:
        """Its place."""

    @property
    def facts(self) -> Facts | None:
        """Its key and facts; None where the job is older than these."""


def noticed(key: str, where: Where = NOWHERE, severity: Severity | None = None, **facts: object) -> Finding:
    """The finding of that key: its sentence with these facts in it.

    ``severity``: one of those that its rule allows, else the rule's first. Raises KeyError for a key
    that stands in no table, for a fact that its sentence wants and does not get, and for one that it
    has no place for: a mistake of the program, which a test of every key finds.
    """
    rule = RULES[key]
    if severity is not None and severity not in rule.severities:
        raise KeyError(f"{key} is never of severity {severity}")
    text, evidence = filled(key, rule, facts)
    told = as_told(key, rule, facts)
    return Finding(key.partition("/")[0], severity or rule.severities[0], text, where, told, evidence)


def told_before(one: Told, severity: Severity) -> Finding:
    """A finding as a job keeps it: in the words in which it was noticed."""
    facts = UNSET if one.facts is None else one.facts
    return Finding(one.code, severity, one.text, one.where, facts, getattr(one, "evidence", ""))


def options_for(finding: Finding) -> str:
    """What the command takes to answer it, "--scale 1:100"; "" where it takes nothing."""
    rules = (rule for key, rule in RULES.items() if key.partition("/")[0] == finding.code)
    return next((tr(rule.options) for rule in rules if rule.options), "")


def may_accept(finding: Finding) -> bool:
    """Whether the user may say that it is fine as it is: any but an error, and those errors of which a
    person can tell by looking that nothing is missing."""
    return finding.severity != "error" or settled_by(finding) == "accepting"


def settled_by(finding: Finding) -> SettledBy:
    """What makes it go; *accepting* for what is no error and has no question of its own."""
    rules = _rules_of(finding.code)
    if finding.severity == "error":
        may = any(rule.settled_by == "accepting" and "error" in rule.severities for rule in rules)
        return "accepting" if may else "mending"
    return next((rule.settled_by for rule in rules if rule.settled_by != "mending"), "accepting")


@cache
def _rules_of(code: str) -> tuple[Rule, ...]:
    return tuple(rule for key, rule in RULES.items() if key.partition("/")[0] == code)


def fault_of(finding: Finding) -> str:
    """What is wrong, without what to do about it: the beginning of its sentence, as far as the colon."""
    first, *rest = finding.text.split(": ")
    of_file = any(
        rule.sentence.startswith("{file}: ") for key, rule in RULES.items() if key.partition("/")[0] == finding.code
    )
    return f"{first}: {rest[0]}" if of_file and len(rest) > 1 else first.rstrip(".")


def once(told: Iterable[Finding], measured: Iterable[Finding] = ()) -> tuple[Finding, ...]:
    """All of them, each fault once, the grave ones first, else in the order in which they came.

    ``measured``: what measuring noticed, which is left out where what is told says it already.
    """
    told = tuple(dict.fromkeys(told))
    doubted = {finding.where.room for finding in told if finding.code in DOUBTS}
    kept = [f for f in told if f.code != "room-check" or f.where.room not in doubted]
    kept += measuring.untold(measured, told)
    return tuple(sorted(dict.fromkeys(kept), key=lambda finding: GRAVE[finding.severity]))
