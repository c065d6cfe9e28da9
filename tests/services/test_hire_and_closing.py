"""The dehumidifier as a line of the price, beside the litres that it takes out; what one person closes on the cards."""

from __future__ import annotations

import math
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.plan import edits
from takeoff.plan.price_terms import PriceTerms
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.offered.days_said import card_closing
from takeoff.services.offered.offering import offer_of, water_of
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document, for_paper

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(JOB))


def _with(measured: Measured, **fields: object) -> Measured:
    return msgspec.structs.replace(measured, job=msgspec.structs.replace(measured.job, **fields))


def test_hire_is_days_times_its_price_and_names_the_water(measured: Measured) -> None:
    of = _with(measured, programme=ProgrammeTerms(dryer_l_day=18.0))
    job = edits.with_terms(edits.with_rates(of.job, ["walls=30", "ceilings=30"]), {"dryer_day": "24.50"})
    of = msgspec.structs.replace(of, job=job)
    water = water_of(of)
    assert water is not None
    days = math.ceil(water.litres / 18.0)  # whole days by hand
    line = next(line for line in offer_of(of).lines if line.what.startswith("Dehumidifier"))
    assert line.what == f"Dehumidifier, for {water.litres:.0f} L of water"
    assert (line.quantity, line.unit) == (Decimal(days), "days")
    assert line.amount == days * Decimal("24.50")
    said = " ".join(line.text for line in document(of, "2031-05-20").lines if line.label == "Water to dry out")
    assert f"hired for {days} days" in said


def test_hire_has_its_cost_in_a_price_that_is_built_up(measured: Measured) -> None:
    of = _with(measured, programme=ProgrammeTerms(dryer_l_day=18.0), price=PriceTerms(way="built-up", hour="40"))
    water = water_of(of)
    assert water is not None
    dear = msgspec.structs.replace(of, job=edits.with_terms(of.job, {"dryer_day": "24.50"}))
    before, after = offer_of(of), offer_of(dear)
    parts = {line.what: line.amount for line in after.built}
    assert parts[f"Dehumidifier, for {water.litres:.0f} L of water"] == water.dryer_days * Decimal("24.50")
    assert len(after.built) == len(before.built) + 1


@pytest.mark.parametrize("terms", [{"dryer_day": "24.50"}, {"dryer_day": ""}])
def test_no_line_without_a_dehumidifier_or_without_its_price(measured: Measured, terms: dict[str, str]) -> None:
    litres = 0.0 if terms["dryer_day"] else 18.0
    of = _with(measured, programme=ProgrammeTerms(dryer_l_day=litres))
    of = msgspec.structs.replace(of, job=edits.with_terms(edits.with_rates(of.job, ["walls=30"]), terms))
    assert not any(line.what.startswith("Dehumidifier") for line in offer_of(of).lines)


def test_cards_say_what_one_person_closes(measured: Measured) -> None:
    # 6 m²/h for 20 min are 2 m²: at 2.40 m high 2 / 2.4 = 0.83 m
    of = _with(measured, programme=ProgrammeTerms(people=1, rate_m2_h=6.0, working_min=20.0))
    cards = for_paper(document(of, "2031-05-20"), of, "site").cards
    said = {card.id: line.text for card in cards for line in card.lines if line.label == "In one go"}
    high = next(r for r in of.takeoff.rooms if r.height_min_mm == r.height_max_mm and len(r.faces) == 4)
    width = 2.0 / (high.height_min_mm / 1000.0)
    assert f"one closes {width:.2f} m" in said[str(high.room)]
    assert "Too wide for a crew of 1" in said[str(high.room)]


def test_cards_of_a_job_without_a_crew_say_nothing_of_it(measured: Measured) -> None:
    assert card_closing(_with(measured, programme=ProgrammeTerms())) == {}
