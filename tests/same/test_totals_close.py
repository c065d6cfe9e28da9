"""All totals close: what rooms, items, sheets, workbook and JSON print is the same to the last digit.

Samples as they are and priced; random jobs with prices, options and lots: 12 in the normal run, TAKEOFF_TOTALS=200 for
the long one. To look at one again: TAKEOFF_TOTALS_JOB=17 pytest tests/same/test_totals_close.py -k random
"""

from __future__ import annotations

import os
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from random import Random
from typing import Any

import msgspec
import pypdfium2
import pytest
from random_jobs import hard_room, house, read_on_site, with_paperwork, with_parts

from takeoff.errors import TakeoffError
from takeoff.language import number
from takeoff.measure.conventions import NET
from takeoff.plan import edits
from takeoff.plan.edits.lot_edits import lot_for_each_storey
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PRICED_ITEMS
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.offered.treatment_options import option_typed
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets import pdf, xlsx
from takeoff.sheets.flat import flat_tables
from takeoff.sheets.live_sums import live, unexplained
from takeoff.sheets.sheet_values import PAPERS, Cell, Document, Table
from tests.sheets.workbook_sums import Workbook

FOLDER = Path(__file__).parents[2] / "sample_plans"
SAMPLES = [*sorted(FOLDER.glob("*.dxf")), *sorted(FOLDER.glob("*.job.json"))]
JOBS = int(os.environ.get("TAKEOFF_TOTALS", "12"))
ONE = os.environ.get("TAKEOFF_TOTALS_JOB")
MAKERS = (house, hard_room, house, read_on_site, house, with_parts)
CENT = Decimal("0.01")
KEYS = ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2")


def random_job(seed: int) -> Job:
    rng = Random(31000 + seed)
    try:
        job = MAKERS[seed % len(MAKERS)](rng, seed)
    except TakeoffError:
        job = house(rng, seed)
    return priced(rng, with_paperwork(rng, job, seed))


def priced(rng: Random, job: Job) -> Job:
    """The job with a price by rates or built up, taxes, extras, a minimum, options and lots."""
    rates = [f"{item}={rng.randint(100, 9000) / 100:.2f}{rng.choice(('', ' @5%', ' @7.7%'))}" for item in PRICED_ITEMS]
    job = edits.with_rates(job, rates if rng.random() < 0.9 else rates[:3])
    job = edits.with_terms(job, {"tax": rng.choice(("", "19", "20")), "minimum": rng.choice(("", "", "5000"))})
    if rng.random() < 0.5:
        job = edits.with_widths(job, ["150=9.50", "320=14.25 @5%"])
    if rng.random() < 0.5:
        job = edits.with_extras(job, ["Skip hire=1 each 119.95 @7%", "Day work=2.5 h 41.35"])
    if rng.random() < 0.3:
        job = edits.with_terms(job, {"hour": "41.37", "visit": "23.19", "markup": "17.5"})
    job = edits.with_way(job, "shown", rng.choice(("lump", "rooms", "items")))
    job = edits.add_option(job, option_typed(rng.choice(("outside 600", "walls", "walls and ceilings"))))
    job = edits.keep_coat(job, "As drawn")
    return lot_for_each_storey(job) if rng.random() < 0.5 else job


def measured_of(job: Job) -> Measured:
    return measure_job(Opened(Path("job.json"), "job", job, ()))


def table(of: Document, name: str) -> Table | None:
    return next((t for t in (*of.totals, *of.order) if t.id == name), None)


def column(of: Table, title: str) -> int:
    return next(k for k, c in enumerate(of.columns) if c.title == title)


def added(cells: list[Cell]) -> Decimal:
    return sum((cell for cell in cells if isinstance(cell, Decimal)), Decimal(0))


def rooms_close(of: Document, json: dict[str, Any]) -> None:
    """Dims lines add up to the room's figures, rooms to storeys, storeys to the job; JSON says them all the same."""
    printed = {(room["storey"], room["room"]): room for room in json["rooms"]}
    coated = Decimal(0)
    for sheet in of.storeys:
        to_coat = column(sheet.schedule, "To coat m²")
        own = [room for (storey, _), room in printed.items() if f"rooms-{storey}" == sheet.schedule.id]
        assert [row[to_coat] for row in sheet.schedule.rows] == [Decimal(room["figures"]["coated_m2"]) for room in own]
        for row, room in zip(sheet.schedule.rows, own, strict=True):
            walls = next(cell for cell in row if isinstance(cell, Decimal))
            assert walls == Decimal(room["figures"]["wall_net_m2"])
            assert sum(Decimal(room["figures"][key]) for key in KEYS) == row[to_coat]
        coated += sum((room["times"] * Decimal(room["figures"]["coated_m2"]) for room in own), Decimal(0))
    assert coated == Decimal(json["totals"].get("coated_m2", "0"))
    for dims in of.dims:
        room = next(room for key, room in printed.items() if dims.id == f"dims-{key[0]}-{key[1]}")
        results = {str(row[0]): row[2] for row, kind in zip(dims.rows, dims.kinds, strict=True) if kind == "total"}
        assert results["To coat m²"] == Decimal(room["figures"]["coated_m2"])
    areas = table(of, "areas")
    assert areas is not None
    assert areas.total is None or areas.total[-1] == coated
    if of.summary is not None:
        assert of.summary.total is not None
        assert of.summary.total[column(of.summary, "To coat m²")] == coated


