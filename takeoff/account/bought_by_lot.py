"""What must still be bought lot by lot: each lot's need less what was supplied for it and what earlier lots leave over.

What was supplied in no lot serves the lots in order. Pieces that are cut stay cut; bars and offcuts that a lot does not
need go on to the next.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

import msgspec

from takeoff.account.bought import BeadStock, StillLine, bead_out_of, bead_stock, coil_got, stock_after, there
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.lot_records import Lot
from takeoff.plan.model import Job
from takeoff.plan.work_records import WorkRecords
from takeoff.supply.lots import lots_in_order, part_of, refuse_twice
from takeoff.supply.materials import materials
from takeoff.supply.order import Order, OrderLine
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import BeadProfile, CoatingSystem, Pack, products_by_line


class LotStill(msgspec.Struct, frozen=True):
    """What one lot must still buy. ``supplied`` of a line holds what was supplied for the lot and what is over from
    before; ``cost`` None where a price is missing."""

    lot: Lot
    lines: tuple[StillLine, ...]
    cost: Decimal | None


def still_by_lot(job: Job, takeoff: Takeoff, system: CoatingSystem) -> tuple[LotStill, ...]:
    """Every lot in order, with whatever is in none at the end; one lot where the job has none. Raises InputError for a
    room that is in two lots."""
    refuse_twice(job)
    over: dict[str, float] = {}
    bead_over: dict[str, BeadStock] = {}
    _take_in(_of_lot(job.work, ""), system, over, bead_over)
    found = []
    for lot in lots_in_order(job):
        _take_in(_of_lot(job.work, lot.id), system, over, bead_over)
        order = materials(part_of(takeoff, lot), system)
        lines = _lines(order, system, over, bead_over)
        costs = [line.cost for line in lines]
        known = [cost for cost in costs if cost is not None]
        found.append(LotStill(lot, lines, sum(known, Decimal(0)) if len(known) == len(costs) else None))
    return tuple(found)


def _of_lot(work: WorkRecords, lot: str) -> WorkRecords:
    """The ledger of one lot alone."""
    return msgspec.structs.replace(work, movements=tuple(one for one in work.movements if one.lot == lot), days=())


def _take_in(work: WorkRecords, system: CoatingSystem, over: dict[str, float], bead_over: dict[str, BeadStock]) -> None:
    """What a ledger has goes to what is there, in the items' own units; coils in mm."""
    for key, product in products_by_line(system).items():
        supplied = math.fsum(there(work, key, pack.name) * pack.size for pack in product.packs)
        over[key] = over.get(key, 0.0) + supplied
    for profile in system.beads:
        if profile.coil:
            key = f"bead-{profile.id}"
            supplied = math.fsum(there(work, key, one.name) * one.length_mm for one in profile.stock)
            over[key] = over.get(key, 0.0) + supplied
        else:
            had, more = bead_over.get(profile.id, BeadStock()), bead_stock(profile, system.kerf_mm, work)
            bead_over[profile.id] = BeadStock(
                had.bars_mm + more.bars_mm, had.offcuts_mm + more.offcuts_mm, had.pieces_mm + more.pieces_mm
            )


def _lines(
    order: Order, system: CoatingSystem, over: dict[str, float], bead_over: dict[str, BeadStock]
) -> tuple[StillLine, ...]:
    sold, profiles = products_by_line(system), {f"bead-{one.id}": one for one in system.beads}
    lines = []
    for line in order.lines:
        if line.id in profiles:
            lines.append(_bead_line(line, order, profiles[line.id], system.kerf_mm, over, bead_over))
        elif line.id in sold:
            packs: Sequence[Pack] = sold[line.id].packs
            supplied = over.get(line.id, 0.0)
            counts = choose(max(0.0, line.need - supplied), packs)
            buy = tuple((pack.name, n) for pack, n in zip(packs, counts, strict=True) if n)
            bought = math.fsum(n * pack.size for pack, n in zip(packs, counts, strict=True))
            over[line.id] = max(0.0, supplied + bought - line.need)
            cost = cost_of(counts, packs)
            lines.append(
                StillLine(line.id, sold[line.id].name, line.unit, line.need, supplied, buy, over[line.id], cost)
            )
    return tuple(lines)


def _bead_line(
    line: OrderLine,
    order: Order,
    profile: BeadProfile,
    kerf_mm: float,
    over: dict[str, float],
    bead_over: dict[str, BeadStock],
) -> StillLine:
    listed = next((one for one in order.beads if one.profile == profile.id), None)
    lengths = {one.name: one.length_mm for one in profile.stock}
    if profile.coil:
        supplied_mm = over.get(line.id, 0.0)
        got = coil_got(listed, profile, supplied_mm)
        bought_mm = math.fsum(lengths[name] * n for name, n in got.buy)
        left_mm = over[line.id] = max(0.0, supplied_mm + bought_mm - line.need * 1000)
    else:
        stock = bead_over.get(profile.id, BeadStock())
        supplied_mm = float(sum((*stock.bars_mm, *stock.offcuts_mm, *stock.pieces_mm)))
        got = bead_out_of(listed, profile, kerf_mm, stock)
        after = bead_over[profile.id] = stock_after(got, listed, stock, kerf_mm)
        left_mm = float(sum((*after.bars_mm, *after.offcuts_mm)))
    return StillLine(line.id, profile.name, "m", line.need, supplied_mm / 1000, got.buy, left_mm / 1000, got.cost)
