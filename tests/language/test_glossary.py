"""No sentence that a user meets has a word that the glossary replaces: window, command, sheets, findings, forms, what a
schema says of its fields, the data files that come with the program, and the README."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from takeoff.services.measured.job_result import schema_json
from tests.language.messages import ROOT, said

TERMS = json.loads((ROOT / "resources" / "terms" / "glossary.json").read_text(encoding="utf-8"))["terms"]

KEPT_AS_THEY_WERE = frozenset({"glossary.json", "sentences_kept.json"})
"""The glossary itself, and sentences by which older jobs know what was settled."""


def replaced(text: str) -> list[str]:
    """What the glossary says of the words of a text; names of facts and of fields are no words."""
    text = re.sub(r"{[^{}]*}|``[^`]*``|`[^`]*`", " ", text)
    return [
        f"“{word}” is called “{term['term']}”: {text}"
        for term in TERMS
        for word in term["not"]
        if re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE)
    ]


def test_no_message_has_a_word_that_the_glossary_replaces() -> None:
    wrong = [f"{message.path}: {one}" for message in said() for form in message.forms for one in replaced(form)]
    assert wrong == [], "\n".join(wrong)


def texts_of(value: Any, only: frozenset[str] | None = None, key: str = "") -> Iterator[str]:
    """The texts of a value; of the fields of these names alone where there are any."""
    if isinstance(value, str) and (only is None or key in only):
        yield value
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from texts_of(inner, only, name)
    elif isinstance(value, list):
        for inner in value:
            yield from texts_of(inner, only, key)


@pytest.mark.parametrize("kind", ["job", "result"])
def test_what_a_schema_says_of_its_fields_has_the_words_of_the_glossary(kind: str) -> None:
    said_there = list(texts_of(json.loads(schema_json(kind)), frozenset({"description"})))  # type: ignore[arg-type]
    assert len(said_there) > 15
    assert [one for text in said_there for one in replaced(text)] == []


def test_data_that_comes_with_the_program_has_the_words_of_the_glossary() -> None:
    files = [path for path in (ROOT / "resources").rglob("*.json") if path.name not in KEPT_AS_THEY_WERE]
    assert len(files) > 20
    wrong = [
        f"{path.name}: {one}"
        for path in files
        for text in texts_of(json.loads(path.read_text(encoding="utf-8")))
        for one in replaced(text)
    ]
    assert wrong == []


def test_readme_has_the_words_of_the_glossary() -> None:
    words, _, _ = (ROOT / "README.md").read_text(encoding="utf-8").partition("\n## Licence")
    words = re.sub(r"```.*?```", "", words, flags=re.DOTALL)
    assert [one for line in words.splitlines() for one in replaced(line)] == []


def test_a_word_that_is_replaced_is_seen() -> None:
    assert replaced("The wall is left bare.") == ["“left bare” is called “not coated”: The wall is left bare."]
    assert replaced("{left_bare} and ``left on``") == []


def test_every_term_says_what_it_means() -> None:
    assert all(term["term"] and term["for"] and term["de"] for term in TERMS)
    words = [word for term in TERMS for word in term["not"]]
    assert len(words) == len(set(words))
