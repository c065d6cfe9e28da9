"""By what a finding is known again: its key, its facts without the program's own words, and its place.

The sentence is no part of it: in other words, or in another language, it is the same finding.
"""

from __future__ import annotations

import re
from string import Formatter
from typing import NamedTuple

from takeoff.errors import Facts, Where

PLACED = {
    "room": "room", "called": "room", "storey": "storey", "opening": "opening", "x": "x_mm", "y": "y_mm",
}  # fmt: skip
"""Facts that say in words what the place says by id, and by which part of it: no matter what a room is called."""

WORDED = frozenset((
    "band", "because", "beyond", "changes", "done", "drawn", "elsewhere", "end", "exclusion",
    "factor", "fallback", "fault", "field", "form", "found", "header", "how", "labels", "listed", "lost", "more",
    "names", "off", "one", "openings", "other", "other_room", "others", "otherwise", "over", "part", "place",
    "plans", "reading", "reason", "reasons", "region", "remark", "rest", "ring", "rooms", "runs", "shown",
    "spaces", "taken", "things", "values", "wall", "way", "what", "why", "windows",
))  # fmt: skip
"""Facts that are phrases of the program: only the figures in them count. All other facts are figures, or what
drawing, file and user call something, and count whole."""

GONE = frozenset({"are", "ask", "sizes", "sureness", "them"})
"""Words of sentences that jobs kept, which no sentence has any more."""

JOINED = {"en": ("and", ("more", "other kinds")), "de": ("und", ("weitere", "andere Arten"))}
"""By language: the word before the last part of a list, and what stands after the number of those that it leaves out;
neither is a part of what is listed."""

_FIGURE = re.compile(r"\d+(?:[.,\u00a0\u202f'’](?=\d)\d+)*")
_QUOTES = re.compile("[“”„]")
_AND = "|".join(word for word, _ in JOINED.values())
_PARTS = re.compile(rf"\s*[,;]\s+(?:(?:{_AND})\s+)?|\s+(?:{_AND})\s+")
_LEFT_OUT = re.compile(rf"; (\d+) (?:{'|'.join(words.casefold() for _, left in JOINED.values() for words in left)})\b")
_OPEN = "\ue000{}\ue001"
"""Where a fact of the program's own words stands, while the rest of a sentence is compared; in letters of no script."""


class Known(NamedTuple):
    """What makes a finding that one and no other."""

    key: str
    facts: tuple[tuple[str, str], ...]
    where: Where


def known(facts: Facts, where: Where) -> Known:
    """The finding that says those facts at that place."""
    told = ((name, _of_value(name, value)) for name, value in sorted(facts.named) if not _placed(name, where))
    return Known(facts.key, tuple((name, value) for name, value in told if value), rounded(where))


def rounded(where: Where) -> Where:
    """The place to the millimetre: one that is worked out anew differs in its last digits."""
    x, y = (None if at is None else float(round(at)) for at in (where.x_mm, where.y_mm))
    return Where(where.storey, where.room, where.surface, where.opening, x, y, where.layer, where.handle, where.page)


def says(text: str, sentence: str, facts: Facts, where: Where) -> bool:
    """Whether a text is that sentence with those facts, as a finding of that place has them: how one that was kept as
    a text alone is known again. ``sentence``: in the words of that time, with its {facts}."""
    return any(_says(text, sentence, facts, where, as_called) for as_called in (True, False))


def _says(text: str, sentence: str, facts: Facts, where: Where, as_called: bool) -> bool:
    """``as_called``: with the names that rooms and openings have now, else with any."""
    pieces, before = [], set[str]()
    named = dict(facts.named)
    for words, name, _, _ in Formatter().parse(sentence):
        pieces.append(words)
        if name is not None and name not in named and name not in WORDED | GONE:
            return False  # another way of saying it
        if name is not None and name not in named:
            pieces.append(_OPEN.format("placed"))  # words that the ledger has no place for any more
        elif name is not None and _placed(name, where):
            pieces.append(named[name] if as_called else _OPEN.format("placed"))
        elif name is not None and name in WORDED:
            pieces.append(_OPEN.format("placed" if name in before else "worded"))  # said twice, counted once
            before.add(name)
        elif name is not None:
            pieces.append(named[name])
    pattern = re.sub("\ue000(.*?)\ue001", _open_group, re.escape(plain("".join(pieces))))
    match = re.fullmatch(pattern, plain(text), re.DOTALL)
    if match is None:
        return False
    figures = sorted(figure for group in match.groups() for figure in re.findall(r"\d+", group))
    told = [plain(value) for name, value in facts.named if name in WORDED and not _placed(name, where)]
    return figures == sorted(figure for value in told for figure in re.findall(r"\d+", value))


def plain(text: str) -> str:
    """Small letters, figures without the marks by which regions part their digits, names without quotation marks, and
    lists as "a; b; 3"."""
    text = _FIGURE.sub(lambda match: re.sub(r"\D", "", match[0]), _QUOTES.sub("", text.casefold()))
    return _LEFT_OUT.sub(r"; \1", _PARTS.sub("; ", text)).strip()


def _open_group(found: re.Match[str]) -> str:
    return ".*?" if found[1] == "placed" else "(.*?)"


def _placed(name: str, where: Where) -> bool:
    part = PLACED.get(name)
    return part is not None and getattr(where, part) is not None


def _of_value(name: str, value: str) -> str:
    """What counts of a fact."""
    return " ".join(sorted(re.findall(r"\d+", plain(value)))) if name in WORDED | GONE else plain(value)
