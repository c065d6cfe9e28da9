"""Terms of the price as they are typed: what is read, what is refused in one sentence, what changes nothing."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.edits.price_edits import list_text
from takeoff.plan.model import Job
from takeoff.plan.price_terms import ExtraLine, FactorOf, PriceTerms, RateOf, WidthRate

OPTIONS = {"add_option", "keep_coat", "option_of", "remove_option", "with_coat"}
"""Edits of options, which are tried with the options."""

PRICED: dict[str, tuple[Any, ...]] = {
    "set_price_terms": (PriceTerms(tax="19"),),
    "with_currency": ("eur",),
    "with_difficulty": (["high=1.3"],),
    "with_extras": (["Skip hire=1 each 120"],),
    "with_list": ("by_width", "150=9.50; 300=14"),
    "with_programme": ({"people": "2"},),
    "with_rates": (["walls=31,20"],),
    "with_terms": ({"tax": "19", "valid_days": "14"},),
    "with_way": ("shown", "rooms"),
    "with_widths": (["150=9.50"],),
}


@pytest.mark.parametrize("name", PRICED)
def test_terms_that_change_nothing_give_the_very_same_job(name: str) -> None:
    edit = getattr(edits, name)
    once = edit(Job(), *PRICED[name])
    assert once != Job()
    assert edit(once, *PRICED[name]) is once


def test_terms_are_read_as_they_are_typed() -> None:
    job = edits.with_rates(Job(), ["walls=31,20 @5%", "bead= 7"])
    job = edits.with_widths(job, ["300=14 @ 5", "150 mm=9.50"])
    job = edits.with_extras(job, ["Skip hire=1 each 120", "Day work=2,5 h 42 @5%", "Waste=1 80"])
    assert job.price.rates == (RateOf(item="walls", price="31.20", tax="5"), RateOf(item="bead", price="7"))
    assert job.price.by_width == (
        WidthRate(up_to_mm=150.0, price="9.50"),
        WidthRate(up_to_mm=300.0, price="14", tax="5"),
    )
    assert job.price.extras == (
        ExtraLine(what="Skip hire", quantity="1", unit="each", price="120"),
        ExtraLine(what="Day work", quantity="2.5", unit="h", price="42", tax="5"),
        ExtraLine(what="Waste", quantity="1", unit="", price="80"),
    )
    assert edits.with_difficulty(job, ["stair=1,4"]).price.difficulty == (FactorOf(what="stair", factor=1.4),)


def test_what_nothing_is_said_of_goes() -> None:
    job = edits.with_extras(edits.with_rates(Job(), ["walls=31"]), ["Skip hire=1 each 120"])
    job = edits.with_widths(edits.with_difficulty(job, ["high=1.3"]), ["150=9.50"])
    job = edits.with_extras(edits.with_rates(job, ["walls="]), ["Skip hire="])
    job = edits.with_difficulty(edits.with_widths(job, ["150="]), ["high="])
    assert job.price == PriceTerms()


@pytest.mark.parametrize("key", ["by_width", "extras", "difficulty"])
def test_lists_are_read_back_as_they_are_shown(key: str) -> None:
    job = edits.with_widths(Job(), ["300=14 @5", "150=9.50"])
    job = edits.with_difficulty(edits.with_extras(job, ["Skip hire=1 each 120", "Day work=2.5 h 42 @5%"]), ["high=1.3"])
    assert edits.with_list(job, key, list_text(job.price, key)) is job
    assert getattr(edits.with_list(job, key, "").price, key) == ()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("with_rates", (["roof=3"],), "has no rate"),
        ("with_rates", (["walls=-3"],), "is not a price"),
        ("with_rates", (["walls=3 1/2"],), "is not a price"),
        ("with_rates", (["walls=1e3"],), "is not a price"),
        ("with_rates", (["walls=1,234"],), "is not a price"),
        ("with_rates", (["walls=3 @1000"],), "is not a percentage"),
        ("with_terms", ({"tax": "1000 %"},), "is not a percentage"),
        ("with_terms", ({"tax": "-1"},), "is not a percentage"),
        ("with_terms", ({"hour": "-42"},), "is not a price"),
        ("with_terms", ({"valid_days": "0"},), "valid for 1 to"),
        ("with_terms", ({"valid_days": "soon"},), "valid for 1 to"),
        ("with_widths", (["0=3"],), "is not a width"),
        ("with_widths", (["6000=3"],), "is not a width"),
        ("with_extras", (["Skip hire"],), "is not a line with a price"),
        ("with_extras", (["Skip hire=120"],), "is not a line with a price"),
        ("with_extras", (["Skip hire=one each 120"],), "is not a price"),
        ("with_difficulty", (["dark=2"],), "is not a difficulty"),
        ("with_difficulty", (["high=0"],), "is not a factor"),
        ("with_difficulty", (["high=20"],), "is not a factor"),
        ("with_currency", ("XQQ",), "is not a currency"),
        ("with_way", ("shown", "hours"), "is not known"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence_and_nothing_is_lost(
    name: str, typed: tuple[Any, ...], said: str
) -> None:
    before = edits.with_rates(Job(), ["walls=31"])
    kept = msgspec.json.encode(before)
    with pytest.raises(InputError, match=said) as error:
        getattr(edits, name)(before, *typed)
    assert str(error.value).endswith(".")
    assert str(error.value).count(". ") == 0
    assert msgspec.json.encode(before) == kept