def prices_close(of: Document, json: dict[str, Any], job: Job) -> None:
    """Items are what rooms or the bill print; amounts add up by tax, each tax once; JSON says the same."""
    offer = table(of, "offer")
    assert offer is not None
    lines = table(of, "price-lines") or offer
    quantities = {str(row[0]): row[1] for row in lines.rows if row[2] in ("m²", "m")}
    if job.convention == NET and job.price.way == "rates":
        totals = json["totals"]
        for name, key in (
            ("Coat on walls", "wall_net_m2"),
            ("Coat on ceilings", "ceiling_m2"),
            ("New corner bead", "bead_m"),
        ):
            assert quantities.get(name, Decimal(0)) == Decimal(totals.get(key, "0"))
    elif (bill := table(of, "bill")) is not None and job.price.way == "rates":
        assert bill.total is not None
        walls = bill.total[1]
        assert quantities.get("Coat on walls", Decimal("0.00")) == walls
    price = json["price"]
    assert (price["gross"] is None) == (offer.total is None) == bool(price["unknown"])
    if offer.total is None:
        return
    assert offer.total[-1] == Decimal(price["gross"])
    assert sum(Decimal(one["net"]) for one in price["taxes"]) == Decimal(price["net"])
    assert sum((Decimal(one["tax"]) for one in price["taxes"]), Decimal(price["net"])) == Decimal(price["gross"])
    for one in price["taxes"]:
        assert Decimal(one["tax"]) == (Decimal(one["net"]) * Decimal(one["rate"]) / 100).quantize(CENT, ROUND_HALF_UP)
    net = next((k for k, kind in enumerate(offer.kinds) if kind == "total"), len(offer.rows))
    assert added([row[-1] for row in offer.rows[:net]]) == Decimal(price["net"])
    for row in lines.rows:
        if isinstance(row[1], Decimal) and isinstance(row[3], Decimal) and row[2] != "%":
            assert row[-1] == (row[1] * row[3]).quantize(CENT, ROUND_HALF_UP)


def order_closes(of: Document, json: dict[str, Any]) -> None:
    """Lines of the order add up to its printed cost, options and lots to what JSON says of them."""
    materials = table(of, "materials")
    assert materials is not None
    if materials.total is not None:
        assert materials.total[-1] == added([row[-1] for row in materials.rows]) == Decimal(json["order"])
    options = table(of, "options")
    if options is not None:
        rows = {str(row[0]): row[1:] for row in options.rows}
        assert list(rows["To coat m²"]) == [Decimal(one["coated_m2"]) for one in json["options"]]
        gross = next((cells for name, cells in rows.items() if name.startswith("Price ")), None)
        if gross is not None:
            said = ["?" if one["price"]["gross"] is None else Decimal(one["price"]["gross"]) for one in json["options"]]
            assert list(gross) == said
        for k, one in enumerate(json["options"]):
            if one["chosen"]:
                assert rows["To coat m²"][k] == Decimal(json["totals"]["coated_m2"])
                assert one["price"] == json["price"]


def one_line(of: Table, row: int) -> bool:
    """Whether a total of the dims is a single line: it is measured, and its dimensions are printed to a millimetre."""
    return of.id == "dims" and str(of.rows[row][2]).endswith(" =") and not set("+−") & set(str(of.rows[row][2])[1:])


def workbook_closes(of: Document) -> None:
    """Every total of the workbook is live, comes to its kept value, and that is the printed cell."""
    assert not [(t.id, at) for t in flat_tables(of) for at in unexplained(t, live(t)) if not one_line(t, at[0])]
    book = Workbook(xlsx.xlsx_bytes(of))
    for sheet, cell, text in book.cells():
        assert book.worked_out(sheet, cell) == book.kept_value(sheet, cell), (sheet, cell, text)
    for sheet, printed in zip(book.kept.worksheets, flat_tables(of), strict=True):
        figures = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, int | float)]
        lines = (*printed.rows, *((printed.total,) if printed.total is not None else ()))
        assert figures == [float(c) for row in lines for c in row if isinstance(c, int | Decimal)]


def closes(measured: Measured) -> Document:
    of = document(measured, "2031-05-20")
    json = msgspec.json.decode(result_json(measured))["printed"]
    rooms_close(of, json)
    if measured.takeoff.rooms:
        prices_close(of, json, measured.job)
        order_closes(of, json)
    workbook_closes(of)
    return of


@pytest.mark.parametrize(("seed", "path"), [pytest.param(k, path, id=path.name) for k, path in enumerate(SAMPLES)])
def test_every_total_of_a_sample_closes_and_stands_in_its_pdf(seed: int, path: Path, tmp_path: Path) -> None:
    measured = measured_of(priced(Random(seed), open_file(path).job))
    of = closes(measured)
    for paper in PAPERS:
        pdf.write(of, tmp_path / "sheets.pdf", "A4", paper)
        with pypdfium2.PdfDocument(tmp_path / "sheets.pdf") as pages:
            text = "\n".join(page.get_textpage().get_text_bounded() for page in pages)
        own = of.for_paper(paper)
        shown = [t for t in (*own.totals, *own.order) if t.total is not None]
        if paper == "scope":
            shown += [s.schedule for s in own.storeys if s.schedule.total is not None]
        assert shown or paper in ("order", "site")
        for one in shown:
            for cell in one.total or ():
                if isinstance(cell, Decimal):
                    assert number(cell) in text, (paper, one.id, cell)


@pytest.mark.parametrize("seed", [int(ONE)] if ONE else range(JOBS))
def test_every_total_of_a_random_job_closes(seed: int) -> None:
    closes(measured_of(random_job(seed)))
