"""Options as the window shows them: a row for each, or why there is none yet."""

from __future__ import annotations

import msgspec

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import currency_of
from takeoff.services.offered.treatment_options import compared, option_name
from takeoff.sheets.offer_tables import options_listed
from takeoff.sheets.sheet_values import Table
from takeoff.views.board import Considered, State


class OptionsSeen(msgspec.Struct, frozen=True):
    """Options of this job, which of them it is coated by, and their table; ``instead``: why there is none."""

    job: Job
    names: tuple[str, ...]
    chosen: tuple[bool, ...]
    table: Table | None = None
    instead: str = ""


def options_seen(state: State, considered: Considered | None) -> OptionsSeen:
    """The options of a job as it stands. May take a second or two."""
    job = state.job
    names = tuple(option_name(option) for option in job.options)
    none = tuple(False for _ in names)
    if considered is None or considered.order is None:
        said = considered.failure if considered else ""
        return OptionsSeen(job, names, none, instead=said or tr("Working out the order …"))
    measured = Measured(job, state.takeoff, considered.order, (), "")
    try:
        found = compared(measured)
    except TakeoffError as error:
        return OptionsSeen(job, names, none, instead=str(error))
    table = options_listed([one.shown for one in found], currency_of(measured))
    return OptionsSeen(job, names, tuple(one.shown.chosen for one in found), table)
