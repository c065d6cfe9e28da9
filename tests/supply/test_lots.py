"""Lots: what each buys covers its need, never costs more than by itself, and is the cheapest by another solver."""

from __future__ import annotations

import random
from decimal import Decimal
from pathlib import Path

import msgspec
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan.edits.lot_edits import (
    every_copy,
    lot_for_each_plot,
    lot_for_each_storey,
    set_in_van,
    set_lot_date,
    set_lots,
)
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.services.opened.opening import open_file
from takeoff.supply.lots import LotsOrder, lots_in_order, order_by_lots, part_of
from takeoff.supply.materials import materials
from takeoff.supply.systems import of_job, products_by_line

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def job() -> Job:
    return open_file(SAMPLE).job


def _times(job: Job, count: int) -> Job:
    return msgspec.structs.replace(
        job, storeys=tuple(msgspec.structs.replace(storey, times=count) for storey in job.storeys)
    )


def _cheapest(need: float, sizes: list[float], prices: list[float]) -> float:
    """The least cost of packs that hold the need, by scipy's integer programme."""
    if need <= 0:
        return 0.0
    found = milp(
        np.array(prices),
        constraints=LinearConstraint(np.array([sizes]), lb=need - 1e-6),
        integrality=np.ones(len(sizes)),
        bounds=Bounds(0, np.inf),
    )
    return float(found.fun)


def _sound(done: LotsOrder, job: Job) -> int:
    """Each line: what was there, what is bought and what is left close; the cost is the least; bars hold their cuts."""
    packs = {key: product.packs for key, product in products_by_line(of_job(job)).items()}
    left: dict[str, float] = {one.item: one.quantity for one in job.in_van}
    checked = 0
    for order in done.lots:
        for line in order.lines:
            if line.id not in packs:
                continue
            assert line.before == pytest.approx(left.get(line.id, 0.0))
            assert line.before + line.supplied >= line.need - 1e-6
            assert line.left == pytest.approx(line.before + line.supplied - line.need, abs=1e-6)
            left[line.id] = line.left
            sizes = [pack.size for pack in packs[line.id]]
            prices = [float(pack.price or 0) for pack in packs[line.id]]
            assert float(line.cost or 0) == pytest.approx(_cheapest(line.need - line.before, sizes, prices), abs=1e-6)
            checked += 1
        assert order.cost is not None
        assert order.alone is not None
        assert order.cost <= order.alone
        for used in order.offcuts:
            assert sum(piece.length_mm for piece in used.cuts) <= used.offcut_mm
    return checked


def _pieces(done: LotsOrder) -> list[int]:
    from_bars = [c.length_mm for o in done.lots for bead in o.beads for bar in bead.bars for c in bar.cuts]
    return sorted(from_bars + [c.length_mm for o in done.lots for used in o.offcuts for c in used.cuts])


def test_twelve_plots_buy_what_they_need_and_no_more_than_each_alone(job: Job) -> None:
    plots = lot_for_each_plot(_times(job, 12))
    takeoff = measure(plots)
    done = order_by_lots(plots, takeoff, of_job(plots))
    assert [order.lot.name for order in done.lots] == [f"Plot {n}" for n in range(1, 13)]
    assert _sound(done, plots) > 50
    assert done.cost is not None
    assert done.at_once == materials(takeoff, of_job(plots)).cost
    assert done.saves == done.cost - done.at_once
    assert done.cost <= sum((order.alone or Decimal(0) for order in done.lots), Decimal(0))
    whole = materials(takeoff, of_job(plots))
    assert _pieces(done) == sorted(c.length_mm for bead in whole.beads for bar in bead.bars for c in bar.cuts)


def test_plots_are_alike_and_add_up_to_the_whole(job: Job) -> None:
    plots = lot_for_each_plot(_times(job, 3))
    takeoff = measure(plots)
    parts = [part_of(takeoff, lot) for lot in lots_in_order(plots)]
    assert parts[0].rooms == parts[1].rooms == parts[2].rooms
    assert sum(r.times * r.coated_m2 for part in parts for r in part.rooms) == pytest.approx(
        takeoff.totals["coated_m2"]
    )


