"""The words of the sheets, which are data (``resources/sheets``), read once per call."""

from __future__ import annotations

import msgspec

from takeoff.files.paths import resource
from takeoff.sheets.sheet_values import Line


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


def load(language: str = "en") -> Texts:
    """The words of one language; InputError when there are none for it."""
    data = resource(f"sheets/{language}.json").read_bytes()
    return msgspec.json.decode(data, type=Texts)
