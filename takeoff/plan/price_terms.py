"""How a job is priced, as the contractor set it: part of the job file. Money and percentages are decimal text."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from msgspec import Meta

from takeoff.plan.values import Value

Amount = Annotated[str, Meta(pattern=r"^(\d{1,9}(\.\d{1,4})?)?$")]
"""Money as decimal text, "" for not known: money is never a binary number."""

Percent = Annotated[str, Meta(pattern=r"^(\d{1,3}(\.\d{1,3})?)?$")]
"""A percentage as decimal text, "" for none."""

PricedItem = Literal["walls", "ceilings", "drops", "reveals", "bead", "narrow"]
"""What has a rate: m² of walls, ceilings, bulkheads and boxing, reveals; m of corner bead; m of what the measuring
convention counts by length."""

PRICED_ITEMS: tuple[PricedItem, ...] = get_args(PricedItem)

WorkItem = Literal["protect", "prepare", "base", "coat", "scrape", "sand", "fill", "finish", "clean"]
"""Activities that hours are known for."""

WORK_ITEMS: tuple[WorkItem, ...] = get_args(WorkItem)
"""The same in the order in which they are done."""


class RateOf(Value, frozen=True):
    """The price of one unit of an item; ``tax`` "" for the usual rate of the job."""

    item: PricedItem
    price: Amount
    tax: Percent = ""


class HoursOf(Value, frozen=True):
    """Hours per unit of an activity, where the contractor's own differ from the usual ones."""

    item: WorkItem
    hours: float


class ExtraLine(Value, frozen=True):
    """A line that is priced by itself: each, an hour, hire, waste. ``quantity`` as decimal text."""

    what: str
    quantity: Amount
    unit: str
    price: Amount
    tax: Percent = ""


class PriceTerms(Value, frozen=True):
    """All of it. ``way`` *rates*: by measured quantities; *built-up*: hours × ``hour``, visits, materials in whole
    packs, ``extras``, then ``markup``. ``minimum``: of the sum without tax. ``shown``: what the client sees of it."""

    way: Literal["rates", "built-up"] = "rates"
    shown: Literal["lump", "rooms", "items"] = "items"
    rates: tuple[RateOf, ...] = ()
    hour: Amount = ""
    hours: tuple[HoursOf, ...] = ()
    visit: Amount = ""
    travel: Amount = ""
    markup: Percent = ""
    minimum: Amount = ""
    tax: Percent = ""
    valid_days: int = 30
    extras: tuple[ExtraLine, ...] = ()
