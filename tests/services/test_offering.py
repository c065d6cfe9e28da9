"""Price and days of a measured job: what they stand on is what is printed."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan.model import Details, Job
from takeoff.plan.price_terms import HoursOf, PriceTerms, RateOf
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.programme.activities import room_work
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.offered.offering import billed_quantities, days_taken, last_day, offer_of, programme_of
from takeoff.services.opened.opening import open_file
from takeoff.sheets.printed_figures import room_figures
from takeoff.supply.systems import of_job
from takeoff.units.printing import printed

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(SAMPLE))


def _with(measured: Measured, **fields: object) -> Measured:
    return msgspec.structs.replace(measured, job=msgspec.structs.replace(measured.job, **fields))


def test_quantities_are_what_rooms_print(measured: Measured) -> None:
    """By the net convention each item is the sum of the rooms' printed figures, times and all."""
    job = msgspec.structs.replace(measured.job, convention="net")
    found = billed_quantities(msgspec.structs.replace(measured, job=job))
    times = {str(room.id): room.times * storey.times for storey in job.storeys for room in storey.rooms}
    figures = [(room_figures(room), times[str(room.room)]) for room in measured.takeoff.rooms]
    assert found.items["bead"] == sum(one["bead_m"] * count for one, count in figures)
    assert found.items["walls"] == sum(one["wall_net_m2"] * count for one, count in figures)


def test_offer_by_rates_is_quantity_times_rate(measured: Measured) -> None:
    terms = PriceTerms(rates=(RateOf(item="walls", price="30"), RateOf(item="bead", price="7")), tax="20")
    offer = offer_of(_with(measured, price=terms))
    quantities = billed_quantities(measured).items
    walls = next(line for line in offer.lines if line.what == "Coat on walls")
    assert (walls.quantity, walls.amount) == (quantities["walls"], quantities["walls"] * 30)
    assert "Coat on reveals" in offer.unknown
    assert offer.gross is None


def test_rates_of_older_jobs_still_price(measured: Measured) -> None:
    details = Details(price_coat_m2="30", price_bead_m="7", price_narrow_m="5")
    offer = offer_of(_with(measured, details=details, price=PriceTerms()))
    assert offer.unknown == ()
    assert offer.net == sum((line.amount or Decimal(0) for line in offer.lines), Decimal(0))


def test_built_up_offer_stands_on_hours_visits_and_packs(measured: Measured) -> None:
    terms = PriceTerms(way="built-up", hour="40", visit="20", markup="10", tax="19")
    offer = offer_of(_with(measured, price=terms))
    parts = {part.what: part for part in offer.built}
    assert parts["Materials in whole packs"].amount == measured.order.cost
    assert parts["Visits"].quantity == programme_of(measured).programme.visits
    assert offer.net == printed(sum((p.amount or Decimal(0) for p in offer.built), Decimal(0)) * Decimal("1.1"))


def test_hours_of_his_own_count(measured: Measured) -> None:
    system = of_job(measured.job)
    usual = room_work(measured.job, measured.takeoff, system)
    own = _with(measured, price=PriceTerms(hours=(HoursOf(item="sand", hours=0.08),))).job
    slow = room_work(own, measured.takeoff, system)
    before, after = dict(usual[0].hours), dict(slow[0].hours)
    assert after["sand"] == pytest.approx(before["sand"] * 2)
    assert after["coat"] == before["coat"]


def test_programme_waits_for_each_layer_to_dry(measured: Measured) -> None:
    planned = programme_of(_with(measured, programme=ProgrammeTerms(start="2031-05-19", people=2)))
    ends = {one.activity.id: one.end for one in planned.programme.planned}
    for one in planned.programme.planned:
        for name, wait in one.activity.after:
            assert (one.start - ends[name]).total_seconds() >= wait * 3600
    assert planned.dated
    assert planned.programme.bound <= planned.programme.ends
    assert days_taken(planned) >= planned.programme.visits
    assert last_day(planned).isoformat() >= "2031-05-19"


def test_more_people_are_never_later(measured: Measured) -> None:
    ends = [programme_of(_with(measured, programme=ProgrammeTerms(people=n))).programme.ends for n in (1, 2, 4)]
    assert ends == sorted(ends, reverse=True)


def test_job_without_rooms_takes_no_day_and_costs_nothing() -> None:
    from takeoff.measure import measure
    from takeoff.supply.materials import materials

    takeoff = measure(Job())
    empty = Measured(Job(), takeoff, materials(takeoff, of_job(Job())), (), "")
    planned = programme_of(empty)
    assert (days_taken(planned), planned.programme.visits, offer_of(empty).gross) == (0, 0, Decimal(0))


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        (ProgrammeTerms(start="20/5/2031"), "is not a date"),
        (ProgrammeTerms(begins="8 am"), "is not an hour"),
        (ProgrammeTerms(people=0), "Nobody is in the crew"),
        (ProgrammeTerms(days=()), "No day of the week"),
        (ProgrammeTerms(country="XQ"), "are not known"),
    ],
)
def test_terms_that_nobody_can_work_by_are_said(measured: Measured, terms: ProgrammeTerms, said: str) -> None:
    with pytest.raises(InputError, match=said):
        programme_of(_with(measured, programme=terms))
