"""What the lots of a measured job say, for command, papers and window: what each buys and cuts, all lots together."""

from __future__ import annotations

import msgspec

from takeoff.services.measured.job_result import Measured
from takeoff.sheets.lot_tables import all_lots_table, batch_lines, cut_tables, lot_tables
from takeoff.sheets.sheet_values import Line, Table
from takeoff.supply.lots import order_by_lots
from takeoff.supply.systems import of_job


class LotsSaid(msgspec.Struct, frozen=True):
    """``lots``: what each buys, for the order; ``cuts``: how each cuts its bead, for the site; ``together``: all of
    them with their cost, for nobody's paper; ``lines``: on batches, where the system asks for one to each face."""

    lots: tuple[Table, ...]
    cuts: tuple[Table, ...]
    together: Table
    lines: tuple[Line, ...]


def lots_said(measured: Measured) -> LotsSaid:
    """All of it. Raises InputError for a room that is in two lots."""
    job, system = measured.job, of_job(measured.job)
    done = order_by_lots(job, measured.takeoff, system)
    currency = measured.order.currency
    rooms = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
    return LotsSaid(
        lot_tables(done, currency, {}),
        cut_tables(done, {}),
        all_lots_table(done, currency, {}),
        batch_lines(done, system, rooms, {}),
    )
