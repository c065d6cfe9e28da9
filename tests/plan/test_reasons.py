"""Reasons of proposals are kept in one form and said in the user's language."""

from __future__ import annotations

from collections.abc import Iterator
from string import Formatter

import pytest

from takeoff.language import use_language
from takeoff.plan.reasons import REASONS, all_spoken, because, says, spoken

FIGURES = {"reason": "a plain gap in the wall", "count": "3"}


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    yield
    use_language("en")


def example(key: str) -> str:
    """A reason of that key as jobs keep it."""
    names = [name for _, name, _, _ in Formatter().parse(REASONS[key]) if name]
    facts = {
        n: "87%" if n.endswith("_percent") else "2.50" if n.endswith(("_m", "_m2", "_mm")) else "W1" for n in names
    }
    return because(key, **{name: FIGURES.get(name, text) for name, text in facts.items()})


@pytest.mark.parametrize("key", REASONS)
def test_each_reason_is_known_by_its_own_words_and_spoken_german(key: str) -> None:
    kept = example(key)
    assert spoken(kept) == kept
    use_language("de")
    said = spoken(kept)
    assert said != kept
    assert says(kept, key)
    assert "2.50" not in said


def test_figures_are_written_as_the_region_writes_them_and_what_the_drawing_says_stays() -> None:
    kept = because("print-differs", printed="12.40 m²", area_m2="12.125")
    assert kept == "the printed area is 12.40 m², the outline has 12.125 m²"
    use_language("de")
    assert spoken(kept) == "die Flächenangabe ist 12.40 m², der Umriss hat 12,125 m²"
    assert spoken("only 87% of its border is wall") == "nur 87\u00a0% der Grenze ist Wand"


def test_a_reason_within_a_reason_is_spoken_too() -> None:
    use_language("de")
    kept = because("closed-across", reason=because("plain-gap"), width_mm="900")
    assert kept == "closed across a plain gap in the wall, 900 mm wide"
    assert spoken(kept) == "Lücke von 900 mm geschlossen: eine einfache Lücke in der Wand"
    kept = because("as-door", reason=because("by-mark", mark="D1"))
    assert spoken(kept) == "ihre Bezeichnung ist D1: als Tür vorgeschlagen"


def test_what_is_in_no_table_is_shown_as_it_was_kept() -> None:
    use_language("de")
    assert all_spoken(["seen on site", "named by the text in it"]) == ("seen on site", "durch den Text darin benannt")


def test_a_reason_that_does_not_exist_or_wants_another_fact_is_a_mistake() -> None:
    with pytest.raises(KeyError):
        because("no-such-reason")
    with pytest.raises(KeyError):
        because("by-mark", words="D1")
