"""Edits of days and lots: what is already so gives the job itself back, what cannot be is said."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from plan_samples import box, job, room

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.plan.programme_terms import Crew


def built_twice() -> Job:
    """Two rooms in a storey that stands twice, and a lot with the first of them."""
    made = job(room(), room(box(4000, 4000, 6000), "r2"))
    storey = msgspec.structs.replace(made.storeys[0], times=2)
    lot = Lot(id="one", name="First", rooms=(LotRoom(storey=str(storey.id), room="r1", copies=(1,)),))
    return msgspec.structs.replace(made, storeys=(storey,), lots=(lot,))


STOREY = str(built_twice().storeys[0].id)
PLANNED: dict[str, tuple[Any, ...]] = {
    "set_crews": ((Crew(name="Sanders", people=2, works=("sand",)),),),
    "set_crews_typed": (("Sanders:2=sand",),),
    "add_crew": ("Sanders", "2", ("sand",)),
    "set_lived_in": (("r1",),),
    "set_lived_in_named": (("r1",),),
    "set_lots": ((),),
    "set_lot_date": ("one", "2031-05-20"),
    "name_lot": ("one", "Plot 1"),
    "set_in_van": ("coat", 12.0),
    "set_in_van_typed": ("coat", "12,5"),
    "put_into_lot": (LotRoom(storey=STOREY, room="r2", copies=(1,)), "one"),
    "lot_for_each_plot": (),
    "lot_for_each_storey": (),
    "with_programme": ({"people": "3"},),
}
LOOKED_UP = {"every_copy"}


@pytest.mark.parametrize("name", PLANNED)
def test_what_is_already_so_gives_the_job_itself_back(name: str) -> None:
    before = built_twice()
    once = getattr(edits, name)(before, *PLANNED[name])
    assert once != before
    assert once.storeys is before.storeys
    assert getattr(edits, name)(once, *PLANNED[name]) is once


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("set_crews", ((Crew(name="", people=2, works=("sand",)),),)),
        ("set_crews", ((Crew(name="A", people=0, works=("sand",)),),)),
        ("set_lived_in", (("nowhere",),)),
        ("set_lots", ((Lot(id="x", rooms=(LotRoom(storey=STOREY, room="nowhere"),)),),)),
        ("set_lot_date", ("one", "tomorrow")),
        ("name_lot", ("one", " ")),
        ("set_in_van", ("coat", -1.0)),
        ("set_in_van_typed", ("coat", "some")),
    ],
)
def test_what_cannot_be_is_said(name: str, given: tuple[Any, ...]) -> None:
    with pytest.raises(InputError):
        getattr(edits, name)(built_twice(), *given)


def test_every_copy_of_a_storey_that_stands_twice_is_counted() -> None:
    assert [(one.room, one.copies) for one in edits.every_copy(built_twice())] == [
        ("r1", (1,)), ("r1", (2,)), ("r2", (1,)), ("r2", (2,)),
    ]  # fmt: skip


@pytest.mark.parametrize("day", ["0001-01-01", "1899-12-31", "2201-01-01", "9999-12-30"])
def test_days_of_another_age_are_refused_where_they_are_typed(day: str) -> None:
    """A job that holds one cannot be opened again: calendars end not far beyond."""
    made = Job(lots=(Lot(id="a", name="A"),))
    for edit in (
        lambda: edits.with_programme(made, {"start": day}),
        lambda: edits.with_programme(made, {"holds_until": day}),
        lambda: edits.set_lot_date(made, "a", day),
        lambda: edits.clear_hold(made, "dew", "S. Surveyor", day),
    ):
        with pytest.raises(InputError, match="is not in the years 1900 to 2200"):
            edit()
    assert edits.with_programme(made, {"start": "2200-12-31"}).programme.start == "2200-12-31"
