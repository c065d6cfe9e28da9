"""What the price and the holds of a job say, as tables that every writer shares.

The client sees items or a lump sum; what a price was built from is a table of the team's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from takeoff.language import number, tr
from takeoff.plan.price_terms import PriceTerms
from takeoff.price.offer import Offer, OfferLine
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, RowKind, Table
from takeoff.sitecheck.holds import Hold
from takeoff.units.printing import money, printed

NOT_KNOWN = "?"


def offer_table(offer: Offer, terms: PriceTerms, currency: str) -> Table:
    """The price as the client sees it, with tax and total; what is not known stands open and has no total."""
    lines = [_offer_row(line) for line in offer.lines]
    kinds: list[RowKind] = ["line"] * len(lines)
    if terms.shown == "lump" and offer.net is not None:
        lines, kinds = [(tr("The work as described"), None, "", None, money(offer.net))], ["line"]
    if offer.net is not None and offer.taxes and any(one.rate for one in offer.taxes):
        lines.append((tr("Net"), None, "", None, money(offer.net)))
        kinds.append("total")
        for one in offer.taxes:
            lines.append(
                (tr("Tax, {rate} % of {net}", rate=number(one.rate), net=number(one.net)), None, "", None, one.tax)
            )
            kinds.append("line")
    note = ""
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
    )


def built_table(offer: Offer, currency: str) -> Table | None:
    """What a built-up price stands on, for the contractor alone; None for a price by rates."""
    if not offer.built:
        return None
    return Table(
        id="price-parts",
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
            listed = tr("every room") if len(where) == len(rooms) and len(rooms) > 1 else ", ".join(where)
            rows.append((listed, " ".join(reasons), remedy))
            kinds.append("line")
    return Table(
        id="holds",
        title=tr("Site check"),
        columns=(Column(tr("Where"), share=1.4), Column(tr("Why"), share=2.6), Column(tr("What to do"), share=2.2)),
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
    if line.amount is None:
        return (line.what, printed(line.quantity), line.unit, NOT_KNOWN, NOT_KNOWN)
    return (line.what, printed(line.quantity), line.unit, _each(line.price), line.amount)


def _each(price: Decimal | None) -> Decimal | None:
    """A price with two places at least: "31.20"."""
    if price is None or -int(price.as_tuple().exponent) >= 2:
        return price
    return printed(price)
