"""Price, days and holds on the sheets: for whom, and from which terms."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.plan.model import Job
from takeoff.plan.price_terms import PriceTerms, RateOf
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.plan.site_check import SiteCheck, Tick
from takeoff.services.job_result import Measured, measure_job
from takeoff.services.offering import offer_of
from takeoff.services.opening import open_file
from takeoff.services.writing import document
from takeoff.sheets.sheet_values import Table

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
ITEMS = ("walls", "ceilings", "drops", "reveals", "bead", "narrow")


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(SAMPLE))


def _with(measured: Measured, **fields: object) -> Measured:
    return msgspec.structs.replace(measured, job=msgspec.structs.replace(measured.job, **fields))


def _table(tables: tuple[Table, ...], name: str) -> Table | None:
    return next((table for table in tables if table.id == name), None)


def test_client_sees_the_price_and_never_what_it_is_built_from(measured: Measured) -> None:
    terms = PriceTerms(way="built-up", hour="42", visit="25", markup="18", tax="19")
    sheets = document(_with(measured, price=terms), "2031-05-20")
    client, team = sheets.seen_by("client"), sheets.seen_by("team")
    offer = offer_of(_with(measured, price=terms))
    price = _table(client.totals, "offer")
    assert price is not None
    assert price.total is not None
    assert price.total[-1] == offer.gross
    assert _table(client.totals, "price-parts") is None
    assert _table(team.totals, "price-parts") is not None


def test_rates_of_the_terms_replace_those_of_the_details(measured: Measured) -> None:
    priced = _with(measured, details=msgspec.structs.replace(measured.job.details, price_coat_m2="30"))
    assert _table(document(priced, "2031-05-20").totals, "price") is not None
    rates = tuple(RateOf(item=item, price="10") for item in ITEMS)
    both = document(_with(priced, price=PriceTerms(rates=rates)), "2031-05-20")
    assert _table(both.totals, "price") is None
    assert _table(both.totals, "offer") is not None


def test_sum_of_the_lines_is_the_printed_total(measured: Measured) -> None:
    rates = tuple(RateOf(item=item, price="12.35") for item in ITEMS)
    table = _table(document(_with(measured, price=PriceTerms(rates=rates))).totals, "offer")
    assert table is not None
    assert table.total is not None
    amounts = [row[-1] for row in table.rows]
    assert sum(a for a in amounts if isinstance(a, Decimal)) == table.total[-1]


def test_days_stand_on_the_sheets_when_they_are_set(measured: Measured) -> None:
    assert _table(document(measured, "2031-05-20").totals, "days") is None
    days = _table(document(_with(measured, programme=ProgrammeTerms(start="2031-05-26"))).totals, "days")
    assert days is not None
    assert days.rows[0][0] == "26 May 2031"


def test_site_that_nobody_checked_is_said_on_the_first_page(measured: Measured) -> None:
    lines = document(measured, "2031-05-20").seen_by("client").lines
    assert any(line.label == "Site" and "Not checked yet" in line.text and not line.urgent for line in lines)


def test_hold_stands_first_and_urgent_on_every_sheet(measured: Measured) -> None:
    check = SiteCheck(ticks=(Tick(what="textured", answer="yes"),))
    sheets = document(_with(measured, site_check=check), "2031-05-20")
    for reader in ("client", "team"):
        own = sheets.seen_by(reader)  # type: ignore[arg-type]
        first = own.lines[0]
        assert (first.label, first.urgent) == ("On hold", True)
        assert "may hold asbestos" in first.text
    table = _table(sheets.seen_by("client").totals, "holds")
    assert table is not None
    assert table.rows[0][0] == "HOLD"


def test_job_without_rooms_says_nothing_of_price_or_site() -> None:
    from takeoff.measure import measure
    from takeoff.supply.materials import materials
    from takeoff.supply.systems import of_job

    takeoff = measure(Job())
    empty = Measured(Job(), takeoff, materials(takeoff, of_job(Job())), (), "")
    assert all(line.label != "Site" for line in document(empty, "2031-05-20").lines)
