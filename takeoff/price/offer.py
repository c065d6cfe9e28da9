"""An offer: lines, sums by tax rate, tax and total, to the smallest coin.

Each amount is rounded once, tax once for each rate on the sum of its lines, so that a calculator agrees with the
page. What has no price is *not known*, and no total stands over it. Nothing here is a binary number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.price_terms import PRICED_ITEMS, PricedItem, PriceTerms, WidthRate
from takeoff.units.printing import money

HIGHEST_TAX = Decimal(50)
"""Per cent; no country asks more of such work (common practice, no source)."""

ITEM_NAMES: dict[PricedItem, tuple[str, str]] = {
    "walls": (mark("Coat on walls"), "m²"),
    "ceilings": (mark("Coat on ceilings"), "m²"),
    "drops": (mark("Coat on bulkheads and boxing"), "m²"),
    "reveals": (mark("Coat on reveals"), "m²"),
    "bead": (mark("New corner bead"), "m"),
    "narrow": (mark("Narrow widths, by length"), "m"),
    "strip": (mark("Strip linings and loose paint"), "m²"),
    "treat": (mark("Treat mould"), "m²"),
    "skim": (mark("Skim level"), "m²"),
    "second-base": (mark("Second base coat"), "m²"),
    "specialist": (mark("Specialist survey, room by room"), mark("each")),
    "radiators": (mark("Radiators off and on"), mark("each")),
    "sockets": (mark("Sockets and switches off and on"), mark("each")),
    "vents": (mark("Vents kept open"), mark("each")),
    "poles": (mark("Curtain poles off and on"), mark("each")),
    "hatches": (mark("Hatches kept open"), mark("each")),
}
"""What each item is called, and its unit."""


def said_unit(unit: str) -> str:
    """A unit as it is said: "m²", "each" in the user's language."""
    return tr(unit) if unit.isalpha() and len(unit) > 1 else unit


