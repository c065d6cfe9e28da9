"""What the coat goes on is told in the open, and adds up to the printed totals."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pypdfium2
import pytest

from takeoff.plan import edits
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import pdf
from takeoff.sheets.sheet_values import Document, Table
from takeoff.supply.needs import quantities
from takeoff.supply.systems import of_job

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def table(sheets: Document, name: str) -> Table:
    return next(one for one in sheets.totals if one.id == name)


def closes(sheets: Document) -> Table:
    """The table, whose columns and rows add up and whose totals are those of the table of areas."""
    found, areas = table(sheets, "substrates"), table(sheets, "areas")
    assert found.total is not None
    assert areas.total is not None
    printed = dict(areas.rows) | {areas.total[0]: areas.total[1]}
    for k in range(1, len(found.columns)):
        added = sum((Decimal(str(row[k])) for row in found.rows), Decimal(0))
        assert added == found.total[k]
    for row in (*found.rows, found.total):
        assert sum((Decimal(str(cell)) for cell in row[1:-1]), Decimal(0)) == row[-1]
    assert found.total[-1] == areas.total[1]
    assert found.total[1] == printed["Walls, net"]
    return found


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.job.json")), ids=lambda path: path.name)
def test_substrates_add_up_to_the_totals(path: Path) -> None:
    closes(document(measure_job(open_file(path)), "2031-05-20"))


def test_walls_and_ceilings_of_other_substrates_have_rows_of_their_own_on_the_dimension_sheet() -> None:
    opened = open_file(SAMPLES / "terrace.job.json")
    walls, ceilings = of_job(opened.job).substrates[:2]
    job = edits.set_job_substrates(opened.job, walls=walls.id)
    rooms = [room.id for storey in job.storeys for room in storey.rooms]
    job = edits.set_room_substrates(job, rooms, walls.id, ceilings.id)
    measured = measure_job(msgspec.structs.replace(opened, job=job))
    sheets = document(measured, "2031-05-20")
    found = closes(sheets)
    rows = {str(row[0]): row for row in found.rows}
    heads = [column.head for column in found.columns]
    assert set(rows) == {walls.name, ceilings.name}
    assert rows[walls.name][heads.index("Ceiling")] == 0
    assert rows[ceilings.name][heads.index("Ceiling")] == found.total[heads.index("Ceiling")]  # type: ignore[index]
    # What is ordered by, unrounded: every printed figure of a room may be half a cent of a m² away.
    ordered = quantities(measured.takeoff).area_m2
    most = 0.05 * sum(room.times for room in measured.takeoff.rooms)
    for one in (walls, ceilings):
        assert float(str(rows[one.name][-1])) == pytest.approx(ordered[one.id], abs=most)
    made = pypdfium2.PdfDocument(pdf.pdf_bytes(sheets, "A4", "dimensions"))
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in made)
    assert "Areas by substrate" in text
    assert walls.name in text
