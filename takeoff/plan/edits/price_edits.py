"""Edits of the price terms, from what is typed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal, InvalidOperation

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import DIFFICULTIES, PRICED_ITEMS, ExtraLine, FactorOf, PriceTerms, RateOf, WidthRate
from takeoff.units.currencies import CURRENCIES

WAYS = ("rates", "built-up")
SHOWN = ("lump", "rooms", "items")

HIGHEST = Decimal(10) ** 9


def set_price_terms(job: Job, terms: PriceTerms) -> Job:
    """The job with those terms."""
    return job if terms == job.price else msgspec.structs.replace(job, price=terms)


def with_way(job: Job, what: str, key: str) -> Job:
    """How the price is made (*way*: rates, built-up) or what the client sees of it (*shown*: lump, rooms, items).
    Raises InputError for another word."""
    known = WAYS if what == "way" else SHOWN
    if key not in known:
        raise InputError(tr("“{text}” is not known: use {known}.", text=key, known=", ".join(known)))
    return set_price_terms(job, msgspec.structs.replace(job.price, **{what: key}))


def with_rates(job: Job, typed: Iterable[str]) -> Job:
    """The job with rates as typed, "walls=31.20" or, with a tax of its own, "walls=31.20 @5%"; others stay. Raises
    InputError for an item that has no rate, and for what is no price."""
    rates = {rate.item: rate for rate in job.price.rates}
    for text in typed:
        name, _, value = text.partition("=")
        item = next((one for one in PRICED_ITEMS if one == name.strip()), None)
        if item is None:
            raise InputError(tr("“{name}” has no rate: use {items}.", name=name, items=", ".join(PRICED_ITEMS)))
        price, tax = _price_and_tax(value)
        if price:
            rates[item] = RateOf(item=item, price=price, tax=tax)
        else:
            rates.pop(item, None)
    return _with_price(job, rates=tuple(rates.values()))


def with_widths(job: Job, typed: Iterable[str]) -> Job:
    """The job with prices of a metre up to a width in mm, "150=9.50"; others stay, one without a price goes. Raises
    InputError for a width that nothing narrow has, and for what is no price."""
    steps = {step.up_to_mm: step for step in job.price.by_width}
    for text in typed:
        name, _, value = text.partition("=")
        up_to = _decimal(name.removesuffix("mm"), _WIDEST_MM + 1, 1, _no_width(name))
        if not up_to or Decimal(up_to) < 1:
            raise InputError(_no_width(name))
        price, tax = _price_and_tax(value)
        steps.pop(float(up_to), None)
        if price:
            steps[float(up_to)] = WidthRate(up_to_mm=float(up_to), price=price, tax=tax)
    return _with_price(job, by_width=tuple(steps[key] for key in sorted(steps)))


def with_extras(job: Job, typed: Iterable[str]) -> Job:
    """The job with lines that are priced by themselves as typed, "Skip hire=1 each 120" or, with a tax of its own,
    "Day work=3 h 42 @5%"; others stay, one that nothing is said of ("Skip hire=") goes. Raises InputError for what
    cannot be read so."""
    extras = {extra.what: extra for extra in job.price.extras}
    for text in typed:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not name or not equals:
            raise InputError(_no_extra(text))
        if not value:
            extras.pop(name, None)
            continue
        said, _, tax = value.partition("@")
        quantity, *unit, price = (*said.split(), "") if len(said.split()) < 2 else said.split()
        if not price:
            raise InputError(_no_extra(text))
        what = name[:_LONGEST_NAME]
        extras[what] = ExtraLine(
            what=what,
            quantity=amount(quantity),
            unit=" ".join(unit)[:_LONGEST_UNIT],
            price=amount(price),
            tax=percent(tax),
        )
    return _with_price(job, extras=tuple(extras.values()))


def with_difficulty(job: Job, typed: Iterable[str]) -> Job:
    """The job with what makes work slower as typed, "ceiling=1.25"; others stay, one without a number is as usual.
    Raises InputError for a difficulty that is none and for a factor that nobody can mean."""
    factors = {one.what: one for one in job.price.difficulty}
    for text in typed:
        name, _, value = text.partition("=")
        what = next((one for one in DIFFICULTIES if one == name.strip()), None)
        if what is None:
            raise InputError(tr("“{name}” is not a difficulty: use {items}.", name=name, items=", ".join(DIFFICULTIES)))
        said = tr("“{text}” is not a factor of 0.1 to 10: type a number such as 1.25.", text=value)
        factor = _decimal(value, Decimal("10.001"), 3, said)
        if factor and Decimal(factor) < Decimal("0.1"):
            raise InputError(said)
        factors.pop(what, None)
        if factor:
            factors[what] = FactorOf(what=what, factor=float(factor))
    return _with_price(job, difficulty=tuple(factors[one] for one in DIFFICULTIES if one in factors))


def with_list(job: Job, key: str, text: str) -> Job:
    """The job with all of its widths, extras or difficulties as they stand in one field, between semicolons; "" for
    none. Raises InputError as the edit of one does."""
    edit, field = _LISTS[key]
    cleared = _with_price(job, **{field: ()})
    new = edit(cleared, [part for part in text.split(";") if part.strip()])
    return job if new.price == job.price else new


def with_terms(job: Job, typed: Mapping[str, str]) -> Job:
    """The job with those of its amounts and percentages as typed ("hour", "visit", "travel", "minimum", "markup",
    "tax", "dryer_day", "valid_days"); an hour's rate makes it a price that is built up. Raises InputError for what is
    no amount."""
    fields: dict[str, object] = {}
    for name, value in typed.items():
        if name == "valid_days":
            fields[name] = _days(value)
        else:
            fields[name] = percent(value) if name in ("markup", "tax") else amount(value)
    if fields.get("hour"):
        fields["way"] = "built-up"
    return _with_price(job, **fields)


def with_currency(job: Job, typed: str) -> Job:
    """The job with the currency of its prices, a code such as EUR; "" for that of the coating system. Raises InputError
    for a code that no money has."""
    code = typed.strip().upper()
    if code and code not in CURRENCIES:
        raise InputError(tr("“{text}” is not a currency: type its code, such as EUR or GBP.", text=typed.strip()))
    if code == job.details.currency:
        return job
    return msgspec.structs.replace(job, details=msgspec.structs.replace(job.details, currency=code))


def _with_price(job: Job, **fields: object) -> Job:
    return set_price_terms(job, msgspec.structs.replace(job.price, **fields))


_LISTS: dict[str, tuple[Callable[[Job, Iterable[str]], Job], str]] = {
    "by_width": (with_widths, "by_width"),
    "extras": (with_extras, "extras"),
    "difficulty": (with_difficulty, "difficulty"),
}


def list_text(terms: PriceTerms, key: str) -> str:
    """A list of the terms as ``with_list`` reads it."""
    said = {
        "by_width": [f"{step.up_to_mm:g}={step.price}{_tax_text(step.tax)}" for step in terms.by_width],
        "extras": [f"{e.what}={_words(e.quantity, e.unit, e.price)}{_tax_text(e.tax)}" for e in terms.extras],
        "difficulty": [f"{one.what}={one.factor:g}" for one in terms.difficulty],
    }
    return "; ".join(said[key])


def rate_text(rate: RateOf) -> str:
    """A rate as ``with_rates`` reads it after its item."""
    return f"{rate.price}{_tax_text(rate.tax)}"


def _words(*texts: str) -> str:
    return " ".join(text for text in texts if text)


def _tax_text(tax: str) -> str:
    return f" @{tax}%" if tax else ""


def _price_and_tax(text: str) -> tuple[str, str]:
    price, _, tax = text.partition("@")
    return amount(price), percent(tax)


def _no_width(name: str) -> str:
    return tr("“{text}” is not a width: type mm from 1 to 5000, such as 150=9.50.", text=name.strip())


def _no_extra(text: str) -> str:
    return tr("“{text}” is not a line with a price: type it as Skip hire=1 each 120.", text=text.strip())


def _days(text: str) -> int:
    """Raises InputError for days that no offer is valid."""
    if not text.strip().isdecimal() or not 1 <= int(text) <= _MOST_DAYS:
        raise InputError(tr("An offer is valid for 1 to 3,650 days, not {days}.", days=text.strip()))
    return int(text)


_MOST_DAYS = 3650
_WIDEST_MM = Decimal(5000)
_LONGEST_NAME, _LONGEST_UNIT = 120, 20


def amount(text: str) -> str:
    """Money as typed, with a point or a comma, as the job keeps it; "" for none. Raises InputError."""
    return _decimal(text, HIGHEST, 4, tr("“{text}” is not a price: type an amount such as 31.20.", text=text.strip()))


def percent(text: str) -> str:
    """A percentage as typed. Raises InputError for one over 999, below 0 or that is none."""
    said = tr("“{text}” is not a percentage: type a number such as 19.", text=text.strip())
    return _decimal(text.strip().removesuffix("%"), Decimal(1000), 3, said)


def _decimal(text: str, below: Decimal, places: int, said: str) -> str:
    cleaned = text.strip().replace(" ", "").replace("\u00a0", "")
    if not cleaned:
        return ""
    # a comma before three figures parts thousands where it does not mark decimals: nobody can tell
    if cleaned.count(",") == 1 and "." not in cleaned and len(cleaned.partition(",")[2]) != _THOUSAND:
        cleaned = cleaned.replace(",", ".")
    if not cleaned.replace(".", "").isdecimal() or not cleaned.isascii():
        raise InputError(said)
    try:
        value = Decimal(cleaned)
    except InvalidOperation:
        raise InputError(said) from None
    if not value.is_finite() or value < 0 or value >= below or -int(value.as_tuple().exponent) > places:
        raise InputError(said)
    return f"{value:f}"


_THOUSAND = 3
"""Figures between marks of thousands."""
