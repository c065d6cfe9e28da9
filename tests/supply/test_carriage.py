"""Carriage and least orders in the choice of packs: by hand, and against every order that there is."""

from __future__ import annotations

import random
from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.edits.lot_edits import lot_for_each_storey
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.supply.carriage import PackNeed, charge_for, with_carriage
from takeoff.supply.lots import order_by_lots
from takeoff.supply.systems import Carriage, CarriageStep, Pack, as_copy, encoded, load, moved_on, of_job, read

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def pack(size: float, price: str) -> Pack:
    return Pack(name=f"{size} L", size=size, price=Decimal(price))


def carriage(least: str, *steps: tuple[str, str]) -> Carriage:
    made = tuple(CarriageStep(order_from=Decimal(a), charge=Decimal(c)) for a, c in steps)
    return Carriage(minimum_order=Decimal(least), steps=made)


FREE_FROM_100 = carriage("0", ("0", "30"), ("100", "0"))


def test_a_pack_more_is_bought_where_carriage_costs_more_than_it() -> None:
    """8 L take two tubs of 5 L at 45: 90, and 30 of carriage are 120, less than three tubs at 135. Four tubs of 2 L at
    20 are 80, and 110 with carriage; five of them are 100, and carriage is free."""
    tubs = (pack(5, "45"),)
    dear = with_carriage([PackNeed(8.0, tubs)], Decimal(0), FREE_FROM_100)
    assert dear is not None
    assert (dear.counts, dear.goods, dear.charge, dear.raised) == (((2,),), Decimal(90), Decimal(30), False)
    cheap = with_carriage([PackNeed(8.0, (*tubs, pack(2, "20")))], Decimal(0), FREE_FROM_100)
    assert cheap is not None
    assert (cheap.counts, cheap.total, cheap.raised) == (((0, 5),), Decimal(100), True)


def test_small_orders_are_raised_to_the_least_that_is_taken() -> None:
    """One tub of 20 is needed, 50 is the least order: three tubs, 60."""
    found = with_carriage([PackNeed(3.0, (pack(5, "20"),))], Decimal(0), carriage("50", ("0", "8")))
    assert found is not None
    assert (found.counts, found.goods, found.charge) == (((3,),), Decimal(60), Decimal(8))


def test_what_else_is_in_the_order_counts_towards_the_step() -> None:
    needs = [PackNeed(8.0, (pack(5, "45"),))]
    found = with_carriage(needs, Decimal("10.00"), FREE_FROM_100)
    assert found is not None
    assert (found.counts, found.goods, found.charge) == (((2,),), Decimal(100), Decimal(0))


def test_nothing_is_ordered_for_nothing_and_a_missing_price_says_nothing() -> None:
    nothing = with_carriage([PackNeed(0.0, (pack(5, "20"),))], Decimal(0), carriage("50", ("0", "8")))
    assert nothing is not None
    assert (nothing.counts, nothing.total) == (((0,),), Decimal(0))
    assert with_carriage([PackNeed(1.0, (Pack(name="tub", size=5.0),))], Decimal(0), FREE_FROM_100) is None


def every_order(needs: list[PackNeed], most: Decimal) -> Iterator[Decimal]:
    """What every order of whole packs costs that serves all needs, up to an amount."""
    for_each = []
    for one in needs:
        ranges = [range(int(most / p.price) + 1 if p.price else 1) for p in one.packs]
        costs = {
            sum((n * (p.price or 0) for n, p in zip(counts, one.packs, strict=True)), Decimal(0))
            for counts in product(*ranges)
            if sum(n * p.size for n, p in zip(counts, one.packs, strict=True)) >= one.need
        }
        for_each.append(sorted(cost for cost in costs if cost <= most))
    for costs_of in product(*for_each):
        yield sum(costs_of, Decimal(0))


@pytest.mark.parametrize("seed", range(120))
def test_the_total_is_the_least_of_all_orders(seed: int) -> None:
    """Every combination of counts is tried up to an amount that no best order exceeds."""
    chance = random.Random(seed)
    needs = []
    for _ in range(chance.randint(1, 3)):
        sizes = chance.sample([2, 3, 5, 7, 10, 12], chance.randint(1, 2))
        packs = tuple(
            pack(size, f"{chance.randint(4 * size, 9 * size)}.{chance.choice(('00', '50', '25'))}") for size in sizes
        )
        needs.append(PackNeed(float(chance.randint(1, 14)), packs))
    steps = [("0", str(chance.randint(0, 45)))]
    steps += [(str(amount), str(chance.randint(0, 30))) for amount in sorted(chance.sample(range(40, 260), 2))]
    of = carriage(str(chance.choice((0, 0, 60, 150))), *steps)
    fixed = Decimal(chance.choice((0, 0, 1350))) / 100
    found = with_carriage(needs, fixed, of)
    assert found is not None
    assert found.proved
    goods = fixed
    for counts, one in zip(found.counts, needs, strict=True):
        assert sum(n * p.size for n, p in zip(counts, one.packs, strict=True)) >= one.need
        goods += sum((n * (p.price or 0) for n, p in zip(counts, one.packs, strict=True)), Decimal(0))
    assert goods == found.goods
    assert found.charge == charge_for(of, goods)
    totals = [
        fixed + cost + charge_for(of, fixed + cost)
        for cost in every_order(needs, found.total - fixed)
        if fixed + cost >= of.minimum_order
    ]
    assert found.total == min(totals)