@pytest.mark.parametrize("seed", range(24))
def test_random_lots_are_the_cheapest_by_another_solver(job: Job, seed: int) -> None:
    """Rooms and copies dealt into lots at random, with something in the van: over 200 lots in all."""
    chance = random.Random(seed)
    several = _times(job, chance.randint(1, 3))
    names = [f"lot {n}" for n in range(chance.randint(8, 11))]
    dealt: dict[str, list[LotRoom]] = {name: [] for name in names}
    for one in every_copy(several):
        dealt[chance.choice(names)].append(one)
    lots = []
    for name, rooms in dealt.items():
        by_room: dict[tuple[str, str], list[int]] = {}
        for one in rooms:
            by_room.setdefault((one.storey, one.room), []).extend(one.copies)
        merged = tuple(LotRoom(storey=s, room=r, copies=tuple(sorted(n))) for (s, r), n in by_room.items())
        lots.append(Lot(id=name, name=name, date=f"2031-0{chance.randint(1, 9)}-10", rooms=merged))
    several = set_lots(several, tuple(lots))
    several = set_in_van(several, "coat", chance.choice([0.0, 3.5, 60.0]))
    done = order_by_lots(several, measure(several), of_job(several))
    assert [order.lot.date for order in done.lots] == sorted(order.lot.date for order in done.lots)
    assert _sound(done, several) > 0


def test_what_is_in_no_lot_comes_last(job: Job) -> None:
    first = job.storeys[0].rooms[0]
    some = set_lots(
        job, (Lot(id="a", name="First", rooms=(LotRoom(storey=str(job.storeys[0].id), room=str(first.id)),)),)
    )
    found = lots_in_order(some)
    assert [lot.id for lot in found] == ["a", "rest"]
    rooms = sum(len(storey.rooms) for storey in job.storeys)
    assert len(found[1].rooms) == rooms - 1
    assert lots_in_order(Job()) == ()


def test_job_without_lots_is_one_order(job: Job) -> None:
    takeoff = measure(job)
    done = order_by_lots(job, takeoff, of_job(job))
    assert len(done.lots) == 1
    assert (done.cost, done.saves) == (materials(takeoff, of_job(job)).cost, Decimal(0))


def test_storeys_are_lots_and_dates_order_them(job: Job) -> None:
    lots = lot_for_each_storey(job)
    assert [lot.name for lot in lots.lots] == [storey.title for storey in job.storeys]
    dated = set_lot_date(lots, lots.lots[-1].id, "2031-05-01")
    assert lots_in_order(dated)[0].id == lots.lots[-1].id
    with pytest.raises(InputError, match="not there any more"):
        set_lot_date(lots, "nowhere", "2031-05-01")


def test_lots_that_cannot_be_are_refused(job: Job) -> None:
    storey, room = str(job.storeys[0].id), str(job.storeys[0].rooms[0].id)
    one = LotRoom(storey=storey, room=room)
    with pytest.raises(InputError, match="in two lots"):
        set_lots(job, (Lot(id="a", rooms=(one,)), Lot(id="b", rooms=(one,))))
    with pytest.raises(InputError, match="does not have"):
        set_lots(job, (Lot(id="a", rooms=(LotRoom(storey=storey, room="r99"),)),))
    with pytest.raises(InputError, match="there is no number 9"):
        set_lots(job, (Lot(id="a", rooms=(LotRoom(storey=storey, room=room, copies=(9,)),)),))
    with pytest.raises(InputError, match="0 or more"):
        set_in_van(job, "coat", -1.0)
    if all(storey.times == 1 for storey in job.storeys):
        with pytest.raises(InputError, match="more than once"):
            lot_for_each_plot(job)
