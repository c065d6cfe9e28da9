"""What a change of area or length is worth at the job's own rates, with tax: for the scope's first page."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from takeoff.language import money_shown, tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PricedItem, PriceTerms
from takeoff.supply.systems import of_job
from takeoff.units.printing import printed, shown


def with_worth(job: Job, amount: float, unit: str, items: Sequence[PricedItem]) -> str:
    """ "6.5 m² or €203": the amount to one place, and that figure times the mean of the items' rates with tax, in
    whole money; the amount alone where one of them has no rate. Prices built up from hours have none."""
    figure = f"{shown(amount, 1)} {unit}"
    rates = [_gross_rate(job, item) for item in items]
    known = [rate for rate in rates if rate is not None]
    if len(known) < len(rates):
        return figure
    money = printed(printed(amount, 1) * sum(known, Decimal(0)) / len(known), 0)
    currency = job.details.currency or of_job(job).currency
    return tr("{change} or {money}", change=figure, money=money_shown(money, currency))


def _gross_rate(job: Job, item: PricedItem) -> Decimal | None:
    """The rate of an item with its tax: by the job's terms, else by the prices among its details, which have none."""
    terms = job.price
    if terms == PriceTerms():
        text = job.details.price_bead_m if item == "bead" else job.details.price_coat_m2
        return Decimal(text) if text else None
    found = next((one for one in terms.rates if one.item == item), None)
    if terms.way != "rates" or found is None or not found.price:
        return None
    return Decimal(found.price) * (1 + Decimal(found.tax or terms.tax or "0") / 100)
