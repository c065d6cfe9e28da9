"""How a job is priced, as the contractor set it: part of the job file. Money and percentages are decimal text."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from msgspec import Meta

from takeoff.plan.values import Value

Amount = Annotated[str, Meta(pattern=r"^(\d{1,9}(\.\d{1,4})?)?$")]
"""Money as decimal text, "" for not known: money is never a binary number."""

Percent = Annotated[str, Meta(pattern=r"^(\d{1,3}(\.\d{1,3})?)?$")]
"""A percentage as decimal text, "" for none."""

PricedItem = Literal[
    "walls", "ceilings", "drops", "reveals", "bead", "narrow",
    "strip", "treat", "skim", "second-base", "specialist",
    "radiators", "sockets", "vents", "poles", "hatches",
]  # fmt: skip
"""What has a rate: m² of walls, ceilings, bulkheads and boxing, reveals; m of corner bead; m of what the measuring
convention counts by length; m² that are stripped, treated, skimmed, based twice, and surveys, as the site check asks
for them; counted items that are ours, each."""

PRICED_ITEMS: tuple[PricedItem, ...] = get_args(PricedItem)

WorkItem = Literal[
    "protect", "strip", "prepare", "skim", "base", "second-base", "coat", "scrape", "sand", "fill", "finish", "clean"
]
"""Activities that hours are known for."""

WORK_ITEMS: tuple[WorkItem, ...] = get_args(WorkItem)
"""The same in the order in which they are done."""


Difficulty = Literal["ceiling", "high", "stair", "narrow", "small"]
"""What makes work slower: overhead, rooms over 3.5 m, over a stair, reveals and boxing, small rooms."""

DIFFICULTIES: tuple[Difficulty, ...] = get_args(Difficulty)


class RateOf(Value, frozen=True):
    """The price of one unit of an item; ``tax`` "" for the usual rate of the job."""

    item: PricedItem
    price: Amount
    tax: Percent = ""


class HoursOf(Value, frozen=True):
    """Hours per unit of an activity, where the contractor's own differ from the usual ones."""

    item: WorkItem
    hours: float


class WidthRate(Value, frozen=True):
    """The price of a metre of what is no wider than ``up_to_mm``: reveals, and what is billed by length. The narrowest
    step that a width goes into holds."""

    up_to_mm: float
    price: Amount
    tax: Percent = ""


class FactorOf(Value, frozen=True):
    """By how much a difficulty makes work slower, where the contractor's own differs from the usual one: 1.25 is a
    quarter more hours."""

    what: Difficulty
    factor: float


class ExtraLine(Value, frozen=True):
    """A line that is priced by itself: each, an hour, hire, waste. ``quantity`` as decimal text."""

    what: str
    quantity: Amount
    unit: str
    price: Amount
    tax: Percent = ""


class PriceTerms(Value, frozen=True):
    """All of it. ``way`` *rates*: by measured quantities; *built-up*: hours × ``hour``, visits, materials in whole
    packs, ``extras``, then ``markup``. ``minimum``: of the sum without tax. ``shown``: what the client sees of it.
    ``dryer_day``: hire of the programme's dehumidifier, for a day."""

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
    by_width: tuple[WidthRate, ...] = ()
    difficulty: tuple[FactorOf, ...] = ()
    dryer_day: Amount = ""
