"""Still to buy lot by lot: what came for a lot serves it, what it leaves over the next; cut bars stay cut."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.cli.main import run
from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.plan.work_records import Movement
from takeoff.services.after_order.supply_books import rest_ordered, to_buy_by_lot
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.job_store import load_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.storage import jobs
from takeoff.supply.lots import LotsOrder, order_by_lots
from takeoff.supply.systems import of_job

PLANS = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def two() -> Job:
    """The first floor in two lots: two rooms, then the other three."""
    job = open_file(PLANS / "terrace_first.dxf").job
    storey = job.storeys[0]
    rooms = [LotRoom(storey=str(storey.id), room=str(room.id)) for room in storey.rooms]
    lots = (Lot(id="a", name="Week 20", rooms=tuple(rooms[:2])), Lot(id="b", name="Week 21", rooms=tuple(rooms[2:])))
    return msgspec.structs.replace(job, lots=lots)


def measured(job: Job) -> Measured:
    return measure_job(Opened(Path("job.json"), "job", job, ()))


def by_lots(job: Job) -> LotsOrder:
    return order_by_lots(job, measured(job).takeoff, of_job(job))


def came(job: Job, number: int, cut: bool) -> Job:
    """One lot's order has come for it, and its bars were cut."""
    lot = by_lots(job).lots[number]
    for line in lot.lines:
        for pack, count in line.packs:
            for how in ("ordered", "delivered"):
                movement = Movement(moved=how, item=line.id, pack=pack, count=count, on="2031-05-20", lot=lot.lot.id)
                job = edits.record_movement(job, movement)
    for one in lot.beads if cut else ():
        for bar in one.bars:
            pieces = tuple(piece.length_mm for piece in bar.cuts)
            item = f"bead-{one.profile}"
            movement = Movement(
                moved="used", item=item, pack=bar.stock, count=1, on="2031-05-21", lot=lot.lot.id, cuts_mm=pieces
            )
            job = edits.record_movement(job, movement)
    return job


def test_nothing_came_yet(two: Job) -> None:
    """Each lot buys what the order by lots says."""
    for own, planned in zip(to_buy_by_lot(measured(two)), by_lots(two).lots, strict=True):
        assert {line.id: line.buy for line in own.lines} == {line.id: line.packs for line in planned.lines}


@pytest.mark.parametrize("cut", [True, False])
def test_what_came_for_the_first_lot_is_not_bought_again(two: Job, cut: bool) -> None:
    """The first buys nothing more, the second what it would buy after the first, so much less than by itself."""
    first, second = to_buy_by_lot(measured(came(two, 0, cut)))
    assert first.cost == 0
    assert all(not line.buy for line in first.lines)
    planned = by_lots(two).lots
    assert {line.id: line.buy for line in second.lines} == {line.id: line.packs for line in planned[1].lines}
    coat, before = (next(line for line in one.lines if line.id == "coat") for one in (second, first))
    assert coat.supplied == pytest.approx(before.left)
    assert before.left == pytest.approx(before.supplied - before.need)


def test_what_came_in_no_lot_serves_the_lots_in_order(two: Job) -> None:
    """11 L short of the first lot's need: the first lacks them, the second everything."""
    [need, rest] = [next(one.need for one in lot.lines if one.id == "coat") for lot in to_buy_by_lot(measured(two))]
    count = int(need // 22)
    job = edits.record_movement(two, Movement(moved="ordered", item="coat", pack="22 L demo bucket", count=count))
    found = [next(one for one in lot.lines if one.id == "coat") for lot in to_buy_by_lot(measured(job))]
    assert found[0].supplied == 22.0 * count
    sizes = {"22 L demo bucket": 22, "13 L demo tub": 13, "6 L demo tub": 6}
    bought = sum(sizes[pack] * n for pack, n in found[0].buy)
    assert need - 22 * count <= bought < need - 22 * count + 6
    assert found[1].supplied == pytest.approx(22 * count + bought - need)
    assert found[1].need == rest


def test_the_rest_is_ordered_for_a_lot_and_then_is_there(two: Job) -> None:
    job = rest_ordered(measured(two), "2031-05-20", "b")
    assert {one.lot for one in job.work.movements} == {"b"}
    [first, second] = to_buy_by_lot(measured(job))
    assert second.cost == 0 or all(not line.buy for line in second.lines if line.id != "coat")
    job = rest_ordered(measured(job), "2031-05-20", "a")
    assert [one.cost for one in to_buy_by_lot(measured(job))] == [Decimal(0), Decimal(0)]
    assert first.cost
    with pytest.raises(InputError, match="Nothing is still to buy"):
        rest_ordered(measured(job), "2031-05-21", "a")
    with pytest.raises(InputError, match="no lot “c”"):
        rest_ordered(measured(job), "2031-05-21", "c")


def test_the_command_lists_lots_and_orders_the_rest(
    two: Job, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "house.json"
    path.write_bytes(jobs.dump(two))
    assert run(["supply", str(path), "--order-rest", "--lot", "a", "--date", "2031-05-20"]) == 0
    told = capsys.readouterr().out
    assert "Still to buy, lot by lot" in told
    assert "Week 21" in told
    assert {one.lot for one in load_job(path).job.work.movements} == {"a"}
