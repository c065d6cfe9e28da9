"""What is said comes out of one catalogue, whole in every language."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from string import Formatter

import pytest
from babel.messages.pofile import read_po

from takeoff.language import LANGUAGES, language, listed, mark, tr, tr_as, tr_count, use_language
from takeoff.language.catalogue import Catalogue, use_catalogue
from tests.language.messages import FOLDER, merged, said, written

OTHERS = [code for code in LANGUAGES if code != "en"]


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    yield
    use_language("en")


def _speak(messages: dict[tuple[str | None, str], tuple[str, ...]]) -> None:
    use_catalogue("de", Catalogue(messages, lambda count: 0 if count == 1 else 1))


def test_message_is_said_with_its_facts() -> None:
    assert tr("{room} has {count} walls", room="Hall", count=4) == "Hall has 4 walls"
    _speak({(None, "{room} has {count} walls"): ("{count} Wände hat {room}",)})
    assert tr("{room} has {count} walls", room="Hall", count=4) == "4 Wände hat Hall"


def test_what_is_counted_has_a_form_for_one() -> None:
    assert tr_count("{count} room", "{count} rooms", 1) == "1 room"
    assert tr_count("{count} room", "{count} rooms", 0) == "0 rooms"
    _speak({(None, "{count} room"): ("{count} Raum", "{count} Räume")})
    assert [tr_count("{count} room", "{count} rooms", count) for count in (0, 1, 2)] == ["0 Räume", "1 Raum", "2 Räume"]


def test_same_word_is_said_by_its_place() -> None:
    _speak({("corner", "square"): ("rechtwinklig",), (None, "square"): ("Quadrat",)})
    assert tr_as("corner", "square") == "rechtwinklig"
    assert tr("square") == "Quadrat"


def test_names_are_listed_as_people_list_them() -> None:
    assert [listed(names) for names in ((), ("A",), ("A", "B"), ("A", "B", "C"))] == ["", "A", "A and B", "A, B and C"]
    _speak({(None, "{names} and {last}"): ("{names} und {last}",)})
    assert listed(("A", "B", "C")) == "A, B und C"


def test_what_has_no_translation_is_said_in_english() -> None:
    _speak({})
    assert tr("Height") == "Height"
    assert mark("Height") == "Height"


def test_language_that_nobody_wrote_is_refused() -> None:
    with pytest.raises(LookupError):
        use_language("xx")
    assert language() == "en"


def test_a_fact_that_is_lacking_is_an_error() -> None:
    with pytest.raises(KeyError):
        tr("{room} has {count} walls", room="Hall")


@pytest.mark.parametrize("code", OTHERS)
def test_catalogue_holds_exactly_what_is_said(code: str) -> None:
    assert (FOLDER / f"{code}.po").read_bytes() == written(merged(code)), "run python -m tests.language.messages"


@pytest.mark.parametrize("code", OTHERS)
def test_translations_have_the_facts_of_their_message(code: str) -> None:
    with (FOLDER / f"{code}.po").open("rb") as stream:
        entries = [entry for entry in read_po(stream, locale=code) if entry.id]
    wrong = []
    for entry in entries:
        ours = entry.id if isinstance(entry.id, tuple | list) else (entry.id,)
        theirs = entry.string if isinstance(entry.string, tuple | list) else (entry.string,)
        known = set().union(*(_facts(text) for text in ours))
        for text in filter(None, theirs):
            if not _facts(text) <= known or (len(theirs) == 1 and _facts(text) != known):
                wrong.append((ours[0], text))
    assert wrong == []


def _facts(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_messages_have_named_facts() -> None:
    unnamed = [form for message in said() for form in message.forms if re.search(r"\{\}|\{\d|%[sd]", form)]
    assert unnamed == []


def test_process_that_is_begun_speaks_as_its_parent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEOFF_LANGUAGE", "")
    use_language("de")
    code = "from takeoff.language import language, number; print(language(), number(12345))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.split() == ["de", "12.345"]
