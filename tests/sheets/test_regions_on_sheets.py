"""Sheets as the region writes: decimal comma, thousands, dates in words, paper, feet and inches."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from pathlib import Path

import invented_job as job_of
import pypdfium2
import pytest

from takeoff.errors import Where
from takeoff.language import use_language, use_region
from takeoff.plan.model import Job, Storey
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import csv_tables, pdf
from takeoff.sheets.finding_tables import Places
from takeoff.sheets.flow import cell_text
from takeoff.sheets.room_rows import room_labels
from takeoff.sheets.sheet_document import build
from takeoff.sheets.sheet_values import Column, Document, Table
from takeoff.sheets.texts import load

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    yield
    use_language("en")
    use_region("")


def test_figures_of_a_table_have_the_regions_marks() -> None:
    assert (cell_text(Decimal("2932.30")), cell_text(Decimal("-0.50")), cell_text(2700)) == (
        "2,932.30",
        "−0.50",
        "2700",
    )
    use_language("de")
    assert (cell_text(Decimal("2932.30")), cell_text(Decimal("-0.50")), cell_text(2700)) == (
        "2.932,30",
        "−0,50",
        "2700",
    )


@pytest.mark.parametrize(("spoken", "mark", "area"), [("en", ",", "2932.30"), ("de", ";", "2932,30")])
def test_csv_opens_in_the_regions_spreadsheet(spoken: str, mark: str, area: str) -> None:
    use_language(spoken)
    columns = (Column("Room"), Column("Walls", "m²", "figure"))
    text = csv_tables.table_bytes(Table("t", "T", columns, (("Hall, long; low", Decimal("2932.30")),))).decode(
        "utf-8-sig"
    )
    assert list(csv.reader(io.StringIO(text), delimiter=mark)) == [["Room", "Walls m²"], ["Hall, long; low", area]]


def test_figures_are_the_same_in_both_languages() -> None:
    def figures() -> list[object]:
        made = build(*job_of.cottage(), job_of.order(), job_of.FINDINGS, date="2031-05-20")
        return [c for t in made.tables() for row in (*t.rows, t.total or ()) for c in row if not isinstance(c, str)]

    english = figures()
    use_language("de")
    assert len(english) > 100
    assert figures() == english


def test_date_stands_in_words() -> None:
    made = [build(*job_of.cottage(), date=day).date for day in ("2031-05-20", "as agreed")]
    assert made == ["20 May 2031", "as agreed"]
    use_language("de")
    assert build(*job_of.cottage(), date="2031-05-20").date == "20. Mai 2031"


@pytest.mark.parametrize(("where", "size"), [("GB", (595, 842)), ("US", (612, 792))])
def test_paper_is_the_regions(where: str, size: tuple[int, int]) -> None:
    use_region(where)
    with pypdfium2.PdfDocument(pdf.pdf_bytes(build(*job_of.cottage()))) as made:
        # the page of a wide plan lies on its side
        assert tuple(sorted(round(side) for side in made.get_page_size(0))) == size


@cache
def flat() -> Document:
    return document(measure_job(open_file(SAMPLES / "flat_feet.dxf")), "2031-05-20")


def test_plan_in_feet_says_areas_in_square_feet_too() -> None:
    schedule = flat().storeys[0].schedule
    assert schedule.columns[-1].title == "To coat sq ft"
    metric, imperial = (len(schedule.columns) - 2, len(schedule.columns) - 1)
    for row in schedule.rows:
        # 1 m² is 10.7639 sq ft
        assert float(row[imperial]) == pytest.approx(float(row[metric]) * 10.7639104, abs=0.051)  # type: ignore[arg-type]
    assert schedule.total is not None
    assert schedule.total[imperial] == sum(row[imperial] for row in schedule.rows)  # type: ignore[misc]
    assert flat().headlines[0].words.startswith(f"{schedule.total[imperial]:,.0f} sq ft")


def test_plan_in_feet_has_pieces_of_bead_in_feet_and_inches() -> None:
    (bead, *_) = [table for table in flat().order if table.id.startswith("bead-")]
    heads = [column.title for column in bead.columns]
    assert heads[3:5] == ["Pieces to cut mm", "Pieces to cut ft-in"]
    for row in bead.rows:
        feet, inches = str(row[4]).removesuffix('"').split("'-")
        whole, _, part = inches.partition(" ")
        sixteenths = (int(feet) * 12 + int(whole)) * 16 + (
            16 * int(part.split("/")[0]) // int(part.split("/")[1]) if part else 0
        )
        assert abs(sixteenths / 16 * 25.4 - float(str(row[3]))) <= 25.4 / 32 + 0.001


def test_plan_in_metres_says_nothing_in_feet() -> None:
    made = build(*job_of.cottage(), job_of.order())
    assert not any("ft" in column.title for table in made.tables() for column in table.columns)


def test_wall_in_a_list_is_called_by_its_rooms_number() -> None:
    room = job_of.room("Living", job_of.rectangle(0, 0, 4000, 3000), number="G2")
    of = Job(storeys=(Storey(id="g", rooms=(room,)),))
    places = Places(of, room_labels(of, load()), load())
    where = Where(storey="g", room=str(room.id), surface=str(room.outline[0].id))
    assert places.text(where) == "G2 Living, wall G2-A"
