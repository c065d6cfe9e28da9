"""Sentences for the user: English stands where it is said, other languages in ``resources/languages`` (gettext's .po).

gettext's own files and plural rules are used, since every translator's tool reads them, and babel reads
them without a compiled copy that could go stale. A sentence is never glued from parts: its facts have names
(``tr("{room} has no walls", room=title)``), so that a translator can move them; what is counted has a form
for one and one for many. ``tests/language/messages.py`` gathers what is said and keeps the .po files whole.
"""

from __future__ import annotations

import gettext
import os
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

LANGUAGES = {"en": "English", "de": "Deutsch"}
"""Languages that the program speaks, each by its own name."""

VARIABLE = "TAKEOFF_LANGUAGE"
"""In the environment, so that processes begun by this one say the same; "de" or "de_AT"."""


def _one_or_many(count: int) -> int:
    return 0 if count == 1 else 1


class Catalogue:
    """The messages of one language: by (context, message), the forms of the count in order."""

    def __init__(
        self, messages: Mapping[tuple[str | None, str], tuple[str, ...]], plural: Callable[[int], int]
    ) -> None:
        self.messages = messages
        self.plural = plural

    def lookup(self, context: str | None, message: str) -> str:
        """What the language says for it; the English words where it has none yet."""
        found = self.messages.get((context, message))
        return found[0] if found else message

    def counted(self, one: str, many: str, count: int) -> str:
        """The form for that count."""
        found = self.messages.get((None, one))
        if not found or len(found) < 2:
            return one if count == 1 else many
        return found[min(self.plural(count), len(found) - 1)]


class _Spoken:
    """What is spoken now, in the whole process: a window has one language, and so has a command."""

    code = "en"
    catalogue = Catalogue({}, _one_or_many)


_ENGLISH = _Spoken.catalogue


def use_language(code: str) -> None:
    """Speak that language from now on, in this process and in those it begins.

    Raises LookupError for a language that has no catalogue. What was said before stays as it was said.
    """
    if code not in LANGUAGES:
        raise LookupError(code)
    use_catalogue(code, _ENGLISH if code == "en" else catalogue(code))
    os.environ[VARIABLE] = code


def use_catalogue(code: str, messages: Catalogue) -> None:
    """Speak by the catalogue at hand: how tests look for what is not in it."""
    _Spoken.code, _Spoken.catalogue = code, messages


def language() -> str:
    """The code of what is spoken: "en", "de"."""
    return _Spoken.code


@cache
def catalogue(code: str) -> Catalogue:
    """The messages of ``resources/languages/CODE.po``. Raises LookupError where there is no such file."""
    from babel.messages.pofile import read_po  # English needs none of it

    with _po_file(code).open("rb") as stream:
        read = read_po(stream, locale=code)
    messages = {}
    for entry in read:
        forms = entry.string if isinstance(entry.string, tuple | list) else (entry.string,)
        if entry.id and all(forms) and not entry.fuzzy:
            first = entry.id[0] if isinstance(entry.id, tuple | list) else entry.id
            messages[entry.context, first] = tuple(str(form) for form in forms)
    return Catalogue(messages, gettext.c2py(read.plural_expr))


def _po_file(code: str) -> Traversable:
    """In the installed package, or beside it in a checkout."""
    for root in (resources.files("takeoff").joinpath("resources"), Path(__file__).resolve().parents[2] / "resources"):
        found = root.joinpath("languages", f"{code}.po")
        if found.is_file():
            return found
    raise LookupError(code)


def tr(message: str, /, **facts: object) -> str:
    """The message in the user's language, with its {named} facts.

    Numbers are given as they are to be printed (``number``, ``date_text``, ``money_shown``); whole
    numbers may be given as such. Raises KeyError for a fact that the message wants and does not get.
    """
    text = _Spoken.catalogue.lookup(None, message)
    return text.format(**facts) if facts else text


def tr_as(context: str, message: str, /, **facts: object) -> str:
    """As ``tr``, for words that other languages say differently by where they stand: "square", of a corner
    and of a profile. The context says where, for the translator alone."""
    text = _Spoken.catalogue.lookup(context, message)
    return text.format(**facts) if facts else text


def tr_count(one: str, many: str, count: int, /, **facts: object) -> str:
    """What is counted: ``tr_count("{count} room", "{count} rooms", 3)``. ``count`` is also a fact."""
    return _Spoken.catalogue.counted(one, many, count).format(**{"count": count, **facts})


def listed(names: Sequence[str]) -> str:
    """ "A", "A and B", "A, B and C"; "" for no names."""
    *first, last = names or ("",)
    return tr("{names} and {last}", names=", ".join(first), last=last) if first else last


def quoted(name: str) -> str:
    """A name between the language's quotation marks: “A-WALL”, „A-WALL“."""
    return tr("“{name}”", name=name)


def form_of_count(one: str, many: str, count: int) -> str:
    """The form for that count as it stands in the catalogue, for libraries that put the facts in themselves."""
    return _Spoken.catalogue.counted(one, many, count)


def mark_count(one: str, many: str) -> tuple[str, str]:
    """Both forms as they are, put into the catalogue: as ``mark``."""
    return one, many


def mark(message: str) -> str:
    """The message as it is, put into the catalogue: for tables made before the language is known, whose
    entries are ``tr``-d where they are shown."""
    return message


def _as_begun() -> None:
    """A process that was begun by one that speaks a language speaks it too; what is no language is the command's to
    refuse."""
    code = os.environ.get(VARIABLE, "").partition("_")[0]
    if code in LANGUAGES:
        use_language(code)


_as_begun()