class OfferLine(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One line. ``price`` and ``amount`` None: not known. ``of``: what it prices: a *measured* quantity, an *extra*
    line, the *work* as one sum or a share of it, or what is *made up* to the minimum."""

    what: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    amount: Decimal | None
    tax: Decimal
    of: Literal["measured", "extra", "work", "made up"] = "measured"


class TaxSum(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The lines of one tax rate (per cent): their sum and the tax on it."""

    rate: Decimal
    net: Decimal
    tax: Decimal


class Offer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Lines and sums. ``net``, ``gross`` None while a line is not known (``unknown`` names them).

    ``built``: the lines that the price was built from, for the contractor alone. ``by_room``, ``by_item``: the same
    net sum in other lines, as the client may see it; empty where it was not shared out.
    """

    lines: tuple[OfferLine, ...]
    taxes: tuple[TaxSum, ...]
    net: Decimal | None
    gross: Decimal | None
    unknown: tuple[str, ...]
    built: tuple[OfferLine, ...] = ()
    by_room: tuple[OfferLine, ...] = ()
    by_item: tuple[OfferLine, ...] = ()


class Quantities(msgspec.Struct, frozen=True):
    """Printed quantities: what is printed is what is priced. ``by_width``: m by the steps of the terms, in mm."""

    items: Mapping[PricedItem, Decimal]
    by_width: Mapping[float, Decimal] = {}


class Built(msgspec.Struct, frozen=True):
    """What a built-up price stands on: hours by activity (printed), visits, what the packs cost (None: not known);
    ``rated``: what has a rate of its own there too, such as surveys and counted items."""

    hours: tuple[tuple[str, Decimal], ...]
    visits: int
    materials: Decimal | None
    rated: tuple[tuple[PricedItem, Decimal], ...] = ()


def by_rates(terms: PriceTerms, quantities: Quantities, places: int = 2) -> Offer:
    """The offer by measured quantities. Items without a quantity have no line; an item without a rate is not known.

    Raises InputError for a tax that no country has.
    """
    checked(terms)
    rates = {rate.item: rate for rate in terms.rates}
    lines = []
    for item in PRICED_ITEMS:
        quantity = quantities.items.get(item, Decimal(0))
        if quantity:
            rate = rates.get(item)
            name, unit = ITEM_NAMES[item]
            tax = _percent(rate.tax if rate and rate.tax else terms.tax)
            lines.append(_line(tr(name), quantity, said_unit(unit), rate.price if rate else "", tax, places))
    for step in width_steps(terms):
        quantity = quantities.by_width.get(step.up_to_mm, Decimal(0))
        if quantity:
            name = tr("Reveals and narrow work, up to {width} mm wide", width=f"{step.up_to_mm:g}")
            lines.append(_line(name, quantity, "m", step.price, _percent(step.tax or terms.tax), places))
    lines += _extras(terms, places)
    return _summed(_at_least(lines, terms, places), places)


def width_steps(terms: PriceTerms) -> tuple[WidthRate, ...]:
    """The steps by width, narrowest first."""
    return tuple(sorted(terms.by_width, key=lambda step: step.up_to_mm))


def step_of(terms: PriceTerms, width_mm: float) -> WidthRate | None:
    """The step that a width goes into; None where it is wider than all."""
    return next((step for step in width_steps(terms) if width_mm <= step.up_to_mm + _SAME_WIDTH_MM), None)


_SAME_WIDTH_MM = 0.05


def worth(terms: PriceTerms, quantities: Quantities) -> Decimal:
    """Quantities × rates, not rounded, what has no rate left out: by it an offer is shared among rooms."""
    rates = {rate.item: Decimal(rate.price) for rate in terms.rates if rate.price}
    steps = {step.up_to_mm: Decimal(step.price) for step in terms.by_width if step.price}
    items = (quantity * rates.get(item, 0) for item, quantity in quantities.items.items())
    narrow = (metres * steps.get(step, 0) for step, metres in quantities.by_width.items())
    return sum((*items, *narrow), Decimal(0))


def built_up(terms: PriceTerms, built: Built, places: int = 2) -> Offer:
    """The offer built up from hours, visits, materials and extras, with mark-up; the parts are in ``built``. It is one
    sum, but that an extra with a tax of its own stands apart. Raises as ``by_rates`` does."""
    checked(terms)
    tax = _percent(terms.tax)
    parts = [_line(tr(what), hours, "h", terms.hour, tax, places) for what, hours in built.hours if hours]
    each = _sum_text(terms.visit, terms.travel)
    if built.visits:
        parts.append(_line(tr("Visits"), Decimal(built.visits), tr("visits"), each, tax, places))
    materials = "" if built.materials is None else f"{built.materials:f}"
    parts.append(_line(tr("Materials in whole packs"), Decimal(1), "", materials, tax, places))
    parts += _rated(terms, built.rated, tax, places) + _extras(terms, places)
    unknown = tuple(part.what for part in parts if part.amount is None)
    more = 1 + _percent(terms.markup) / 100
    lines = []
    own = [part for part in parts if part.tax == tax]
    cost = None if unknown else sum((part.amount for part in own if part.amount is not None), Decimal(0))
    whole = None if cost is None else money(cost * more, places)
    lines.append(OfferLine(tr("The work as described"), Decimal(1), "", whole, whole, tax, "work"))
    for part in parts:
        if part.tax != tax:
            amount = None if part.amount is None else money(part.amount * more, places)
            lines.append(OfferLine(part.what, Decimal(1), "", amount, amount, part.tax, "extra"))
    offer = _summed(_at_least(lines, terms, places), places)
    return msgspec.structs.replace(offer, built=tuple(parts), unknown=unknown)


def shared_lines(offer: Offer, parts: Sequence[OfferLine], weights: Sequence[Decimal]) -> tuple[OfferLine, ...]:
    """The offer's lines with what is measured, or the work, shared out among ``parts`` by weight; the other lines stay.
    The same net sum to the coin; empty where it is not known."""
    own = [line for line in offer.lines if line.of in ("measured", "work")]
    if offer.net is None or not own or not parts:
        return ()
    amounts = shared_out(sum((line.amount or Decimal(0) for line in own), Decimal(0)), weights)
    shared = [msgspec.structs.replace(p, amount=a) for p, a in zip(parts, amounts, strict=True)]
    return (*shared, *(line for line in offer.lines if line not in own))


def _rated(
    terms: PriceTerms, rated: Sequence[tuple[PricedItem, Decimal]], tax: Decimal, places: int
) -> list[OfferLine]:
    """Lines by rate within a price that is built up."""
    rates = {rate.item: rate.price for rate in terms.rates}
    found = []
    for item, quantity in rated:
        name, unit = ITEM_NAMES[item]
        found.append(_line(tr(name), quantity, said_unit(unit), rates.get(item, ""), tax, places))
    return found


def checked(terms: PriceTerms) -> None:
    """Raises InputError for terms that nobody can mean."""
    own = [one.tax for one in terms.rates] + [one.tax for one in terms.extras] + [one.tax for one in terms.by_width]
    for percent in (terms.tax, *own):
        if _percent(percent) > HIGHEST_TAX:
            raise InputError(tr("Tax of {percent} % cannot be: at most {most} %.", percent=percent, most=HIGHEST_TAX))
    if not 1 <= terms.valid_days <= 3650:
        raise InputError(tr("An offer is valid for 1 to 3,650 days, not {days}.", days=terms.valid_days))


def shared_out(total: Decimal, weights: Sequence[Decimal], places: int = 2) -> tuple[Decimal, ...]:
    """The total in parts by weight, each rounded, which add up to it: what is lacking goes to the largest remainders.
    Empty for no weights; all to the first where no weight counts."""
    if not weights:
        return ()
    whole = sum(weights, Decimal(0))
    if whole <= 0:
        return (total, *(Decimal(0) for _ in weights[1:]))
    coin = Decimal(1).scaleb(-places)
    exact = [total * weight / whole for weight in weights]
    parts = [(value // coin) * coin for value in exact]
    lacking = int((total - sum(parts, Decimal(0))) / coin)
    for index in sorted(range(len(parts)), key=lambda i: (parts[i] - exact[i], i))[:lacking]:
        parts[index] += coin
    return tuple(parts)


def _line(what: str, quantity: Decimal, unit: str, price: str, tax: Decimal, places: int) -> OfferLine:
    each = Decimal(price) if price else None
    amount = None if each is None else money(quantity * each, places)
    return OfferLine(what, quantity, unit, each, amount, tax)


def _extras(terms: PriceTerms, places: int) -> list[OfferLine]:
    lines = []
    for extra in terms.extras:
        tax = _percent(extra.tax or terms.tax)
        line = _line(extra.what, Decimal(extra.quantity or "0"), extra.unit, extra.price, tax, places)
        lines.append(msgspec.structs.replace(line, of="extra"))
    return lines


def _at_least(lines: list[OfferLine], terms: PriceTerms, places: int) -> list[OfferLine]:
    """With a line that makes the sum up to the minimum, where it falls short."""
    if not terms.minimum or any(line.amount is None for line in lines):
        return lines
    lacking = money(Decimal(terms.minimum), places) - sum((line.amount or Decimal(0) for line in lines), Decimal(0))
    if lacking <= 0:
        return lines
    name = tr("Made up to the minimum")
    return [*lines, OfferLine(name, Decimal(1), "", lacking, lacking, _percent(terms.tax), "made up")]


def _summed(lines: Iterable[OfferLine], places: int) -> Offer:
    listed = tuple(lines)
    unknown = tuple(line.what for line in listed if line.amount is None)
    if unknown:
        return Offer(listed, (), None, None, unknown)
    taxes = []
    for rate in sorted({line.tax for line in listed}):
        net = sum((line.amount or Decimal(0) for line in listed if line.tax == rate), Decimal(0))
        taxes.append(TaxSum(rate, net, money(net * rate / 100, places)))
    whole = sum((one.net for one in taxes), Decimal(0))
    return Offer(listed, tuple(taxes), whole, whole + sum((one.tax for one in taxes), Decimal(0)), ())


def _percent(text: str) -> Decimal:
    return Decimal(text or "0")


def _sum_text(*amounts: str) -> str:
    """Their sum as text; "" where none is known."""
    known = [Decimal(amount) for amount in amounts if amount]
    return f"{sum(known, Decimal(0)):f}" if known else ""
