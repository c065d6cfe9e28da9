"""One batch to a face: what is left of a batch serves whole faces only."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan.edits.lot_edits import lot_for_each_plot, lot_for_each_storey, put_into_lot, set_in_van, set_lots
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.services.opened.opening import open_file
from takeoff.supply.lots import order_by_lots
from takeoff.supply.systems import CoatingSystem, of_job

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def job() -> Job:
    return open_file(SAMPLE).job


def _one_batch(job: Job) -> CoatingSystem:
    system = of_job(job)
    return msgspec.structs.replace(system, coat=msgspec.structs.replace(system.coat, one_batch=True))


def test_what_is_left_serves_whole_faces_and_each_lot_closes(job: Job) -> None:
    storeys = tuple(msgspec.structs.replace(storey, times=6) for storey in job.storeys)
    plots = set_in_van(lot_for_each_plot(msgspec.structs.replace(job, storeys=storeys)), "coat", 7.0)
    done = order_by_lots(plots, measure(plots), _one_batch(plots))
    left, served = 7.0, 0
    for order in done.lots:
        coat = next(line for line in order.lines if line.id == "coat")
        used = sum(one.litres for one in order.older)
        served += sum(len(one.faces) for one in order.older)
        assert coat.before == pytest.approx(left)
        assert used <= left + 1e-6
        assert coat.supplied >= coat.need - used - 1e-6, "new packs hold every face that no older batch holds whole"
        assert order.cost is not None
        assert order.alone is not None
        assert order.cost <= order.alone
        left = coat.left
    assert served > 0


def test_too_little_for_any_face_stays_in_the_van(job: Job) -> None:
    some = set_in_van(lot_for_each_storey(job), "coat", 0.01)
    done = order_by_lots(some, measure(some), _one_batch(some))
    assert done.lots[0].older == ()
    coat = next(line for line in done.lots[0].lines if line.id == "coat")
    assert coat.supplied >= coat.need


def test_room_goes_into_another_lot_and_the_same_again_is_the_very_same_job(job: Job) -> None:
    lots = lot_for_each_storey(job)
    assert lot_for_each_storey(lots) is lots
    assert set_lots(lots, lots.lots) is lots
    room = msgspec.structs.replace(lots.lots[0].rooms[0], copies=(1,))
    moved = put_into_lot(lots, room, lots.lots[1].id)
    assert [len(lot.rooms) for lot in moved.lots] == [len(lots.lots[0].rooms) - 1, len(lots.lots[1].rooms) + 1]
    assert put_into_lot(moved, room, moved.lots[1].id) is moved
    alone = put_into_lot(job, room, None, "First")
    assert [(lot.name, len(lot.rooms)) for lot in alone.lots] == [("First", 1)]
    assert put_into_lot(alone, room, "").lots == ()


def test_room_in_two_lots_of_a_file_is_refused_in_one_sentence(job: Job) -> None:
    room = LotRoom(storey=str(job.storeys[0].id), room=str(job.storeys[0].rooms[0].id))
    bad = msgspec.structs.replace(job, lots=(Lot(id="a", rooms=(room,)), Lot(id="b", rooms=(room,))))
    with pytest.raises(InputError, match="in two lots"):
        order_by_lots(bad, measure(bad), of_job(bad))
