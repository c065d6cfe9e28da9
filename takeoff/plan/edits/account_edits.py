"""Edits of contract, bills and payments."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.price_edits import amount, percent
from takeoff.plan.edits.work_dates import day_of, in_turn
from takeoff.plan.model import Job
from takeoff.plan.work_records import Bill, Contract, Payment


def accept_contract(job: Job, contract: Contract) -> Job:
    """The job with its contract. Raises InputError without a price, for a day that is none, and once a bill rests on
    another contract."""
    if day_of(contract.on) is None:
        raise InputError(tr("Give the day."))
    if not contract.taxes:
        raise InputError(tr("That state has no price, so it is no contract: set rates and send it again."))
    if job.work.contract == contract:
        return job
    if job.work.bills:
        raise InputError(tr("Bills rest on the contract already: enter what changes as a change on site."))
    return _with(job, contract=contract)


def set_kept_back(job: Job, text: str) -> Job:
    """What is kept back of each bill, per cent as typed. Raises InputError for more than all of it."""
    said = percent(text)
    if said and Decimal(said) > 100:
        raise InputError(tr("“{text}” is not a percentage: type a number such as 19.", text=text))
    return job if said == job.work.keep_percent else _with(job, keep_percent=said)


def add_bill(job: Job, bill: Bill) -> Job:
    """The job with a bill as it was written. Raises InputError for a day that is none or before the last bill's."""
    if day_of(bill.on) is None:
        raise InputError(tr("Give the day."))
    if job.work.bills:
        in_turn(job.work.bills[-1].on, bill.on)
    return _with(job, bills=(*job.work.bills, bill))


def add_payment(job: Job, on: str, text: str) -> Job:
    """The job with money that came in. Raises InputError for a day or an amount that is none."""
    if day_of(on) is None:
        raise InputError(tr("Give the day."))
    said = amount(text)
    if not said or not Decimal(said):
        raise InputError(tr("“{text}” is not a price: type an amount such as 31.20.", text=text))
    return _with(job, payments=(*job.work.payments, Payment(on=on, amount=said)))


def _with(job: Job, **fields: object) -> Job:
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, **fields))
