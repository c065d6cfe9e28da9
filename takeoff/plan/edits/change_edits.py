"""Edits of changes on site: proposed, instructed, agreed, refused, done; numbered in the order in which they came."""

from __future__ import annotations

import math
from decimal import Decimal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.work_dates import day_of, in_turn
from takeoff.plan.model import Job
from takeoff.plan.work_records import CHANGE_STATES, ChangeLine, ChangeState, SiteChange

HOUR = "h"
"""The unit of hours of work, which have a rate of their own."""


def price_of(job: Job, line: ChangeLine) -> str:
    """The price of one unit of a line: its own, else the contract's rate of its item or of an hour, else the job's;
    "" where none is known."""
    if line.price:
        return line.price
    contract = job.work.contract
    if line.item:
        agreed = [one.price for one in contract.items if one.item == line.item] if contract else []
        own = [rate.price for rate in job.price.rates if rate.item == line.item]
        return next((price for price in (*agreed, *own) if price), "")
    if line.unit == HOUR:
        return (contract.hour if contract else "") or job.price.hour
    return ""


def tax_of(job: Job, line: ChangeLine) -> str:
    """The tax on a line, per cent as text: its own, else the contract's, else the job's."""
    contract = job.work.contract
    if not line.tax and line.item and contract:
        agreed = [one.tax for one in contract.items if one.item == line.item and one.tax]
        if agreed:
            return agreed[0]
    return line.tax or (contract.tax if contract else "") or job.price.tax or "0"


def propose_change(job: Job, change: SiteChange) -> Job:
    """The job with a change more, as the next number. Raises InputError without a place, without words for it, without
    lines, without a price for one of them, and for a day that is none."""
    if not change.place.strip():
        raise InputError(tr("A change needs its place: name the room or wall."))
    if not change.what.strip():
        raise InputError(tr("A change needs its words: say what is to be done."))
    if not change.lines or any(not Decimal(line.quantity or "0") for line in change.lines):
        raise InputError(tr("A change needs a quantity: give dimensions, hours or pieces."))
    for line in change.lines:
        if not price_of(job, line):
            raise InputError(
                tr("“{what}” has no price: give one, or the item of the contract that it belongs to.", what=line.what)
            )
    if not math.isfinite(change.days):
        raise InputError(tr("Give the effect on the days as a number."))
    day_of(change.proposed_on)
    number = max((one.number for one in job.work.changes), default=0) + 1
    return _with(job, (*job.work.changes, msgspec.structs.replace(change, number=number)))


def set_change_state(job: Job, number: int, state: ChangeState, on: str, by: str = "") -> Job:
    """The change is instructed, agreed, refused or done on a day. Raises InputError for a change or a day that is not
    there, a day before it was proposed, and for doing what was refused."""
    if state not in CHANGE_STATES:
        raise InputError(
            tr("“{state}” is not a state of a change: use {states}.", state=state, states=", ".join(CHANGE_STATES))
        )
    change = change_of(job, number)
    if day_of(on) is None:
        raise InputError(tr("Give the day."))
    in_turn(change.proposed_on, on)
    fields: dict[str, object] = {"state": state}
    if state != "proposed":
        fields[f"{state}_on"] = on
    if state == "agreed":
        fields |= {"agreed_by": by, "refused_on": ""}
        if change.done_on:
            fields["state"] = "done"
    if state == "instructed" and by:
        fields["instructed_by"] = by
    if state == "refused":
        fields["agreed_on"] = ""
    if state == "done" and change.state == "refused":
        raise InputError(tr("Change {number} was refused: it cannot be done.", number=number))
    changed = msgspec.structs.replace(change, **fields)
    return job if changed == change else _with(job, _put(job, changed))


def bill_unagreed(job: Job, number: int, marked: bool = True) -> Job:
    """The change is billed although nobody agreed to it, and marked so on the account; or no longer."""
    change = change_of(job, number)
    changed = msgspec.structs.replace(change, bill_unagreed=marked)
    return job if changed == change else _with(job, _put(job, changed))


def change_of(job: Job, number: int) -> SiteChange:
    """The change of that number. Raises InputError where there is none."""
    for one in job.work.changes:
        if one.number == number:
            return one
    raise InputError(tr("There is no change {number}.", number=number))


def _put(job: Job, change: SiteChange) -> tuple[SiteChange, ...]:
    return tuple(change if one.number == change.number else one for one in job.work.changes)


def _with(job: Job, changes: tuple[SiteChange, ...]) -> Job:
    return msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, changes=changes))
