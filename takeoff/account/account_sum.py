"""The account: contract and agreed changes, done so far by room and stage, billed before, kept back, due.

Every part is money to the cent, split so that the parts of a whole add up to it: at the end Σ of what was due is the
contract and the agreed changes, in whatever order they were entered. Nothing here is a binary number.
"""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.account.change_price import PricedChange, priced
from takeoff.account.usual_terms import usual
from takeoff.errors import InputError
from takeoff.language import listed, tr
from takeoff.plan.edits.progress_edits import stage_of
from takeoff.plan.model import Job
from takeoff.plan.work_records import Bill, RoomStageName
from takeoff.price.offer import shared_out
from takeoff.units.printing import money

NOUGHT = Decimal("0.00")


class AccountLine(msgspec.Struct, frozen=True):
    """A part of the account at one rate of tax: what it comes to, and what of it is done so far. ``number``: of a
    change, 0 for the contract. ``mark``: *before* it was agreed, or *unagreed* and billed all the same; "" else."""

    number: int
    rate: Decimal
    net: Decimal
    tax: Decimal
    done_net: Decimal
    done_tax: Decimal
    mark: str = ""


class RoomDone(msgspec.Struct, frozen=True):
    """A room's part of the contract (net), how far it is, and what is earned of it."""

    room: str
    name: str
    stage: RoomStageName
    on: str
    net: Decimal
    percent: int
    done: Decimal


class Account(msgspec.Struct, frozen=True):
    """The account as it stands. ``whole``, ``done``, ``kept``, ``before``, ``due``, ``paid``: with tax. ``left_out``:
    changes that are neither agreed nor marked. ``final``: nothing is kept back."""

    lines: tuple[AccountLine, ...]
    rooms: tuple[RoomDone, ...]
    whole: Decimal
    done: Decimal
    kept: Decimal
    before: Decimal
    due: Decimal
    paid: Decimal
    left_out: tuple[PricedChange, ...]
    final: bool = False

    @property
    def open(self) -> Decimal:
        """What was billed before and has not come in."""
        return self.before - self.paid


def account_of(job: Job, final: bool = False) -> Account:
    """The account of a job; sums of nought where there is neither contract nor agreed change."""
    rooms = _rooms(job)
    changes = [priced(job, change) for change in job.work.changes if change.state != "refused"]
    lines = [*_contract_lines(job), *(line for one in changes if one.counts for line in _change_lines(one))]
    whole = sum((line.net + line.tax for line in lines), NOUGHT)
    done = sum((line.done_net + line.done_tax for line in lines), NOUGHT)
    kept = NOUGHT if final else money(done * Decimal(job.work.keep_percent or "0") / 100)
    before = sum((Decimal(bill.due) for bill in job.work.bills), NOUGHT)
    return Account(
        tuple(lines),
        rooms,
        whole,
        done,
        kept,
        before,
        done - kept - before,
        sum((Decimal(one.amount) for one in job.work.payments), NOUGHT),
        tuple(one for one in changes if not one.counts),
        final,
    )


def bill_of(job: Job, on: str, final: bool = False, wanted: tuple[int, ...] = ()) -> Bill:
    """The next bill. ``wanted``: numbers of changes that are to be on it. Raises InputError where nothing was agreed,
    for a change that is neither agreed nor marked, and where nothing has changed since the last bill."""
    account = account_of(job, final)
    if not account.lines:
        raise InputError(tr("Nothing is agreed yet: accept a sent price, or agree a change, before a bill is written."))
    refused = [one.change.number for one in account.left_out if one.change.number in wanted]
    known = {line.number for line in account.lines}
    refused += [number for number in wanted if number not in known and number not in refused]
    if refused:
        raise InputError(
            tr(
                "Neither contract nor agreed: change {numbers}. Agree it, or mark it as billed without agreement.",
                numbers=listed([str(number) for number in refused]),
            )
        )
    if not account.due:
        raise InputError(tr("Nothing is due: set how far the rooms are."))
    number = len(job.work.bills) + 1
    return Bill(
        number=number, on=on, done=f"{account.done:f}", kept=f"{account.kept:f}", due=f"{account.due:f}", final=final
    )


def _parts(job: Job) -> dict[Decimal, tuple[Decimal, ...]]:
    """Per rate of tax each room's part of the contract, net, which add up to it."""
    contract = job.work.contract
    if contract is None:
        return {}
    weights = [Decimal(room.weight or "0") for room in contract.rooms]
    return {Decimal(one.rate or "0"): shared_out(Decimal(one.net), weights) for one in contract.taxes}


def _earned(job: Job, room: str) -> int:
    return usual().stages.percent[stage_of(job, room)]


def _contract_lines(job: Job) -> list[AccountLine]:
    contract = job.work.contract
    if contract is None:
        return []
    shares = [_earned(job, room.room) for room in contract.rooms]
    lines = []
    for rate, parts in _parts(job).items():
        net = money(next(Decimal(one.net) for one in contract.taxes if Decimal(one.rate or "0") == rate))
        done = sum((money(part * share / 100) for part, share in zip(parts, shares, strict=True)), NOUGHT)
        lines.append(AccountLine(0, rate, net, money(net * rate / 100), done, money(done * rate / 100)))
    return lines


def _rooms(job: Job) -> tuple[RoomDone, ...]:
    contract = job.work.contract
    if contract is None:
        return ()
    parts = list(_parts(job).values())
    last = {one.room: one.on for one in job.work.stages}
    found = []
    for k, room in enumerate(contract.rooms):
        net = sum((own[k] for own in parts), NOUGHT)
        share = _earned(job, room.room)
        done = sum((money(own[k] * share / 100) for own in parts), NOUGHT)
        found.append(
            RoomDone(room.room, room.name, stage_of(job, room.room), last.get(room.room, ""), net, share, done)
        )
    return tuple(found)


def _change_lines(one: PricedChange) -> list[AccountLine]:
    """A change counts whole once it is done, and for nothing before."""
    done = bool(one.change.done_on)
    mark = "unagreed" if not one.change.agreed_on else "before" if one.before_agreed else ""
    return [
        AccountLine(one.change.number, rate, net, tax, net if done else NOUGHT, tax if done else NOUGHT, mark)
        for rate, net, tax in one.taxes
    ]
