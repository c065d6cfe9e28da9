"""What the ledger says of one code."""

from __future__ import annotations

from collections.abc import Mapping
from string import Formatter
from typing import Literal

import msgspec

from takeoff.errors import Facts, Severity
from takeoff.language import tr

SettledBy = Literal["accepting", "mending", "room", "openings", "stair"]
"""*accepting*: the user may say that it is fine as it is; *mending*: it stays until the job or the drawing is
put right; *room*: when its room is accepted or rejected; *openings*: when each opening is; *stair*: when it is
said what the ceiling does above the stair."""


AS_CALLED = ("{file}", "{called}", "{system}", "{bead}", "{convention}")
"""Facts whose first letter stays as it is where a sentence begins with them."""


class Rule(msgspec.Struct, frozen=True):
    """One code: its severity (the usual one first), what it says, who may settle it.

    ``sentence`` says what, where by name, and what to do, with {named} facts, in at most 25 words; ``evidence``
    why the program thinks so, and lists, with facts of the same call; ``options``: what the command takes to do
    it, which the window has other ways for.
    """

    severities: tuple[Severity, ...]
    sentence: str
    settled_by: SettledBy = "accepting"
    evidence: str = ""
    options: str = ""

    @property
    def facts(self) -> frozenset[str]:
        """The names of the facts that its sentence and its evidence hold."""
        named = (*Formatter().parse(self.sentence), *Formatter().parse(self.evidence))
        return frozenset(name for _, name, _, _ in named if name)


def filled(key: str, rule: Rule, facts: Mapping[str, object]) -> tuple[str, str]:
    """The rule's sentence and its evidence ("": none) with these facts, their first letters capitals, unless they
    begin with what is called as it is. Raises KeyError where the facts differ from those that they name."""
    if rule.facts != facts.keys():
        raise KeyError(f"{key} wants {sorted(rule.facts)}, not {sorted(facts)}")
    return _with_capital(rule.sentence, facts), _with_capital(rule.evidence, facts)


def _with_capital(sentence: str, facts: Mapping[str, object]) -> str:
    if not sentence:
        return ""
    said = tr(sentence)
    text = said.format(**facts).strip()
    return text if said.startswith(AS_CALLED) else text[:1].upper() + text[1:]


def as_told(key: str, rule: Rule, facts: Mapping[str, object]) -> Facts:
    """The facts as the rule's own words print them, in the order of their names, whatever language is spoken."""
    parsed = (*Formatter().parse(rule.sentence), *Formatter().parse(rule.evidence))
    spec = {name: form or "" for _, name, form, _ in parsed if name}
    return Facts(key, tuple((name, format(facts[name], spec[name])) for name in sorted(facts)))


def error(sentence: str, settled_by: SettledBy = "mending", *, evidence: str = "", options: str = "") -> Rule:
    """The result is wrong or incomplete until it is fixed; *accepting*: or until the user has looked at
    it and says that nothing is missing."""
    return Rule(("error",), sentence, settled_by, evidence, options)


def check(sentence: str, settled_by: SettledBy = "accepting", *, evidence: str = "", options: str = "") -> Rule:
    """To be looked at."""
    return Rule(("check",), sentence, settled_by, evidence, options)


def assumed(sentence: str, *, evidence: str = "") -> Rule:
    """A value that was not given."""
    return Rule(("assumed",), sentence, evidence=evidence)


def note(sentence: str, *, evidence: str = "", options: str = "") -> Rule:
    """Worth knowing."""
    return Rule(("note",), sentence, evidence=evidence, options=options)
