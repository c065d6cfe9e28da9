"""Offers to the cent, by hand and against fractions: amounts rounded once, tax once for each rate."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan.price_terms import ExtraLine, PriceTerms, RateOf, WidthRate
from takeoff.price.offer import (
    Built,
    Offer,
    OfferLine,
    Quantities,
    built_up,
    by_rates,
    shared_lines,
    shared_out,
    step_of,
    worth,
)

RATES = (RateOf(item="walls", price="31.20"), RateOf(item="reveals", price="48"), RateOf(item="bead", price="6.75"))
ROOM = Quantities({"walls": Decimal("24.36"), "reveals": Decimal("1.26"), "bead": Decimal("9.80")})


def test_offer_by_rates_by_hand() -> None:
    """24.36 × 31.20 = 760.03; 1.26 × 48 = 60.48; 9.80 × 6.75 = 66.15; together 886.66; 20 % of it 177.33."""
    offer = by_rates(PriceTerms(rates=RATES, tax="20"), ROOM)
    assert [line.amount for line in offer.lines] == [Decimal("760.03"), Decimal("60.48"), Decimal("66.15")]
    assert (offer.net, offer.taxes[0].tax, offer.gross) == (Decimal("886.66"), Decimal("177.33"), Decimal("1063.99"))


def test_tax_is_rounded_once_for_each_rate() -> None:
    """Three lines of 0.33 at 5 %: 0.05 on 0.99, where each by itself would make 0.06; one line at 20 % apart."""
    extras = tuple(ExtraLine(what=f"hook {n}", quantity="1", unit="each", price="0.33", tax="5") for n in range(3))
    extras = (*extras, ExtraLine(what="hire", quantity="2", unit="days", price="15"))
    offer = by_rates(PriceTerms(tax="20", extras=extras), Quantities({}))
    assert [(one.rate, one.net, one.tax) for one in offer.taxes] == [
        (Decimal(5), Decimal("0.99"), Decimal("0.05")),
        (Decimal(20), Decimal("30.00"), Decimal("6.00")),
    ]
    assert offer.gross == Decimal("37.04")


def test_what_has_no_price_is_not_known_and_has_no_total() -> None:
    offer = by_rates(PriceTerms(rates=RATES[:1]), ROOM)
    assert offer.unknown == ("Coat on reveals", "New corner bead")
    assert (offer.net, offer.gross, offer.taxes) == (None, None, ())


def test_minimum_makes_up_a_small_job() -> None:
    offer = by_rates(PriceTerms(rates=RATES, minimum="1000"), ROOM)
    assert (offer.lines[-1].amount, offer.net) == (Decimal("113.34"), Decimal("1000.00"))
    assert len(by_rates(PriceTerms(rates=RATES, minimum="800"), ROOM).lines) == 3


BUILT = Built((("Coating", Decimal("6.50")), ("Sanding", Decimal("1.25"))), 3, Decimal("124.50"))


def test_built_up_offer_by_hand() -> None:
    """6.50 and 1.25 h at 42 are 273 and 52.50; three visits of 25 and 12 are 111; with 124.50 of material 561;
    with 18 % on it 661.98."""
    terms = PriceTerms(way="built-up", hour="42", visit="25", travel="12", markup="18", tax="19")
    offer = built_up(terms, BUILT)
    assert [part.amount for part in offer.built] == [
        Decimal("273.00"),
        Decimal("52.50"),
        Decimal("111.00"),
        Decimal("124.50"),
    ]
    assert (offer.net, offer.gross) == (Decimal("661.98"), Decimal("787.76"))
    assert [line.what for line in offer.lines] == ["The work as described"]


@pytest.mark.parametrize(
    ("terms", "built", "lacks"),
    [
        (PriceTerms(visit="25"), BUILT, ("Coating", "Sanding")),
        (PriceTerms(hour="42"), BUILT, ("Visits",)),
        (
            PriceTerms(hour="42", visit="25"),
            msgspec.structs.replace(BUILT, materials=None),
            ("Materials in whole packs",),
        ),
    ],
)
def test_built_up_offer_lacks_what_is_not_known(terms: PriceTerms, built: Built, lacks: tuple[str, ...]) -> None:
    offer = built_up(terms, built)
    assert offer.unknown == lacks
    assert offer.gross is None


def test_nothing_to_price_costs_nothing() -> None:
    assert by_rates(PriceTerms(), Quantities({})).gross == Decimal(0)


@pytest.mark.parametrize(
    ("terms", "said"), [(PriceTerms(tax="100"), "cannot be"), (PriceTerms(valid_days=0), "valid for")]
)
def test_terms_that_nobody_means_are_refused(terms: PriceTerms, said: str) -> None:
    with pytest.raises(InputError, match=said):
        by_rates(terms, ROOM)


def test_negative_rate_and_more_than_999_per_cent_are_no_terms() -> None:
    for bad in (
        b'{"tax": "1000"}',
        b'{"tax": "-1"}',
        b'{"hour": "-5"}',
        b'{"rates": [{"item": "walls", "price": "-1"}]}',
    ):
        with pytest.raises(msgspec.ValidationError):
            msgspec.json.decode(bad, type=PriceTerms)


def _half_up(value: Fraction) -> Decimal:
    cents = (value * 100 + Fraction(1, 2)).__floor__()
    return Decimal(cents) / 100


@pytest.mark.parametrize("seed", range(60))
def test_random_offers_close_to_the_cent(seed: int) -> None:
    """Against fractions: each amount half up, tax on the sum of its rate half up, and all of it adds up."""
    chance = random.Random(seed)
    rates = tuple(
        RateOf(item=item, price=f"{chance.randint(0, 9999) / 100:.2f}", tax=chance.choice(["", "5", "7.7", "19"]))
        for item in ("walls", "ceilings", "reveals", "bead")
    )
    quantities = {rate.item: Decimal(chance.randint(1, 50_000)) / 100 for rate in rates}
    offer: Offer = by_rates(PriceTerms(rates=rates, tax="20"), Quantities(quantities))
    amounts: dict[Fraction, Decimal] = {}
    for rate in rates:
        amount = _half_up(Fraction(quantities[rate.item]) * Fraction(rate.price))
        percent = Fraction(rate.tax or "20")
        amounts[percent] = amounts.get(percent, Decimal(0)) + amount
    tax = sum((_half_up(Fraction(net) * percent / 100) for percent, net in amounts.items()), Decimal(0))
    assert offer.net == sum(amounts.values(), Decimal(0))
    assert offer.gross == sum(amounts.values(), Decimal(0)) + tax


@pytest.mark.parametrize("seed", range(30))
def test_a_sum_that_is_shared_out_adds_up(seed: int) -> None:
    chance = random.Random(seed)
    total = Decimal(chance.randint(0, 1_000_000)) / 100
    weights = [Decimal(chance.randint(0, 5000)) / 100 for _ in range(chance.randint(1, 12))]
    parts = shared_out(total, weights)
    assert sum(parts) == total
    whole = sum(weights)
    assert whole == 0 or all(abs(p - total * w / whole) <= Decimal("0.01") for p, w in zip(parts, weights, strict=True))


def test_a_third_each_by_hand() -> None:
    assert shared_out(Decimal(100), [Decimal(1)] * 3) == (Decimal("33.34"), Decimal("33.33"), Decimal("33.33"))
    assert shared_out(Decimal(5), []) == ()
    assert shared_out(Decimal(5), [Decimal(0), Decimal(0)]) == (Decimal(5), Decimal(0))


def test_metres_by_width_have_a_price_of_their_own() -> None:
    """10.40 m up to 150 mm at 9.50 are 98.80; 4.00 m up to 300 mm at 14 are 56.00; 24.36 × 31.20 is 760.03."""
    terms = PriceTerms(
        rates=RATES, by_width=(WidthRate(up_to_mm=300, price="14", tax="5"), WidthRate(up_to_mm=150, price="9.50"))
    )
    items = Quantities({"walls": Decimal("24.36")}, {150: Decimal("10.40"), 300: Decimal("4.00")})
    offer = by_rates(terms, items)
    assert [line.amount for line in offer.lines] == [Decimal("760.03"), Decimal("98.80"), Decimal("56.00")]
    assert [line.tax for line in offer.lines] == [0, 0, 5]
    assert worth(terms, items) == Decimal("760.032") + Decimal("98.80") + Decimal("56.00")
    assert [step_of(terms, width).up_to_mm if step_of(terms, width) else None for width in (100, 150, 151, 301)] == [
        150,
        150,
        300,
        None,
    ]


def test_hire_with_a_tax_of_its_own_stands_apart_in_a_price_that_is_built_up() -> None:
    """561 + 18 % is 661.98 at 19 %; a skip of 100 + 18 % is 118.00 at 5 %: tax 125.78 and 5.90."""
    skip = ExtraLine(what="Skip hire", quantity="1", unit="each", price="100", tax="5")
    terms = PriceTerms(way="built-up", hour="42", visit="25", travel="12", markup="18", tax="19", extras=(skip,))
    offer = built_up(terms, BUILT)
    assert [(line.what, line.amount) for line in offer.lines] == [
        ("The work as described", Decimal("661.98")),
        ("Skip hire", Decimal("118.00")),
    ]
    assert [(one.rate, one.tax) for one in offer.taxes] == [(5, Decimal("5.90")), (19, Decimal("125.78"))]
    assert offer.gross == Decimal("911.66")


def test_an_offer_is_shared_out_and_what_is_made_up_stays() -> None:
    """886.66 by three equal weights: 295.56, 295.55, 295.55; 113.34 make it up to 1000."""
    offer = by_rates(PriceTerms(rates=RATES, minimum="1000"), ROOM)
    parts = [OfferLine(name, Decimal(1), "", None, None, Decimal(0), "work") for name in ("A", "B", "C")]
    shared = shared_lines(offer, parts, [Decimal(1)] * 3)
    assert [line.amount for line in shared] == [
        Decimal("295.56"),
        Decimal("295.55"),
        Decimal("295.55"),
        Decimal("113.34"),
    ]
    assert shared_lines(by_rates(PriceTerms(rates=RATES[:1]), ROOM), parts, [Decimal(1)] * 3) == ()
