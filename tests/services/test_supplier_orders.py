"""The order as it goes out: by supplier, lot by lot, with its latest day, and without prices unless they are wanted."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pypdfium2
import pytest

from takeoff.plan import edits
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.pdf import pdf_bytes
from takeoff.sheets.sheet_values import Document, Table
from takeoff.supply.systems import as_copy, load, moved_on, read

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
NORTH, SOUTH = "North Merchants", "Südhandel Größe & Söhne"


def sold(base: int = 5, coat: int = 3) -> dict[str, Any]:
    """The demo system with a supplier for the base coat, another for coat and bead, none for the rest."""
    tree = as_copy(load("demo-lime-foam"))
    tree["base"]["product"] |= {"supplier": NORTH, "lead_days": base}
    tree["coat"]["product"] |= {"supplier": SOUTH, "lead_days": coat}
    for bead in tree["beads"]:
        bead |= {"supplier": SOUTH, "lead_days": 8}
    return tree


@pytest.fixture(scope="module")
def job() -> Job:
    return open_file(JOB).job


def measured(job: Job, **fields: object) -> Measured:
    opened = open_file(JOB)
    return measure_job(msgspec.structs.replace(opened, job=msgspec.structs.replace(job, **fields)))


def order_of(of: Measured, day: str = "2031-05-01") -> Document:
    return document(of, day).for_paper("order")


def titles(sheets: Document) -> list[str]:
    return [table.title for table in sheets.order]


def by(sheets: Document) -> list[str]:
    return [
        line.text for line in sheets.lines if (line.text and "Delivery takes" in line.text) or "before the" in line.text
    ]


def test_each_supplier_gets_a_table_of_his_own_and_none_is_lost(job: Job) -> None:
    whole = measured(job, system_copy=sold())
    sheets = order_of(whole)
    assert titles(sheets)[:3] == [NORTH, SOUTH, "Supplier not named"]
    items = [row[0] for table in sheets.order[:3] for row in table.rows]
    assert sorted(map(str, items)) == sorted(line.item for line in whole.order.lines)
    assert not any(table.id == "materials" for table in sheets.order)
    # the workbook keeps the whole list
    assert any(table.id == "materials" for table in document(whole, "2031-05-01").order)


def test_with_no_supplier_the_order_is_one_list_as_before(job: Job) -> None:
    sheets = order_of(measured(job))
    assert [table.id for table in sheets.order if table.id.startswith("materials")] == ["materials"]
    assert not any(line.label == "Order by" for line in sheets.lines)


def test_packs_are_told_by_count_and_prices_only_where_they_are_wanted(job: Job) -> None:
    whole = measured(job, system_copy=sold())
    coat = next(line for line in whole.order.lines if line.id == "coat")
    table = order_of(whole).order[1]
    row = next(row for row in table.rows if row[0] == coat.item)
    assert row[-1] == " + ".join(f"{count} × {name}" for name, count in coat.packs)
    assert not any(column.kind == "money" for column in table.columns)
    priced = order_of(measured(edits.set_order_prices(job, True), system_copy=sold()))
    totals = [table.total[-1] for table in priced.order[:3] if table.total is not None]
    assert all(isinstance(total, Decimal) for total in totals)
    assert sum(totals) == whole.order.cost  # the suppliers' sums are the order's


def test_latest_day_is_the_programmes_first_day_less_what_takes_longest(job: Job) -> None:
    # Work begins on Monday 2 June 2031. Base 5 working days: Friday 23 May. Coat 3 and bead 8: the 8 count, so that
    # the last days of delivery are 21 to 30 May and the order goes out on Tuesday 20 May.
    begun = msgspec.structs.replace(job.programme, start="2031-06-02", country="")
    sheets = order_of(measured(job, system_copy=sold(), programme=begun))
    assert by(sheets) == [
        f"{NORTH}: 23 May 2031. Delivery takes 5 working days, and work begins on 2 June 2031.",
        f"{SOUTH}: 20 May 2031. Delivery takes 8 working days, and work begins on 2 June 2031.",
    ]
    late = order_of(measured(job, system_copy=sold(), programme=begun), "2031-05-22")
    told = {line.text.split(":")[0]: line.urgent for line in late.lines if "Delivery takes" in line.text}
    assert told == {NORTH: False, SOUTH: True}
    assert any("That day is past" in text for text in by(late))


def test_without_a_first_day_the_days_alone_are_told(job: Job) -> None:
    begun = msgspec.structs.replace(job.programme, start="")
    sheets = order_of(measured(job, system_copy=sold(), programme=begun))
    assert by(sheets)[0] == f"{NORTH}: 5 working days before the goods are needed."


def test_each_lot_is_ordered_by_its_own_day(job: Job) -> None:
    rooms = [LotRoom(storey=str(s.id), room=str(r.id)) for s in job.storeys for r in s.rooms]
    lots = (
        Lot(id="a", name="First", date="2031-06-02", rooms=tuple(rooms[:2])),
        Lot(id="b", name="Second", date="2031-06-16", rooms=tuple(rooms[2:])),
    )
    whole = measured(job, system_copy=sold(), lots=lots)
    sheets = order_of(whole)
    assert titles(sheets)[:2] == [f"{NORTH}: First, 2 June 2031", f"{NORTH}: Second, 16 June 2031"]
    assert any(text.startswith("Second") and SOUTH in text and "3 June 2031" in text for text in by(sheets))
    # what all rooms together would take is nobody's order, and nobody's cutting list
    assert not any(table.id == "materials" for table in sheets.order)
    site = document(whole, "2031-05-01").for_paper("site")
    assert not any(table.id.startswith("patterns-") for table in site.order)
    assert any(table.id.startswith("lot-cuts-") for table in site.order)
    coat = sum(_packs(table, "Demo lime foam coat") for table in sheets.order)
    assert sheets.headlines[-1].figure == f"{coat} packs of coat"


def _packs(table: Table, item: str) -> int:
    """Packs of an item in a table, out of its words: "2 × 6 L demo tub + 3 × 22 L demo bucket" are 5."""
    words = [str(row[3]) for row in table.rows if row[0] == item]
    return sum(int(part.split(" × ")[0]) for text in words for part in text.split(" + ") if " × " in part)


def test_the_paper_itself_says_who_delivers_what_where_and_until_when(job: Job) -> None:
    begun = msgspec.structs.replace(job.programme, start="2031-06-02", country="")
    job = edits.set_details(job, site="9 Site Lane, Demotown")
    data = pdf_bytes(order_of(measured(job, system_copy=sold(), programme=begun)), "A4", "order")
    with pypdfium2.PdfDocument(data) as pages:
        words = " ".join("".join(page.get_textpage().get_text_bounded() for page in pages).split())
    for said in (NORTH, SOUTH, "Supplier not named", "9 Site Lane, Demotown", "20 May 2031", "22 L demo bucket"):
        assert said in words


def test_an_older_system_reads_as_before_and_a_supplier_changes_no_figure(job: Job) -> None:
    demo = load("demo-lime-foam")
    assert "supplier" not in as_copy(demo)["coat"]["product"]
    assert read(msgspec.json.encode(sold()), "own.json").coat.product.supplier == SOUTH
    assert moved_on(msgspec.structs.replace(job, system=demo.id, system_copy=sold())) == ""
    assert measured(job, system_copy=sold()).order.lines == measured(job, system_copy=as_copy(demo)).order.lines
