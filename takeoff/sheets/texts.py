"""The words of the sheets, which are data (``resources/sheets``), said in the user's language."""

from __future__ import annotations

from typing import TypeVar

import msgspec

from takeoff.files.from_outside import with_texts
from takeoff.files.paths import resource
from takeoff.language import tr
from takeoff.sheets.sheet_values import Line

T = TypeVar("T")


class Texts(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Words by what they are for; the keys are the same in every language."""

    words: dict[str, str]
    key: dict[str, str]
    quantities: dict[str, str]
    kinds: dict[str, dict[str, str]]
    billed: dict[str, str]
    tables: dict[str, str]
    heads: dict[str, str]
    severities: dict[str, str]
    confidence: dict[str, str]
    opening_kinds: dict[str, str]
    cautions_title: str
    cautions: tuple[Line, ...]
    conditions_title: str
    conditions: tuple[Line, ...]
    sign: tuple[str, ...]


def load() -> Texts:
    """The words in the language that is spoken."""
    return worded("sheets/sheets.json", Texts)


def worded(path: str, kind: type[T]) -> T:
    """A data file of words as a value of that type, each of its texts said in the user's language."""
    return msgspec.convert(with_texts(msgspec.json.decode(resource(path).read_bytes()), tr), kind)