def sample_with(of: Carriage) -> Job:
    job = open_file(SAMPLE).job
    system = of_job(job)
    system = msgspec.structs.replace(system, carriage=of)
    return edits.set_system(job, "own", as_copy(system))


def test_order_of_a_job_is_raised_and_its_total_holds_carriage() -> None:
    """The sample's goods come to 2,882.20; carriage of 60 is free from 2,900 on."""
    plain = measure_job(open_file(SAMPLE)).order
    assert plain.cost == Decimal("2882.20")
    assert plain.carriage is None
    job = sample_with(carriage("0", ("0", "60"), ("2900", "0")))
    measured = measure_job(Opened(SAMPLE, "job", job, ()))
    order = measured.order
    goods = sum((line.cost or Decimal(0) for line in order.lines), Decimal(0))
    assert goods >= 2900
    assert order.carriage == 0
    assert order.cost == goods < Decimal("2942.20")
    assert order.carriage_note.startswith("Packs were added")
    assert all(line.supplied >= line.need for line in order.lines)
    far = measure_job(Opened(SAMPLE, "job", sample_with(carriage("0", ("0", "60"), ("9000", "0"))), ())).order
    assert (far.carriage, far.cost) == (Decimal(60), Decimal("2942.20"))
    table = next(t for t in document(measured, "2031-05-20").order if t.id == "materials")
    assert table.rows[-1][0] == "Carriage"
    assert table.total is not None
    assert table.total[-1] == order.cost


def test_note_claims_no_more_than_is_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    job = sample_with(carriage("0", ("0", "60"), ("2900", "0")))
    order = measure_job(Opened(SAMPLE, "job", job, ())).order
    assert any(line.id.startswith("bead-") for line in order.lines)  # bars are cut for themselves
    assert order.carriage_note.endswith("and bars as they are cut, no order costs less.")
    # so few ways are looked at that the order is filled up, and nothing is proved of it
    monkeypatch.setattr("takeoff.supply.carriage.MOST_STATES", 0)
    unproved = measure_job(Opened(SAMPLE, "job", job, ())).order
    assert unproved.carriage_note.endswith("an order that costs less is not ruled out.")


def test_lots_pay_carriage_each_and_never_more_than_alone() -> None:
    for of in (carriage("0", ("0", "60"), ("1500", "0")), carriage("800", ("0", "25"), ("1000", "10"))):
        job = lot_for_each_storey(sample_with(of))
        measured = measure_job(Opened(SAMPLE, "job", job, ()))
        done = order_by_lots(job, measured.takeoff, of_job(job))
        for lot in done.lots:
            assert lot.carriage is not None
            assert lot.cost == sum((line.cost or Decimal(0) for line in lot.lines), Decimal(0)) + lot.carriage
            assert lot.alone is not None
            assert lot.cost <= lot.alone
            assert all(line.before + line.supplied >= line.need - 1e-9 for line in lot.lines)
        at_once = measure_job(Opened(SAMPLE, "job", msgspec.structs.replace(job, lots=()), ())).order
        assert done.at_once == at_once.cost
        assert measured.order.cost == done.cost
        assert done.cost == sum((lot.cost for lot in done.lots if lot.cost is not None), Decimal(0))


def test_systems_with_carriage_are_read_and_older_copies_are_the_same() -> None:
    system = load("demo-lime-foam")
    assert not system.carriage.is_set
    own = msgspec.structs.replace(system, carriage=FREE_FROM_100)
    assert read(encoded(own), "own.json") == own
    older = as_copy(system)
    del older["carriage"]
    job = edits.set_system(open_file(SAMPLE).job, system.id, older)
    assert moved_on(job) == ""
    assert of_job(job) == system


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (carriage("-5", ("0", "1")), "not between 0"),
        (carriage("0", ("0", "-1")), "not between 0"),
        (carriage("0", ("0", "1"), ("0", "2")), "begin at the same amount"),
    ],
)
def test_carriage_that_cannot_be_is_said(of: Carriage, said: str) -> None:
    own = msgspec.structs.replace(load("demo-lime-foam"), carriage=of)
    with pytest.raises(InputError, match=said):
        read(encoded(own), "own.json")


def test_a_coin_that_nobody_pays_with_ends_in_an_order_that_is_not_proved_best() -> None:
    """A price of a millionth makes more coins than can be counted."""
    packs = (pack(5, "20"), pack(1, "0.000001"))
    found = with_carriage([PackNeed(3.0, packs)], Decimal(0), carriage("30000", ("0", "8")))
    assert found is not None
    assert not found.proved
    assert found.goods >= 30_000
