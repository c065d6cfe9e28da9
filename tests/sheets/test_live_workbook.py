"""Sums of the workbook are live, and worked out anew they are what is printed."""

from __future__ import annotations

import io
from decimal import Decimal
from functools import cache
from pathlib import Path

import msgspec
import openpyxl
import pytest

from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets import xlsx
from takeoff.sheets.flat import flat_tables
from takeoff.sheets.live_sums import Figures, live, unexplained
from takeoff.sheets.sheet_values import Column, Document, Table
from tests.sheets.workbook_sums import Workbook, arithmetic

FOLDER = Path(__file__).parents[2] / "sample_plans"
SAMPLES = [*sorted(FOLDER.glob("*.dxf")), *sorted(FOLDER.glob("*.job.json"))]


@cache
def measured(path: Path) -> Measured:
    return measure_job(open_file(path))


def priced(path: Path) -> Measured:
    """A sample with rates of two taxes, an extra line, a minimum and a convention that counts by length."""
    found = measured(path)
    rates = [f"{item}=12.35" for item in ("walls", "ceilings", "drops", "reveals", "narrow")]
    job = edits.with_rates(edits.with_terms(found.job, {"tax": "20", "minimum": "30000"}), [*rates, "bead=7 @5%"])
    job = edits.with_extras(job, ["Skip hire=1 each 120"])
    return msgspec.structs.replace(found, job=msgspec.structs.replace(job, convention="uk-nrm2"))


def sheets(of: Measured) -> Document:
    return document(of, "2031-05-20")


@pytest.mark.parametrize("of", [measured, priced], ids=["as it is", "priced"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_every_total_is_live_and_comes_to_what_is_printed(path, of) -> None:
    made = sheets(of(path))
    assert not [(table.id, at) for table in flat_tables(made) for at in unexplained(table, live(table))]
    book = Workbook(xlsx.xlsx_bytes(made))
    formulas = book.cells()
    assert len(formulas) > 40
    for sheet, cell, text in formulas:
        assert book.worked_out(sheet, cell) == book.kept_value(sheet, cell), (sheet, cell, text)


def test_a_sum_follows_when_a_figure_is_changed() -> None:
    book = Workbook(xlsx.xlsx_bytes(sheets(priced(SAMPLES[-1]))))
    sheet = book.formulas["Price"]
    rows = {str(row[0].value): row for row in sheet.iter_rows()}
    before = book.worked_out("Price", rows["Total"][4].coordinate)
    price = rows["Coat on walls"][3]
    quantity = Decimal(repr(rows["Coat on walls"][1].value))
    price.value = 22.35
    # ten more for each m², and a fifth of it in tax; the line up to the minimum stays as it is
    more = (quantity * 10) * Decimal("1.2")
    after = book.worked_out("Price", rows["Total"][4].coordinate)
    assert abs(after - before - more) <= Decimal("0.01")


def test_workbook_has_one_table_to_a_sheet_ready_to_print() -> None:
    made = sheets(priced(SAMPLES[-1]))
    book = openpyxl.load_workbook(io.BytesIO(xlsx.xlsx_bytes(made)))
    tables = flat_tables(made)
    assert len(book.sheetnames) == len(tables) == len({name.casefold() for name in book.sheetnames})
    assert {"Price", "Rooms", "Materials", "Dims"} <= set(book.sheetnames)
    for sheet, table in zip(book, tables, strict=True):
        assert sheet.cell(1, 1).value == table.title
        assert len(sheet.title) <= 31
        assert sheet.print_area
        assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("landscape", 9)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        headed = bool(table.rows) and any(column.title for column in table.columns)
        assert (sheet.print_title_rows == "$2:$2") == headed
        assert (sheet.freeze_panes == "A3") == headed


def test_names_of_sheets_are_short_and_unlike() -> None:
    rows = (("a", Decimal("1.00")),)
    names = ["Bead: [one/two]*?", "Bead: [one/two]*?", "x" * 60, "x" * 60, "'quoted'", "History", "\\"]
    tables = tuple(
        Table(f"t{k}", name, (Column("N"), Column("F", kind="figure")), rows) for k, name in enumerate(names)
    )
    made = msgspec.structs.replace(sheets(measured(SAMPLES[0])), totals=tables)
    book = openpyxl.load_workbook(io.BytesIO(xlsx.xlsx_bytes(made)))
    first = book.sheetnames.index("Bead one two")
    assert book.sheetnames[first : first + 7] == [
        "Bead one two",
        "Bead one two 2",
        "x" * 31,
        "x" * 29 + " 2",
        "quoted",
        "History 2",
        "t6",
    ]


def test_a_total_that_its_figures_do_not_give_stays_a_mere_number() -> None:
    """A cell is never made to say another figure than the sheets do."""
    columns = (Column("What"), Column("Area", kind="figure"))
    rows = (("a", Decimal("1.25")), ("b", Decimal("2.50")))
    wrong = Table("t", "T", columns, rows, total=("all", Decimal("3.76")))
    assert live(wrong) == {}
    assert unexplained(wrong, {}) == [(2, 1)]
    right = msgspec.structs.replace(wrong, total=("all", Decimal("3.75")))
    assert list(live(right)) == [(2, 1)]


def test_workings_are_products_of_what_they_say() -> None:
    columns = (Column("Working"), Column("Result", kind="figure"))
    rows = (
        ("2 × 3.450 × 2.400 =", Decimal("16.56")),
        ("−1 × 0.914 × 2.040 =", Decimal("-1.86")),
        ("2 × 3 =", Decimal(7)),
    )
    found = live(Table("t", "T", columns, rows))
    assert found == {(0, 1): Figures(("2", "3.450", "2.400")), (1, 1): Figures(("-1", "0.914", "2.040"))}


def test_the_evaluator_by_hand() -> None:
    assert arithmetic("2*3.45*2.4") == Decimal("16.560")
    assert arithmetic("43.2-3.28+1") == Decimal("40.92")
    assert arithmetic("-1*0.5*4") == Decimal("-2.0")
    assert arithmetic("20*886.66/100") == Decimal("177.332")


def test_job_without_rooms_gives_a_workbook() -> None:
    empty = measure_job(Opened(Path("j.json"), "job", Job(), ()))
    assert not Workbook(xlsx.xlsx_bytes(sheets(empty))).cells()
