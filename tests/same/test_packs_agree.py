"""Packs are the same number wherever they are counted: at the window's foot, on the step, in the result, on the sheets
and in what the command prints; with lots it is what the lots buy."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.cli import main
from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.edits.lot_edits import lot_for_each_storey, set_in_van
from takeoff.plan.lot_records import Lot
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured, measure_job, result
from takeoff.services.measured.lots_said import lots_said
from takeoff.services.offered.offering import offer_of
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets.sheet_values import Table
from takeoff.storage import jobs
from takeoff.supply.lots import order_of
from takeoff.supply.materials import materials
from takeoff.supply.systems import of_job
from takeoff.views.board import consider, measured_of, stand
from takeoff.views.job_steps import running_totals, steps
from takeoff.views.table_lines import order_lines, order_sentence

STAIRWELL = Path(__file__).parents[2] / "sample_plans" / "stairwell.dxf"
COAT = "Demo lime foam coat"


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_file(STAIRWELL)


@pytest.fixture(scope="module")
def by_storey(opened: Opened) -> Measured:
    return measured(opened, lot_for_each_storey(opened.job))


def measured(opened: Opened, job: Job) -> Measured:
    return measure_job(Opened(opened.path, opened.kind, job, opened.findings))


def packs_in(table: Table, item: str = "") -> int:
    """Packs in a table, of one item or all, out of its words: "4 × 6 L demo tub + 8 × 22 L demo bucket" are 12."""
    words = [str(row[3]) for row in table.rows if item in ("", row[0])]
    return sum(int(part.split(" × ")[0]) for text in words for part in text.split(" + ") if " × " in part)


def test_one_order_of_the_stairwell(opened: Opened) -> None:
    """Coat 1 + 3 + 7 = 11; with it base 2, filler 1, caulk 3, sealant 2, masking 2, abrasives 2, bead 2: 25."""
    done = measured(opened, opened.job)
    assert {line.id: line.count for line in done.order.lines}["coat"] == 11
    assert sum(line.count for line in done.order.lines) == 25


def test_window_result_and_sheets_count_what_the_lots_buy(by_storey: Measured) -> None:
    """Coat: 4 + 2 tubs and buckets on the ground floor, 6 buckets above, 12 instead of 11; base 2 + 3 cans instead of
    2; all others as in one order: 25 + 1 + 3 = 29."""
    lots = lots_said(by_storey).lots
    assert sum(packs_in(table, COAT) for table in lots) == 12
    assert sum(packs_in(table) for table in lots) == 29
    state = stand(by_storey.job, Memory())
    considered = consider(state)
    assert running_totals(state, considered)[-1] == "29 packs, all materials"
    assert "29 packs, all materials" in {one.says for one in steps(state, considered, (), "")}
    assert f"12 packs of {COAT}" in order_sentence(considered)
    assert any(
        COAT in line.cells[0] and "4\u00a0×\u00a06\u00a0L + 8\u00a0×\u00a022\u00a0L" in line.cells[0]
        for line in order_lines(considered)
    )
    assert measured_of(state, (), "").order == by_storey.order
    assert {one.item: one.packs for one in result(by_storey).materials}[COAT] == 12
    heads = [head.figure for head in document(by_storey, "2031-05-20").headlines]
    assert "12 packs of coat" in heads


def test_command_counts_what_the_lots_buy(by_storey: Measured, tmp_path: Path, capsys) -> None:
    file = tmp_path / "job.json"
    file.write_bytes(jobs.dump(by_storey.job))
    assert main.run(["measure", str(file), "-o", str(tmp_path / "out")]) in (0, 1)
    assert f"12 packs of coat  {COAT}" in capsys.readouterr().out
    assert main.run(["lots", str(file)]) == 0
    rows = [line for line in capsys.readouterr().out.splitlines() if COAT in line]
    assert len(rows) == 2
    assert sum(int(count) for row in rows for count in re.findall(r"(\d+) × ", row)) == 12


def test_cost_is_what_the_lots_cost(by_storey: Measured, opened: Opened) -> None:
    """Of the order and in a price that is built up from whole packs."""
    together = lots_said(by_storey).together
    assert together.total is not None
    assert by_storey.order.cost == together.total[1]
    priced = edits.with_terms(by_storey.job, {"hour": "40"})
    lines = {line.what: line.amount for line in offer_of(measured(opened, priced)).built}
    assert lines["Materials in whole packs"] == together.total[1]


def test_what_is_in_the_van_is_not_bought(by_storey: Measured, opened: Opened) -> None:
    """198.05 L of coat are needed; with 200 L in the van none is bought, and no packs of it are counted."""
    job = set_in_van(by_storey.job, "coat", 200.0)
    done = measured(opened, job)
    assert {line.id: (line.count, line.cost) for line in done.order.lines}["coat"] == (0, Decimal(0))
    assert not [head for head in document(done, "2031-05-20").headlines if "packs of coat" in head.figure]


def test_a_room_in_two_lots_is_ordered_at_once(by_storey: Measured) -> None:
    """Until it is taken out of one: the lots themselves say so."""
    first = by_storey.job.lots[0]
    twice = msgspec.structs.replace(by_storey.job, lots=(*by_storey.job.lots, Lot(id="again", rooms=first.rooms)))
    system = of_job(twice)
    assert order_of(twice, by_storey.takeoff, system) == materials(by_storey.takeoff, system)
