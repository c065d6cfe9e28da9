"""What is still to buy: the need less what was supplied; bars that are cut are not cut again."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.account.bought import still_to_buy
from takeoff.errors import InputError
from takeoff.language import use_language
from takeoff.plan import edits
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.plan.work_records import Movement
from takeoff.services.after_order.supply_books import bars_cut, bars_of, moved, order_taken, pack_called, to_buy
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.sheets.work_tables import sawn_table
from takeoff.supply.systems import of_job

PLANS = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def first() -> Measured:
    return measure_job(open_file(PLANS / "terrace_first.dxf"))


@pytest.fixture(scope="module")
def second() -> Measured:
    return measure_job(open_file(PLANS / "terrace_first_rev_b.dxf"))


def bought(one: Measured, cut: bool) -> Job:
    job = order_taken(Job(), one.order, "2031-05-20")
    return bars_cut(job, bars_of(one), "2031-05-21") if cut else job


@pytest.mark.parametrize("cut", [True, False])
def test_revision_buys_one_tub_and_one_bar(first: Measured, second: Measured, cut: bool) -> None:
    """322 L are there (6 + 4 × 13 + 12 × 22); B needs 324.62 L, so 2.62 L are lacking: one tub of 6 L, 41.50. Of bead
    one piece of 2400 is lacking, whether the 8 bars are cut or not, since what is left of them is 100 and 300: one bar,
    3.10. Together 44.60; two fresh orders differ by 2191.10 − 2181.50 = 9.60.

    The 5.6 m where the coat ends against window boards are not feathered out: with them it were
    5.6 × 1.4 × 0.12 / 2 × 1.12 × 1.07 = 0.56 L more, 325.18 L for B, and 322.35 L for A,
    which 322 L do not cover."""
    work = bought(first, cut).work
    still = to_buy(msgspec.structs.replace(second, job=msgspec.structs.replace(second.job, work=work)))
    assert {line.id: line.buy for line in still.lines if line.buy} == {
        "coat": (("6 L demo tub", 1),),
        "bead-square": (("2400 mm bar", 1),),
    }
    assert still.cost == Decimal("44.60")
    assert second.order.cost - first.order.cost == Decimal("9.60")
    coat = next(line for line in still.lines if line.id == "coat")
    assert (coat.supplied, round(coat.need, 2)) == (322.0, 324.62)


@pytest.mark.parametrize("cut", [True, False])
def test_what_was_bought_in_one_language_is_there_in_another(first: Measured, cut: bool) -> None:
    """The ledger keeps the system's own names of packs; the order that it is taken from has those of the language."""
    use_language("de")
    try:
        german = measure_job(open_file(PLANS / "terrace_first.dxf"))
        assert german.order.lines[0].packs[0][0].startswith("Demo-Kanister")
        work = bought(german, cut).work
        still = to_buy(msgspec.structs.replace(german, job=msgspec.structs.replace(german.job, work=work)))
        assert (still.cost, [line.id for line in still.lines if line.buy]) == (0, [])
        assert pack_called(of_job(german.job), "Demo-Eimer 22 L") == pack_called(of_job(german.job), "22 L demo bucket")
    finally:
        use_language("en")
    assert work == bought(first, cut).work


def test_nothing_is_bought_again_for_the_same_plan(first: Measured) -> None:
    for cut in (True, False):
        work = bought(first, cut).work
        still = to_buy(msgspec.structs.replace(first, job=msgspec.structs.replace(first.job, work=work)))
        assert still.cost == 0
        assert all(not line.buy for line in still.lines)


@pytest.mark.parametrize("drawing", ["terrace.job.json", "flat_feet.dxf"])
def test_lots_cut_their_own_bars(drawing: str) -> None:
    """A whole order of lots came and was cut: no bar is cut that was not bought, what later lots take from offcuts fits
    on the bars that these are left of, every piece is there, and of bead nothing is to buy."""
    job = open_file(PLANS / drawing).job
    rooms = [LotRoom(storey=str(s.id), room=str(r.id)) for s in job.storeys for r in s.rooms]
    lots = tuple(Lot(id=f"l{n}", name=f"Lot {n}", rooms=tuple(rooms[n::3])) for n in range(3))
    one = measure_job(Opened(Path(drawing), "job", msgspec.structs.replace(job, lots=lots), ()))
    bars, system = bars_of(one), of_job(one.job)
    stock = {(own.id, length.name): length.length_mm for own in system.beads for length in own.stock}
    for bar in bars:
        saw = max(0, len(bar.pieces) - 1) * system.kerf_mm
        assert sum(bar.pieces) + saw <= stock[bar.profile, bar.stock]
    wanted = sorted(cut.length_mm for own in one.order.beads for bar in own.bars for cut in bar.cuts)
    assert sorted(piece for bar in bars for piece in bar.pieces) == wanted
    assert sum(len(bars_of(one, lot.id)) for lot in lots) == len(bars)
    done = bars_cut(order_taken(one.job, one.order, "2031-05-20"), bars, "2031-05-21")
    lines = to_buy(msgspec.structs.replace(one, job=done)).lines
    assert not [line for line in lines if line.id.startswith("bead-") and line.buy]


