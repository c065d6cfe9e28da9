"""No sentence that a user meets has a word that the glossary replaces."""

from __future__ import annotations

import json
import re

from tests.language.messages import ROOT, said

NOT_YET = ("takeoff/findings/",)
"""Where the words have not been gone over yet."""

TERMS = json.loads((ROOT / "resources" / "terms" / "glossary.json").read_text(encoding="utf-8"))["terms"]


def test_no_message_has_a_word_that_the_glossary_replaces() -> None:
    wrong = []
    for term in TERMS:
        for word in term["not"]:
            pattern = re.compile(rf"\b{re.escape(word)}\b", re.IGNORECASE)
            for message in said():
                if message.path.startswith(NOT_YET):
                    continue
                wrong += [
                    f"{message.path}: “{word}” is called “{term['term']}”: {form}"
                    for form in message.forms
                    if pattern.search(form)
                ]
    assert wrong == [], "\n".join(wrong)


def test_every_term_says_what_it_means() -> None:
    assert all(term["term"] and term["for"] and term["de"] for term in TERMS)
    words = [word for term in TERMS for word in term["not"]]
    assert len(words) == len(set(words))
