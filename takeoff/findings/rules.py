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
mended; *room*: when its room is accepted or refused; *openings*: when each opening is; *stair*: when it is said what
the ceiling does above the stair."""


AS_CALLED = ("{file}", "{called}", "{system}", "{bead}", "{convention}")
"""Facts whose first letter stays as it is where a sentence begins with them."""


class Rule(msgspec.Struct, frozen=True):
    """One code: its severity (the usual one first), its sentence with {named} facts, who may settle it."""

    severities: tuple[Severity, ...]
    sentence: str
    settled_by: SettledBy = "accepting"

    @property
    def facts(self) -> frozenset[str]:
        """The names of the facts that its sentence holds."""
        return frozenset(name for _, name, _, _ in Formatter().parse(self.sentence) if name)


def filled(key: str, rule: Rule, facts: Mapping[str, object]) -> str:
    """The rule's sentence with these facts, its first letter a capital, unless it begins with what is
    called as it is. Raises KeyError where the facts differ from those that it names."""
    if rule.facts != facts.keys():
        raise KeyError(f"{key} wants {sorted(rule.facts)}, not {sorted(facts)}")
    sentence = tr(rule.sentence)
    text = sentence.format(**facts)
    return text if sentence.startswith(AS_CALLED) else text[:1].upper() + text[1:]


def as_told(key: str, rule: Rule, facts: Mapping[str, object]) -> Facts:
    """The facts as the rule's own sentence prints them, in the order of their names, whatever language is spoken."""
    spec = {name: form or "" for _, name, form, _ in Formatter().parse(rule.sentence) if name}
    return Facts(key, tuple((name, format(facts[name], spec[name])) for name in sorted(facts)))


def error(sentence: str, settled_by: SettledBy = "mending") -> Rule:
    """The result is wrong or incomplete until it is mended; *accepting*: or until the user has looked at
    it and says that nothing is missing."""
    return Rule(("error",), sentence, settled_by)


def check(sentence: str, settled_by: SettledBy = "accepting") -> Rule:
    """To be looked at."""
    return Rule(("check",), sentence, settled_by)


def assumed(sentence: str) -> Rule:
    """A value nobody gave."""
    return Rule(("assumed",), sentence)


def note(sentence: str) -> Rule:
    """Worth knowing."""
    return Rule(("note",), sentence)
