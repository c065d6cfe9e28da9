"""What happened after the order: bought and done, changes on site, days, contract, bills. Part of the job file.

Days are ISO dates, "" where nobody said. Money and quantities of money are decimal text.
"""

from __future__ import annotations

from typing import Literal, get_args

from takeoff.plan.price_terms import Amount, Percent, PricedItem
from takeoff.plan.values import Value

Moved = Literal["ordered", "delivered", "opened", "used", "returned"]
MOVED: tuple[Moved, ...] = get_args(Moved)

RoomStageName = Literal["not-begun", "prepared", "base", "coat", "sanded", "finished", "released"]
ROOM_STAGES: tuple[RoomStageName, ...] = get_args(RoomStageName)

ChangeState = Literal["proposed", "instructed", "agreed", "refused", "done"]
CHANGE_STATES: tuple[ChangeState, ...] = get_args(ChangeState)


class Movement(Value, frozen=True):
    """So many packs or bars of an item of the order that moved. ``item``: the id of its line; ``pack``: the pack or
    the bar by its name in the coating system. ``cuts_mm``: how each of the bars was cut, for bars that are used."""

    moved: Moved
    item: str
    pack: str
    count: int
    on: str = ""
    lot: str = ""
    batch: str = ""
    cuts_mm: tuple[int, ...] = ()


class RoomStage(Value, frozen=True):
    """A room reached a stage on a day."""

    room: str
    stage: RoomStageName
    on: str
    by: str = ""


class GaugeReading(Value, frozen=True):
    """One reading of the wet-film gauge, and where it was taken."""

    place: str
    mm: float


class OpenedTub(Value, frozen=True):
    """Packs opened in a room on a day."""

    item: str
    pack: str
    count: int
    batch: str = ""


class DayRecord(Value, frozen=True):
    """What was done in a room on a day."""

    room: str
    on: str
    who: str = ""
    hours: float = 0.0
    opened: tuple[OpenedTub, ...] = ()
    readings: tuple[GaugeReading, ...] = ()


class ChangeLine(Value, frozen=True):
    """One line of a change. ``item``: priced at the contract's rate of it, unless ``price`` says otherwise; "" for
    hours and materials. ``dims``: how the quantity was worked out. ``omitted``: it comes off."""

    what: str
    quantity: Amount
    unit: str
    item: PricedItem | Literal[""] = ""
    price: Amount = ""
    tax: Percent = ""
    dims: str = ""
    omitted: bool = False


class SiteChange(Value, frozen=True):
    """A change on site. ``days``: by how many the work ends later. ``done_on``: work may be done before it is agreed.
    ``bill_unagreed``: it is billed although nobody agreed to it, and marked so. ``done_already``: it is about work that
    was done before the change came."""

    number: int
    place: str
    what: str
    lines: tuple[ChangeLine, ...]
    photo: str = ""
    instructed_by: str = ""
    proposed_on: str = ""
    instructed_on: str = ""
    agreed_on: str = ""
    agreed_by: str = ""
    refused_on: str = ""
    done_on: str = ""
    days: float = 0.0
    state: ChangeState = "proposed"
    bill_unagreed: bool = False
    done_already: bool = False


class ContractTax(Value, frozen=True):
    """What the contract comes to at one rate of tax."""

    rate: Percent
    net: Amount


class ContractItem(Value, frozen=True):
    """An item of the contract with its printed quantity and its rate; ``price`` "" where it has none."""

    item: PricedItem
    quantity: Amount
    price: Amount = ""
    tax: Percent = ""


class ContractRoom(Value, frozen=True):
    """A room's part of the contract: its weight among those of all rooms."""

    room: str
    name: str
    weight: Amount


class Contract(Value, frozen=True):
    """The price that was accepted: of which sent state, when and by whom."""

    state: int
    on: str
    by: str
    taxes: tuple[ContractTax, ...]
    items: tuple[ContractItem, ...] = ()
    rooms: tuple[ContractRoom, ...] = ()
    hour: Amount = ""
    tax: Percent = ""


class Bill(Value, frozen=True):
    """A bill as it was written: done so far and its tax, kept back, and what was due then, all sums of money so far
    but ``due``, which is of this bill and may be less than nothing. ``final``: nothing is kept back any more."""

    number: int
    on: str
    done: str
    kept: str
    due: str
    final: bool = False


class Payment(Value, frozen=True):
    """Money that came in."""

    on: str
    amount: Amount


class Defect(Value, frozen=True):
    """Something that is not as it should be at the hand-over: where, what, who noticed it; ``mended_on`` "" while it is
    open."""

    number: int
    place: str
    what: str
    on: str = ""
    by: str = ""
    mended_on: str = ""
    mended_by: str = ""


class WorkRecords(Value, frozen=True):
    """All of it. ``keep_percent``: what is kept back of every bill but the final one."""

    movements: tuple[Movement, ...] = ()
    stages: tuple[RoomStage, ...] = ()
    days: tuple[DayRecord, ...] = ()
    changes: tuple[SiteChange, ...] = ()
    contract: Contract | None = None
    bills: tuple[Bill, ...] = ()
    payments: tuple[Payment, ...] = ()
    keep_percent: Percent = ""
    defects: tuple[Defect, ...] = ()
