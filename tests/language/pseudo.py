"""A language that nobody speaks: every message in brackets and two fifths longer. What stands outside brackets was
never put into the catalogue; what is cut off has no room for longer words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from takeoff.language import use_language
from takeoff.language.catalogue import Catalogue, catalogue, use_catalogue

_WORD = re.compile(r"[^\W\d_]{2,}")


class Bracketed(Catalogue):
    """Says every message in brackets, two fifths longer."""

    def __init__(self) -> None:
        super().__init__({}, lambda count: 0 if count == 1 else 1)

    def lookup(self, context: str | None, message: str) -> str:
        return _longer(message)

    def counted(self, one: str, many: str, count: int) -> str:
        return _longer(one if count == 1 else many)


def _longer(message: str) -> str:
    more = len(message) * 2 // 5
    words = [message]
    if " " not in message:  # one word becomes one longer word
        return f"⟦{message}{'x' * more}⟧"
    while more > 0:
        words.append("x" * min(more, 6))
        more -= 7
    return f"⟦{' '.join(words)}⟧"


@contextmanager
def pseudo() -> Iterator[None]:
    """Speak it; English again afterwards."""
    use_catalogue("xx", Bracketed())
    try:
        yield
    finally:
        use_language("en")


def outside(text: str) -> list[str]:
    """The words of a text that stand in no brackets; a word has two letters at least."""
    return _WORD.findall(bare_of(text))


def bare_of(text: str) -> str:
    """What of a text stands in no brackets."""
    depth, bare = 0, []
    for letter in text:
        depth += (letter == "⟦") - (letter == "⟧")
        bare.append(letter if depth == 0 and letter != "⟧" else " ")
    return "".join(bare)


_FACT = re.compile(r"(\{\w+(?:![rs])?(?::[^{}]*)?\})")


class MarkedGerman(Catalogue):
    """German with every message in brackets and its facts outside them: what then stands outside brackets is a figure,
    a name of the user's, or was never put into the catalogue."""

    def __init__(self) -> None:
        german = catalogue("de")
        super().__init__(german.messages, german.plural)

    def lookup(self, context: str | None, message: str) -> str:
        return _marked(super().lookup(context, message))

    def counted(self, one: str, many: str, count: int) -> str:
        return _marked(super().counted(one, many, count))


def _marked(message: str) -> str:
    parts = [part if _FACT.fullmatch(part) else f"⟦{part}⟧" for part in _FACT.split(message) if part]
    return "".join(parts) if _WORD.search(_FACT.sub("", message)) else message


@contextmanager
def marked_german() -> Iterator[None]:
    """Speak German so; English again afterwards. Under a code of its own, since words are kept by it; numbers are
    written as in English."""
    use_catalogue("de-marked", MarkedGerman())
    try:
        yield
    finally:
        use_language("en")


def german_words() -> frozenset[str]:
    """All words of the German catalogue, in small letters."""
    texts = (form for forms in catalogue("de").messages.values() for form in forms)
    return frozenset(word.casefold() for text in texts for word in _WORD.findall(_FACT.sub(" ", text)))
