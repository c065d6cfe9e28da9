"""What a change on site comes to: its lines at the contract's rates, hourly or at prices of their own."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.account.usual_terms import usual
from takeoff.plan.edits.change_edits import price_of, tax_of
from takeoff.plan.model import Job
from takeoff.plan.work_records import ChangeLine, SiteChange
from takeoff.units.printing import money


class PricedLine(msgspec.Struct, frozen=True):
    """A line with its price and amount; None where no price is known. What is omitted has a negative amount."""

    line: ChangeLine
    price: Decimal | None
    amount: Decimal | None
    tax: Decimal


class PricedChange(msgspec.Struct, frozen=True):
    """A change with what it comes to. ``taxes``: (rate, net, tax); sums None while a line has no price.
    ``before_agreed``: it was done before anybody agreed to it."""

    change: SiteChange
    lines: tuple[PricedLine, ...]
    taxes: tuple[tuple[Decimal, Decimal, Decimal], ...]
    net: Decimal | None
    gross: Decimal | None

    @property
    def before_agreed(self) -> bool:
        """Whether it was done without, or before, an agreement."""
        done, agreed = self.change.done_on, self.change.agreed_on
        return bool(done) and (not agreed or done < agreed)

    @property
    def counts(self) -> bool:
        """Whether it is part of the account: agreed, or billed without, marked as such."""
        return bool(self.change.agreed_on) or self.change.bill_unagreed


def priced(job: Job, change: SiteChange) -> PricedChange:
    """The change at the job's prices."""
    lines = []
    for line in change.lines:
        text = price_of(job, line)
        price = Decimal(text) if text else None
        sign = -1 if line.omitted else 1
        amount = None if price is None else sign * money(Decimal(line.quantity) * price)
        lines.append(PricedLine(line, price, amount, Decimal(tax_of(job, line))))
    if any(one.amount is None for one in lines):
        return PricedChange(change, tuple(lines), (), None, None)
    taxes = []
    for rate in sorted({one.tax for one in lines}):
        net = sum((one.amount or Decimal(0) for one in lines if one.tax == rate), Decimal(0))
        taxes.append((rate, net, money(net * rate / 100)))
    whole = sum((net for _, net, _ in taxes), Decimal(0))
    return PricedChange(change, tuple(lines), tuple(taxes), whole, whole + sum((tax for *_, tax in taxes), Decimal(0)))


class OverLimit(msgspec.Struct, frozen=True):
    """An item of which agreed changes add or omit more than the limit: by how many per cent of the contract."""

    item: str
    percent: Decimal


def over_limit(job: Job) -> tuple[OverLimit, ...]:
    """Items whose quantity changes by more than the limit, net of what is omitted. Empty without a contract."""
    contract = job.work.contract
    if contract is None:
        return ()
    found = []
    for item in contract.items:
        change = sum(
            (
                Decimal(line.quantity) * (-1 if line.omitted else 1)
                for one in job.work.changes
                if one.agreed_on
                for line in one.lines
                if line.item == item.item
            ),
            Decimal(0),
        )
        if (
            Decimal(item.quantity)
            and abs(percent := 100 * change / Decimal(item.quantity)) > usual().quantity_limit.percent
        ):
            found.append(OverLimit(item.item, percent))
    return tuple(found)