def test_offcuts_serve_before_bars(first: Measured) -> None:
    """One bar was cut into 600 alone: 1800 are left of it, which give a piece of 1500 of the need."""
    from takeoff.supply.systems import of_job

    job = moved(Job(), "ordered", "Demo bead, square: 2400 mm bar=1", "2031-05-20")
    job = moved(job, "delivered", "Demo bead, square: 2400 mm bar=1", "2031-05-21")
    used = Movement(moved="used", item="bead-square", pack="2400 mm bar", count=1, on="2031-05-22", cuts_mm=(600,))
    job = edits.record_movement(job, used)
    still = still_to_buy(first.order, of_job(first.job), job.work)
    assert still.cut_already == (("square", 1),)
    assert [(one.from_mm, one.whole, sum(one.pieces_mm) <= 1800) for one in still.from_there] == [(1800, False, True)]


def test_what_goes_back_is_lacking_again(first: Measured) -> None:
    job = bought(first, False)
    job = moved(job, "returned", "22 L demo bucket=1", "2031-05-22")
    still = to_buy(msgspec.structs.replace(first, job=msgspec.structs.replace(first.job, work=job.work)))
    coat = next(line for line in still.lines if line.id == "coat")
    assert (coat.supplied, coat.buy) == (300.0, (("22 L demo bucket", 1),))


@pytest.mark.parametrize(
    ("how", "text", "on", "said"),
    [
        ("delivered", "22 L demo bucket=4", "2031-05-21", "4 × 22 L demo bucket would be delivered, and 3 are ordered"),
        ("returned", "13 L demo tub=1", "2031-05-21", "13 L demo tub was never delivered"),
        ("delivered", "22 L demo bucket=1", "2031-05-19", "comes before"),
        ("ordered", "22 L demo bucket=0", "2031-05-21", "1 or more"),
        ("ordered", "22 L bucket=1", "2031-05-21", "sells no “22 L bucket”"),
        ("ordered", "2400 mm bar=1", "2031-05-21", "of several products"),
        ("ordered", "22 L demo bucket", "2031-05-21", "gives no number"),
        ("ordered", "22 L demo bucket=1", "soon", "is not a date"),
    ],
)
def test_what_cannot_be_is_one_sentence(how: str, text: str, on: str, said: str) -> None:
    job = moved(Job(), "ordered", "22 L demo bucket=3", "2031-05-20")
    with pytest.raises(InputError) as refused:
        moved(job, how, text, on)  # type: ignore[arg-type]
    assert said in str(refused.value)
    assert len(str(refused.value).split(". ")) == 1 or "Read" in str(refused.value)


def test_more_cannot_be_opened_than_came() -> None:
    job = moved(moved(Job(), "ordered", "22 L demo bucket=3", "2031-05-20"), "delivered", "22 L demo bucket=2", "")
    job = moved(job, "opened", "22 L demo bucket=2", "2031-05-22")
    with pytest.raises(InputError, match="1 more cannot be"):
        moved(job, "returned", "22 L demo bucket=1", "2031-05-23")
    with pytest.raises(InputError, match="are ordered"):
        edits.take_movement_out(job, 0)


def test_bars_that_are_cut_alike_stand_in_one_row(first: Measured) -> None:
    """The whole order is there and uncut: the bars of its cutting list, counted, and no bar that is bought."""
    still = to_buy(
        msgspec.structs.replace(first, job=msgspec.structs.replace(first.job, work=bought(first, False).work))
    )
    table = sawn_table(still, {})
    assert table is not None
    assert len({row[1:] for row in table.rows}) == len(table.rows)
    counts = [int(str(row[1]).split(" × ")[0]) if " × " in str(row[1]) else 1 for row in table.rows]
    assert sum(counts) == sum(len(one.bars) for one in first.order.beads)
