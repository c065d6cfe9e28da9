"""Price, days and holds as the window shows them: the tables of the sheets, or why there is none yet."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import msgspec

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.days_said import DaysSaid, days_said
from takeoff.services.offered.offering import currency_of, offer_of, priced_by
from takeoff.sheets.offer_tables import hold_table, offer_tables
from takeoff.sheets.sheet_values import Table
from takeoff.sitecheck.holds import Hold, holds
from takeoff.views.board import Considered, State


class Shown(msgspec.Struct, frozen=True):
    """Tables to be shown, or the sentence that says why there are none."""

    tables: tuple[Table, ...] = ()
    instead: str = ""


def price_shown(state: State, considered: Considered | None) -> Shown:
    """The price by the job's terms."""

    def made(measured: Measured) -> tuple[Table, ...]:
        return offer_tables(offer_of(measured), priced_by(measured.job), currency_of(measured))

    return _shown(state, considered, made)


class DaysShown(msgspec.Struct, frozen=True):
    """The programme to be shown, or the sentence that says why there is none."""

    said: DaysSaid | None = None
    instead: str = ""


def days_shown(state: State, considered: Considered | None, now: datetime | None = None) -> DaysShown:
    """The programme by the job's terms. ``now``: when holds are judged."""
    found: list[DaysSaid] = []

    def made(measured: Measured) -> tuple[Table, ...]:
        found.append(days_said(measured, now))
        return ()

    instead = _shown(state, considered, made).instead
    return DaysShown(found[0] if found else None, instead)


def holds_shown(job: Job, now: datetime) -> tuple[tuple[Hold, ...], Table]:
    """What holds the job up at its stage, and the table of it."""
    found = holds(job, now)
    names = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
    return found, hold_table(found, names)


def _shown(state: State, considered: Considered | None, made: Callable[[Measured], tuple[Table, ...]]) -> Shown:
    if considered is None:
        return Shown(instead=tr("Working out the order …"))
    if considered.order is None:
        return Shown(instead=considered.failure or tr("The order cannot be worked out yet."))
    try:
        return Shown(made(Measured(state.job, state.takeoff, considered.order, (), "")))
    except TakeoffError as error:
        return Shown(instead=str(error))
