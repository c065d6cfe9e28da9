"""Prices and names on the sheets: the client's alone, printed quantity × price to the smallest coin."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import msgspec
import pytest
from test_bill_table import job, sheets

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import DrawingRef, Job
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets.flat import flat_tables
from takeoff.sheets.sheet_values import Table


def priced(of: Job, **details: str) -> Job:
    """Bead is included where no price is given for it."""
    return edits.set_details(of, **({"currency": "EUR", "price_bead_m": "0"} | details))


def price_of(of: Job) -> Table:
    (table,) = [t for t in sheets(of).seen_by("client").totals if t.id == "price"]
    return table


def test_price_is_the_printed_quantity_times_the_price_of_one() -> None:
    # 33.71 walls + 4.55 reveals + 20.00 ceiling = 58.26 m²; 25.30 m of bead
    table = price_of(priced(job(), price_coat_m2="10", price_bead_m="9.5"))
    assert [row[1:] for row in table.rows] == [
        (Decimal("58.26"), "m²", Decimal("10.00"), Decimal("582.60")),
        (Decimal("25.30"), "m", Decimal("9.50"), Decimal("240.35")),
    ]
    assert table.total is not None
    assert table.total[-1] == Decimal("822.95")
    assert table.columns[-1].title == "Amount EUR"


def test_three_alike_rooms_cost_three_times_as_much() -> None:
    table = price_of(priced(job(times=3), price_coat_m2="10"))
    assert table.rows[0][1] == Decimal("174.78")
    assert table.total is not None
    assert table.total[-1] == Decimal("1747.80")


def test_price_follows_the_convention_of_the_bill() -> None:
    # walls as billed by UK SMM7 34.07, ceiling 20.00; reveals by length, and until a metre of them has a price
    # by their area: 20.20 × 0.20 + 5.10 × 0.10
    of = msgspec.structs.replace(priced(job(), price_coat_m2="10"), convention="uk-smm7")
    assert [row[:4] for row in price_of(of).rows[:2]] == [
        ("Coat on walls, ceilings and reveals", Decimal("54.07"), "m²", Decimal("10.00")),
        ("Narrow widths, length × width", Decimal("4.55"), "m²", Decimal("10.00")),
    ]
    by_metre = price_of(edits.set_details(of, price_narrow_m="3,5"))
    assert by_metre.rows[1] == (
        "Narrow widths, by length", Decimal("25.30"), "m", Decimal("3.50"), Decimal("88.55"),
    )  # fmt: skip


def test_what_has_no_price_stands_open_and_has_no_total_over_it() -> None:
    # 58.26 m² of coat are priced, 25.30 m of bead are not; then the other way round
    table = price_of(priced(job(), price_coat_m2="10", price_bead_m=""))
    assert [row[1:] for row in table.rows] == [
        (Decimal("58.26"), "m²", Decimal("10.00"), Decimal("582.60")),
        (Decimal("25.30"), "m", "?", "?"),
    ]
    assert table.total is None
    assert table.note == "Not known yet, so there is no total: New corner bead."
    of = msgspec.structs.replace(job(), convention="uk-smm7")
    narrow = price_of(edits.set_details(of, price_narrow_m="3.5"))
    assert [row[-1] for row in narrow.rows] == ["?", Decimal("88.55"), "?"]
    assert narrow.total is None


def samples() -> list[Job]:
    """Every sample: jobs as they are, drawings as they are opened."""
    folder = Path(__file__).parents[2] / "sample_plans"
    paths = [*sorted(folder.glob("*.dxf")), *sorted(folder.glob("*.job.json"))]
    assert len(paths) > 5
    return [open_file(path).job for path in paths]


def test_price_is_rebuilt_from_the_bill_with_a_calculator_on_every_sample() -> None:
    cent = Decimal("0.01")
    for sample in samples():
        for convention in ("uk-nrm2", "uk-smm7", "de-vob", "at-b2210", "net"):
            of = msgspec.structs.replace(priced(sample, price_coat_m2="41.5"), convention=convention)
            measured = measure_job(Opened(Path("j.json"), "job", of, ()))
            for rates in (("41.5", ""), ("41.5", "12.25")):
                job = edits.set_details(of, price_narrow_m=rates[1])
                made = document(msgspec.structs.replace(measured, job=job), "2031-05-20").seen_by("client")
                (price,) = [t for t in made.totals if t.id == "price"]
                bill = next((t for t in made.totals if t.id == "bill"), None)
                if bill is None:
                    schedule = made.summary or made.storeys[0].schedule
                    (coated,) = [k for k, column in enumerate(schedule.columns) if column.title == "To coat m²"]
                    assert schedule.total is not None
                    expected = (Decimal(str(schedule.total[coated])) * Decimal(rates[0])).quantize(cent, ROUND_HALF_UP)
                else:
                    sums = {head: sum(Decimal(str(row[k])) for row in bill.rows) for k, head in heads(bill)}
                    area = sum(
                        v for head, v in sums.items() if head in ("Walls billed", "Ceilings", "Bulkheads", "Reveals")
                    )
                    expected = (area * Decimal(rates[0])).quantize(cent, ROUND_HALF_UP)
                    key, rate = ("Narrow widths", rates[1]) if rates[1] else ("Narrow area", rates[0])
                    expected += (sums.get(key, Decimal(0)) * Decimal(rate)).quantize(cent, ROUND_HALF_UP)
                assert price.total is not None
                assert price.total[-1] == expected


def heads(bill: Table) -> list[tuple[int, str]]:
    """(place, head) of the columns of figures."""
    return [(k, column.head) for k, column in enumerate(bill.columns) if k]


def test_narrow_work_of_the_bill_is_broken_down_by_width() -> None:
    made = sheets(msgspec.structs.replace(job(), convention="uk-smm7"))
    (table,) = [t for t in made.totals if t.id == "bill-narrow"]
    assert [row[1:] for row in table.rows] == [
        ("Reveals", Decimal("0.200"), Decimal("20.20"), Decimal("4.04")),
        ("Reveals", Decimal("0.100"), Decimal("5.10"), Decimal("0.51")),
    ]


def test_team_sees_no_price_and_a_job_without_prices_has_no_table() -> None:
    team = sheets(priced(job(), price_coat_m2="10")).seen_by("team")
    assert not [t for t in team.totals if t.id == "price"]
    assert not [t for t in sheets(job()).totals if t.id == "price"]


def test_names_of_client_site_and_firm_stand_on_the_sheets() -> None:
    of = edits.set_details(
        job(),
        client="A. Client",
        site="3 Invented Lane",
        contractor="Example Plastering",
        reference="Job 0417",
        date="",
    )
    made = sheets(of)
    assert made.addressed == "For A. Client. Site: 3 Invented Lane."
    assert (made.firm, made.reference) == ("Example Plastering", "Job 0417")
    assert any("3 Invented Lane" in str(cell) for row in flat_tables(made)[0].rows for cell in row)


def test_day_typed_for_the_job_is_printed_unless_another_is_asked_for() -> None:
    measured = measure_job(Opened(Path("j.json"), "job", edits.set_details(job(), date="1 May 2031"), ()))
    assert document(measured).date == "1 May 2031"
    assert document(measured, "2031-05-20").date == "20 May 2031"


def test_drawing_number_is_typed_only_where_there_is_a_drawing() -> None:
    with pytest.raises(InputError, match="no drawing"):
        edits.set_drawing_number(job(), "TH-01")
    of = edits.set_drawing_number(
        msgspec.structs.replace(job(), drawings=(DrawingRef(id=FIRST, name="x.dxf"),)), "TH-01", "B"
    )
    assert sheets(of).reference == "Drawing TH-01, revision B"
