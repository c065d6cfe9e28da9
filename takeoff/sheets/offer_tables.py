"""What the price and the holds of a job say, as tables that every writer shares.

The client sees items or a lump sum; what a price was built from is a table of the team's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.language import mark, tr, tr_count
from takeoff.plan.price_terms import PriceTerms
from takeoff.price.offer import Offer, OfferLine
from takeoff.sheets.sheet_tables import NOT_KNOWN
from takeoff.sheets.sheet_values import EVERYBODY, Cell, CellSum, Column, RowKind, Table
from takeoff.sheets.site_work_tables import where_words
from takeoff.sitecheck.holds import Hold
from takeoff.units.printing import money, printed


def offer_table(offer: Offer, terms: PriceTerms, currency: str, valid_until: str = "") -> Table:
    """The price as the client sees it, with tax and total; what is not known stands open and has no total.

    ``valid_until``: the last day of the offer in words; "" says for how many days it is valid.
    """
    seen = _as_seen(offer, terms)
    lines = [_offer_row(line) for line in seen]
    kinds: list[RowKind] = ["line"] * len(lines)
    sums: list[CellSum] = []
    if offer.net is not None and offer.taxes and any(one.rate for one in offer.taxes):
        lines.append((tr("Net"), None, "", None, money(offer.net)))
        kinds.append("total")
        for one in offer.taxes:
            if len(offer.taxes) == 1:
                sums.append(CellSum(len(lines), _EACH, _AMOUNT, (len(seen),)))
            elif seen == offer.lines:
                own = tuple(k for k, line in enumerate(seen) if line.tax == one.rate)
                sums.append(CellSum(len(lines), _EACH, _AMOUNT, own))
            lines.append((tr("Tax"), one.rate, "%", money(one.net), one.tax))
            kinds.append("line")
    note = _valid(terms, valid_until) if offer.gross is not None else ""
    if offer.unknown:
        note = tr("Not known yet, so there is no total: {items}.", items=", ".join(offer.unknown))
    return Table(
        id="offer",
        title=tr("Price"),
        columns=_offer_columns(currency),
        rows=tuple(lines),
        kinds=tuple(kinds),
        total=None if offer.gross is None else (tr("Total"), None, "", None, money(offer.gross)),
        note=note,
        empty=tr("No price is set."),
        audience=EVERYBODY,
        papers=("scope",),
        sums=tuple(sums),
    )


_EACH, _AMOUNT = 3, 4
"""Columns of the price of one, and of the amount."""


def _as_seen(offer: Offer, terms: PriceTerms) -> tuple[OfferLine, ...]:
    """The lines that the client sees: one sum, rooms, or items; never hours."""
    if offer.net is None or not offer.lines:
        return offer.lines
    if terms.shown == "lump":
        whole = money(offer.net)
        return (OfferLine(tr("The work as described"), Decimal(1), "", whole, whole, Decimal(0)),)
    shared = offer.by_room if terms.shown == "rooms" else offer.by_item
    return tuple(_without_hours(line) for line in shared or offer.lines)


def _without_hours(line: OfferLine) -> OfferLine:
    """The line as one amount, where it counts hours."""
    hours = line.unit.strip().strip(".").casefold() in _HOUR_UNITS
    return OfferLine(line.what, Decimal(1), "", line.amount, line.amount, line.tax, line.of) if hours else line


_HOUR_UNITS = frozenset({"h", "hr", "hrs", "hour", "hours", "std", "stunde", "stunden"})


def lines_table(offer: Offer, terms: PriceTerms, currency: str) -> Table | None:
    """A price by rates line by line, for the contractor; None where the client sees the very same, and for a price that
    is built up."""
    if offer.built or offer.net is None or _as_seen(offer, terms) == offer.lines:
        return None
    return Table(
        id="price-lines",
        papers=(),
        title=tr("Price by measured quantities"),
        columns=_offer_columns(currency),
        rows=tuple(_offer_row(line) for line in offer.lines),
        total=(tr("Net"), None, "", None, money(offer.net)),
        note=tr("For the contractor. The client does not see these lines."),
    )


def offer_tables(offer: Offer, terms: PriceTerms, currency: str, valid_until: str = "") -> tuple[Table, ...]:
    """What the client sees, then what stands behind it for the contractor."""
    behind = (lines_table(offer, terms, currency), built_table(offer, currency))
    return (offer_table(offer, terms, currency, valid_until), *(table for table in behind if table is not None))


def _valid(terms: PriceTerms, valid_until: str) -> str:
    if valid_until:
        return tr("This offer is valid until {day}.", day=valid_until)
    return tr_count("This offer is valid for {count} day.", "This offer is valid for {count} days.", terms.valid_days)


def built_table(offer: Offer, currency: str) -> Table | None:
    """What a built-up price stands on, for the contractor alone; None for a price by rates."""
    if not offer.built:
        return None
    return Table(
        id="price-parts",
        papers=(),
        title=tr("What the price is built from"),
        columns=_offer_columns(currency),
        rows=tuple(_offer_row(line) for line in offer.built),
        note=tr("For the contractor. Mark-up is added to the sum of these parts."),
    )


def hold_table(holds: Sequence[Hold], rooms: Mapping[str, str]) -> Table:
    """Holds and what is to be confirmed, the holds first, each with its remedy; cleared ones with name and date."""
    order = {"hold": 0, "confirm": 1, "cleared": 2}
    names = {"hold": tr("HOLD"), "confirm": tr("To confirm on site"), "cleared": tr("Cleared")}
    rows: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    for state in order:
        merged: dict[tuple[str, str, str], list[str]] = {}
        for hold in holds:
            if hold.state == state:
                by = tr("by {person}, {day}", person=hold.cleared_by, day=hold.cleared_on) if state == "cleared" else ""
                merged.setdefault((hold.reason, hold.remedy, by), []).append(rooms.get(hold.room, hold.room))
        if merged:
            rows.append((names[state], "", ""))
            kinds.append("group")
        for (remedy, where), reasons in _by_remedy(merged).items():
            rows.append((where_words(where, len(rooms)), " ".join(reasons), remedy))
            kinds.append("line")
    return Table(
        id="holds",
        title=tr("Site check"),
        columns=(Column(tr("Where"), share=1.0), Column(tr("Why"), share=3.0), Column(tr("What to do"), share=2.4)),
        rows=tuple(rows),
        kinds=tuple(kinds),
        note=tr("General advice only: nobody here calls the site safe. Local rules and licensed people come first."),
        empty=tr("Nothing is held."),
        audience=EVERYBODY,
    )


def _by_remedy(merged: Mapping[tuple[str, str, str], list[str]]) -> dict[tuple[str, tuple[str, ...]], list[str]]:
    """The reasons of the same rooms that ask for the same, together."""
    found: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for (reason, remedy, by), where in merged.items():
        found.setdefault((by or remedy, tuple(where)), []).append(reason)
    return found


class OptionShown(msgspec.Struct, frozen=True):
    """One option as it is compared: printed figures, days (None: not known) and price."""

    name: str
    figures: Mapping[str, Decimal]
    days: int | None
    visits: int | None
    offer: Offer
    chosen: bool


def options_table(options: Sequence[OptionShown], currency: str) -> Table:
    """Treatments of one plan side by side: areas, days and price; what is not known stands open."""
    keys = [(key, name) for key, name in _AREA_NAMES.items() if any(one.figures.get(key) for one in options)]
    rows: list[tuple[Cell, ...]] = [
        (tr(name), *(one.figures.get(key, _NOUGHT) for one in options)) for key, name in keys
    ]
    kinds: list[RowKind] = ["line"] * len(rows)
    rows.append((tr("To coat m²"), *(one.figures.get("coated_m2", _NOUGHT) for one in options)))
    rows.append((tr("New corner bead m"), *(one.figures.get("bead_m", _NOUGHT) for one in options)))
    rows.append((tr("Days from first to last"), *(one.days for one in options)))
    rows.append((tr("Days on site"), *(one.visits for one in options)))
    kinds += ["total", "line", "line", "line"]
    if any(line.amount is not None for one in options for line in (*one.offer.lines, *one.offer.built)):
        taxed = any(tax.rate for one in options for tax in one.offer.taxes)
        if taxed:
            rows.append((tr("Net {currency}", currency=currency), *(_sum_or_open(one.offer.net) for one in options)))
            rows.append((tr("Tax {currency}", currency=currency), *(_tax_of(one.offer) for one in options)))
            kinds += ["line", "line"]
        rows.append((tr("Price {currency}", currency=currency), *(_sum_or_open(one.offer.gross) for one in options)))
        kinds.append("total" if taxed else "line")
    heads = (tr("{name} (chosen)", name=one.name) if one.chosen else one.name for one in options)
    return Table(
        id="options",
        title=tr("Options"),
        columns=(Column(tr("What"), share=1.8), *(Column(head, kind="figure", share=1.3) for head in heads)),
        rows=tuple(rows) if options else (),
        kinds=tuple(kinds) if options else (),
        empty=tr("No option is set."),
        audience=EVERYBODY,
        papers=("scope",),
    )


def options_listed(options: Sequence[OptionShown], currency: str) -> Table:
    """The same in a row for each option, for a narrow page: what there is to coat, days and price."""
    priced = any(line.amount is not None for one in options for line in (*one.offer.lines, *one.offer.built))
    rows = tuple(
        (
            tr("{name} (chosen)", name=one.name) if one.chosen else one.name,
            one.figures.get("coated_m2", _NOUGHT),
            one.days,
            *((_sum_or_open(one.offer.gross),) if priced else ()),
        )
        for one in options
    )
    price = (Column("", currency, "figure"),) if priced else ()
    return Table(
        id="options-listed",
        title=tr("Options"),
        columns=(Column(tr("What"), share=1.8), Column("", "m²", "figure"), Column(tr("Days"), kind="count"), *price),
        rows=rows,
        empty=tr("No option is set."),
    )


_NOUGHT = Decimal("0.00")
_AREA_NAMES = {
    "wall_net_m2": mark("Walls m²"),
    "ceiling_m2": mark("Ceilings m²"),
    "drop_m2": mark("Bulkheads and boxing m²"),
    "reveal_m2": mark("Reveals m²"),
}


def _sum_or_open(amount: Decimal | None) -> Cell:
    return NOT_KNOWN if amount is None else money(amount)


def _tax_of(offer: Offer) -> Cell:
    return NOT_KNOWN if offer.net is None else money(sum((one.tax for one in offer.taxes), _NOUGHT))


def _offer_columns(currency: str) -> tuple[Column, ...]:
    return (
        Column(tr("What"), share=2.8),
        Column(tr("Quantity"), kind="figure", share=1.0),
        Column(tr("Unit"), share=0.6),
        Column(tr("Price"), currency, "figure", share=1.0),
        Column(tr("Amount"), currency, "money", share=1.1),
    )


def _offer_row(line: OfferLine) -> tuple[Cell, ...]:
    if not line.unit:
        return (line.what, None, "", None, NOT_KNOWN if line.amount is None else line.amount)
    if line.of == "work":
        return (line.what, printed(line.quantity), line.unit, None, line.amount)
    if line.amount is None:
        return (line.what, printed(line.quantity), line.unit, NOT_KNOWN, NOT_KNOWN)
    return (line.what, printed(line.quantity), line.unit, _each(line.price), line.amount)


def _each(price: Decimal | None) -> Decimal | None:
    """A price with two places at least: "31.20"."""
    if price is None or -int(price.as_tuple().exponent) >= 2:
        return price
    return printed(price)
