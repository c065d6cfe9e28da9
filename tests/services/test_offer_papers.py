"""Price, days and holds on the sheets: for whom, and from which terms."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Literal

import msgspec
import pypdfium2 as pdfium
import pytest

from takeoff.language import number
from takeoff.plan.model import Job
from takeoff.plan.price_terms import ExtraLine, PriceTerms, RateOf
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.plan.site_check import SiteCheck, Tick
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.offered.offering import offer_of
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.sheet_values import Table

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
ITEMS = ("walls", "ceilings", "drops", "reveals", "bead", "narrow")


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(SAMPLE))


def text_of(file: Path) -> str:
    """The text of all pages, as another library reads it."""
    with pdfium.PdfDocument(file) as pages:
        return "\n".join(page.get_textpage().get_text_bounded() for page in pages)


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


def test_first_page_of_the_scope_says_what_it_costs_once_everything_has_a_rate(measured: Measured) -> None:
    rates = tuple(RateOf(item=item, price="10") for item in ITEMS)
    sheets = document(_with(measured, price=PriceTerms(rates=rates, tax="20")), "2031-05-20")
    offer = offer_of(_with(measured, price=PriceTerms(rates=rates, tax="20")))
    assert offer.gross is not None
    assert offer.net is not None
    head = sheets.for_paper("scope").headlines[-1]
    assert number(offer.gross) in head.figure
    assert number(offer.gross - offer.net) in head.words
    assert all(number(offer.gross) not in one.figure for one in sheets.for_paper("site").headlines)
    unset = document(_with(measured, price=PriceTerms(rates=rates[1:], tax="20")), "2031-05-20")
    assert not any("price" in one.words for one in unset.headlines)


SEEN = ("lump", "rooms", "items")
RATED = PriceTerms(rates=tuple(RateOf(item=item, price="12.35") for item in ITEMS), tax="20", minimum="9000")
BUILT = PriceTerms(
    way="built-up",
    hour="41.37",
    visit="23.19",
    travel="11.83",
    markup="17.9",
    tax="19",
    extras=(ExtraLine(what="Skip hire", quantity="1", unit="each", price="119.77"),),
)


@pytest.mark.parametrize("shown", SEEN)
@pytest.mark.parametrize("terms", [RATED, BUILT], ids=["rates", "built up"])
def test_pdf_of_the_scope_shows_the_chosen_detail_and_never_what_it_is_built_from(
    measured: Measured, terms: PriceTerms, shown: Literal["lump", "rooms", "items"], tmp_path: Path
) -> None:
    """Words and figures of packs, hours, cost and mark-up are looked for in the text of every page."""
    from takeoff.sheets import pdf

    priced = _with(measured, price=msgspec.structs.replace(terms, shown=shown))
    offer = offer_of(priced)
    pdf.write(document(priced, "2031-05-20"), tmp_path / "scope.pdf", "A4", "scope")
    text = text_of(tmp_path / "scope.pdf")
    assert number(offer.gross or 0) in text
    assert "This offer is valid until 19 June 2031." in text
    lines = {"rooms": offer.by_room, "items": offer.by_item or offer.lines, "lump": ()}[shown]
    assert all(number(line.amount or 0) in text for line in lines)
    assert any("Kitchen" in line.what for line in lines) == (shown == "rooms")
    for part in offer.built:
        assert part.what not in text or part.what in ("Coat", "Sand")
        assert number(part.amount or 0) not in text
    for hidden in ("Mark-up", "mark-up", "Skip hire", "17.9", "41.37", "23.19", "per hour", "whole packs", " packs"):
        assert (hidden not in text) or terms is RATED
    if terms is RATED and shown != "items":
        assert all(number(line.amount or 0) not in text for line in offer.lines[:-1])


@pytest.mark.parametrize("shown", SEEN)
@pytest.mark.parametrize("terms", [RATED, BUILT], ids=["rates", "built up"])
def test_whatever_the_client_sees_adds_up_to_the_same_net_sum(
    measured: Measured, terms: PriceTerms, shown: Literal["lump", "rooms", "items"]
) -> None:
    priced = _with(measured, price=msgspec.structs.replace(terms, shown=shown))
    table = _table(document(priced, "2031-05-20").seen_by("client").totals, "offer")
    assert table is not None
    (net,) = [k for k, kind in enumerate(table.kinds) if kind == "total"]
    lines = [row[-1] for row in table.rows[:net]]
    assert sum(a for a in lines if isinstance(a, Decimal)) == table.rows[net][-1] == offer_of(priced).net
    tax = [row[-1] for row in table.rows[net:]]
    assert table.total is not None
    assert sum(a for a in tax if isinstance(a, Decimal)) == table.total[-1]


def test_hours_by_rates_are_one_amount_for_the_client(measured: Measured) -> None:
    day = ExtraLine(what="Day work", quantity="3", unit="h", price="42")
    priced = _with(measured, price=msgspec.structs.replace(RATED, extras=(day,)))
    sheets = document(priced, "2031-05-20")
    client, team = (_table(sheets.totals, name) for name in ("offer", "price-lines"))
    assert client is not None
    assert team is not None
    (seen,) = [row for row in client.rows if row[0] == "Day work"]
    (known,) = [row for row in team.rows if row[0] == "Day work"]
    assert seen[1:] == (None, "", None, Decimal("126.00"))
    assert known[1:] == (Decimal("3.00"), "h", Decimal("42.00"), Decimal("126.00"))
    assert _table(sheets.seen_by("client").totals, "price-lines") is None


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
