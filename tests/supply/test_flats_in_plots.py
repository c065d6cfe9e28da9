"""Three types of flat, each built twelve times: every plot has what it needs, none of it dearer than by itself."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.language import number
from takeoff.measure import measure
from takeoff.measure.takeoff import Takeoff
from takeoff.plan import edits
from takeoff.plan.edits.lot_edits import lot_for_each_plot, set_lots
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job, StoreyId
from takeoff.services.opened.opening import open_file
from takeoff.sheets.lot_tables import all_lots_table
from takeoff.supply.lots import LotsOrder, order_by_lots, part_of
from takeoff.supply.materials import materials
from takeoff.supply.systems import of_job, products_by_line
from takeoff.units.printing import money

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
TYPES, BUILT = 3, 12


@pytest.fixture(scope="module")
def flats() -> Job:
    """Three storeys of different rooms as types of flat, each built twelve times."""
    job = open_file(SAMPLE).job
    job = edits.duplicate_storey(job, job.storeys[0].id, StoreyId("third"), "Third type", 6000.0)
    smaller = job.storeys[2]  # the third type: as the first, without one of its rooms
    job = edits.remove_room(job, smaller.rooms[1].id)
    assert len({len(storey.rooms) for storey in job.storeys}) == len(job.storeys) == TYPES
    storeys = tuple(msgspec.structs.replace(storey, times=BUILT) for storey in job.storeys)
    return msgspec.structs.replace(job, storeys=storeys, lots=(), in_van=())


def each_flat(job: Job) -> Job:
    """A lot for every flat: plot 1 of each type, plot 2 of each type …"""
    lots = [
        Lot(
            id=f"{storey.id}-{plot}",
            name=f"{storey.title} {plot}",
            rooms=tuple(
                LotRoom(
                    storey=str(storey.id),
                    room=str(room.id),
                    copies=tuple(range((plot - 1) * room.times + 1, plot * room.times + 1)),
                )
                for room in storey.rooms
            ),
        )
        for plot in range(1, BUILT + 1)
        for storey in job.storeys
    ]
    return set_lots(job, tuple(lots))


@pytest.fixture(scope="module", params=["a lot for each flat", "a lot for each plot"])
def done(flats: Job, request: pytest.FixtureRequest) -> tuple[Job, Takeoff, LotsOrder]:
    job = each_flat(flats) if request.param == "a lot for each flat" else lot_for_each_plot(flats)
    takeoff = measure(job)
    return job, takeoff, order_by_lots(job, takeoff, of_job(job))


def test_every_flat_is_a_lot_and_every_lot_has_what_it_needs_when_it_is_worked(
    done: tuple[Job, Takeoff, LotsOrder],
) -> None:
    job, takeoff, orders = done
    assert len(orders.lots) in (TYPES * BUILT, BUILT)
    bought: dict[str, float] = defaultdict(float)
    needed: dict[str, float] = defaultdict(float)
    for order in orders.lots:
        alone = {line.id: line.need for line in materials(part_of(takeoff, order.lot), of_job(job)).lines}
        assert {line.id: line.need for line in order.lines} == pytest.approx(alone)
        for line in order.lines:
            bought[line.id] += line.supplied
            needed[line.id] += line.need
            if not line.id.startswith("bead-"):  # bead is cut out of offcuts too, and closes by its pieces
                assert bought[line.id] >= needed[line.id] - 1e-6, (order.lot.name, line.id)
    whole = {line.id: line.need for line in materials(takeoff, of_job(job)).lines}
    assert dict(needed) == pytest.approx(whole)


def test_lots_together_never_buy_more_than_each_alone_would(done: tuple[Job, Takeoff, LotsOrder]) -> None:
    job, takeoff, orders = done
    sold = products_by_line(of_job(job))
    alone = [materials(part_of(takeoff, order.lot), of_job(job)) for order in orders.lots]
    assert [order.alone for order in orders.lots] == [one.cost for one in alone]
    assert orders.cost is not None
    assert orders.cost <= sum((one.cost or Decimal(0) for one in alone), Decimal(0))
    apart: dict[str, float] = defaultdict(float)
    together: dict[str, float] = defaultdict(float)
    for one in alone:
        for line in one.lines:
            apart[line.id] += line.supplied
    for order in orders.lots:
        for lot_line in order.lines:
            together[lot_line.id] += lot_line.supplied
    for key in sold:
        assert together[key] <= apart[key] + 1e-6, key


def test_what_one_order_would_save_is_said(done: tuple[Job, Takeoff, LotsOrder]) -> None:
    job, takeoff, orders = done
    at_once = materials(takeoff, of_job(job)).cost
    assert orders.cost is not None
    assert at_once is not None
    assert orders.saves == orders.cost - at_once >= 0
    note = all_lots_table(orders, "EUR", {}).note
    if orders.saves:
        assert note == (
            f"One order for all lots would cost {number(money(at_once))}, {number(money(orders.saves))} less."
        )
    else:
        assert note == ""
