"""Edits of what happened after the order: what is already so gives the job itself back, what cannot be is said."""

from __future__ import annotations

from typing import Any

import pytest
from plan_samples import box, job, room

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.plan.work_records import Bill, ChangeLine, Contract, ContractTax, DayRecord, Movement, SiteChange

CHANGE = SiteChange(
    number=0, place="Hall", what="Strip paper", lines=(ChangeLine(what="Hours", quantity="3", unit="h", price="42"),)
)
CONTRACT = Contract(state=1, on="2031-05-20", by="J. Sample", taxes=(ContractTax(rate="20", net="1000"),))
BILL = Bill(number=1, on="2031-06-01", done="500", kept="0", due="600")


def begun() -> Job:
    """Two rooms, one change, packs that were ordered, a day on site."""
    made = edits.propose_change(job(room(), room(box(4000, 4000, 6000), "r2")), CHANGE)
    made = edits.record_movement(made, Movement(moved="ordered", item="coat", pack="22 L", count=4, on="2031-05-01"))
    made = edits.note_defect(made, "Hall", "A scratch", "2031-06-01")
    return edits.add_day(made, DayRecord(room="r1", on="2031-05-21", hours=4.0))


WORK: dict[str, tuple[Any, ...]] = {
    "set_room_stage": ("r1", "base", "2031-05-21"),
    "set_change_state": (1, "agreed", "2031-05-22", "J. Sample"),
    "bill_unagreed": (1,),
    "accept_contract": (CONTRACT,),
    "set_kept_back": ("5",),
    "mend_defect": (1, "2031-06-02", "J. Sample"),
    "propose_change": (CHANGE,),
    "record_movement": (Movement(moved="delivered", item="coat", pack="22 L", count=2, on="2031-05-03"),),
    "take_movement_out": (0,),
    "add_day": (DayRecord(room="r2", on="2031-05-22"),),
    "take_day_out": (0,),
    "add_bill": (BILL,),
    "add_payment": ("2031-06-10", "600"),
    "note_defect": ("Kitchen", "A dent", "2031-06-01"),
    "change_of": (1,),
    "stage_of": ("r1",),
}
"""Every edit of the work with arguments that change a job; those after the first six add something each time, and
the last two only look something up."""


@pytest.mark.parametrize("name", list(WORK)[:6])
def test_what_is_already_so_gives_the_job_itself_back(name: str) -> None:
    once = getattr(edits, name)(begun(), *WORK[name])
    assert once != begun()
    assert getattr(edits, name)(once, *WORK[name]) is once


@pytest.mark.parametrize("name", list(WORK)[6:-2])
def test_what_is_added_leaves_the_rooms_the_same_objects(name: str) -> None:
    before = begun()
    after = getattr(edits, name)(before, *WORK[name])
    assert after.work != before.work
    assert after.storeys is before.storeys


def test_what_is_put_in_and_taken_out_again_is_as_it_was() -> None:
    before = begun()
    assert edits.take_day_out(edits.add_day(before, *WORK["add_day"]), 1) == before
    assert edits.take_movement_out(edits.record_movement(before, *WORK["record_movement"]), 1) == before
    assert edits.change_of(before, 1).what == "Strip paper"
    assert edits.stage_of(before, "r1") == "not-begun"
    assert edits.stage_of(edits.set_room_stage(before, *WORK["set_room_stage"]), "r1") == "base"


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        ("set_room_stage", ("nowhere", "base", "2031-05-21"), "not in the job any more"),
        ("set_change_state", (7, "agreed", "2031-05-22"), "no change 7"),
        ("take_day_out", (3,), "not there any more"),
        ("take_movement_out", (-1,), "not there any more"),
        ("record_movement", (Movement(moved="returned", item="coat", pack="22 L", count=1),), "never delivered"),
        ("add_payment", ("2031-06-10", "-3"), "-3"),
        ("set_kept_back", ("120",), "120"),
        ("note_defect", (" ", "A dent", "2031-06-01"), "needs its place"),
        ("note_defect", ("Hall", "", "2031-06-01"), "needs its words"),
        ("mend_defect", (3, "2031-06-01"), "no defect 3"),
        ("mend_defect", (1, "2031-05-30"), "comes before"),
    ],
)
def test_what_cannot_be_is_said(name: str, given: tuple[Any, ...], said: str) -> None:
    with pytest.raises(InputError, match=said):
        getattr(edits, name)(begun(), *given)
