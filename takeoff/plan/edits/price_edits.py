"""Edits of the price terms, from what is typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PRICED_ITEMS, PriceTerms, RateOf

HIGHEST = Decimal(10) ** 9


def set_price_terms(job: Job, terms: PriceTerms) -> Job:
    """The job with those terms."""
    return job if terms == job.price else msgspec.structs.replace(job, price=terms)


def with_way(job: Job, what: str, key: str) -> Job:
    """How the price is made (*way*: rates, built-up) or what the client sees of it (*shown*: items, lump)."""
    return set_price_terms(job, msgspec.structs.replace(job.price, **{what: key}))


def with_rates(job: Job, typed: Iterable[str]) -> Job:
    """The job with rates as typed, "walls=31.20"; others stay. Raises InputError for an item that has no rate, and
    for what is no price."""
    rates = {rate.item: rate for rate in job.price.rates}
    for text in typed:
        name, _, value = text.partition("=")
        item = next((one for one in PRICED_ITEMS if one == name.strip()), None)
        if item is None:
            raise InputError(tr("“{name}” has no rate: use {items}.", name=name, items=", ".join(PRICED_ITEMS)))
        tax = rates[item].tax if item in rates else ""
        rates[item] = RateOf(item=item, price=amount(value), tax=tax)
    return set_price_terms(job, msgspec.structs.replace(job.price, rates=tuple(rates.values())))


def with_terms(job: Job, typed: Mapping[str, str]) -> Job:
    """The job with those of its amounts and percentages as typed ("hour", "visit", "travel", "minimum", "markup",
    "tax"); an hour's rate makes it a price that is built up. Raises InputError for what is no amount."""
    fields: dict[str, object] = {}
    for name, value in typed.items():
        fields[name] = percent(value) if name in ("markup", "tax") else amount(value)
    if fields.get("hour"):
        fields["way"] = "built-up"
    return set_price_terms(job, msgspec.structs.replace(job.price, **fields))


def amount(text: str) -> str:
    """Money as typed, with a point or a comma, as the job keeps it; "" for none. Raises InputError."""
    return _decimal(text, HIGHEST, 4, tr("“{text}” is not a price: type an amount such as 31.20.", text=text))


def percent(text: str) -> str:
    """A percentage as typed. Raises InputError for one over 999, below 0 or that is none."""
    said = tr("“{text}” is not a percentage: type a number such as 19.", text=text)
    return _decimal(text.strip().removesuffix("%"), Decimal(1000), 3, said)


def _decimal(text: str, below: Decimal, places: int, said: str) -> str:
    cleaned = text.strip().replace(" ", "").replace(",", ".")
    if not cleaned:
        return ""
    try:
        value = Decimal(cleaned)
    except InvalidOperation:
        raise InputError(said) from None
    if not value.is_finite() or value < 0 or value >= below or -int(value.as_tuple().exponent) > places:
        raise InputError(said)
    return f"{value:f}"
