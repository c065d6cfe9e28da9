"""By when the coat for the rest is to be ordered: litres per m² so far, what is left, days of work and of delivery."""

from __future__ import annotations

from datetime import date

import msgspec
import pytest

from takeoff.account.site_progress import Progress, progress_of
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.work_records import DayRecord, Movement, OpenedTub
from takeoff.programme.work_calendar import WorkCalendar
from takeoff.sheets.work_tables import progress_words
from takeoff.supply.systems import of_job

BUCKET, TUB = "22 L demo bucket", "13 L demo tub"
AREAS = {"r1": 20.0, "r2": 20.0, "r3": 40.0}


def room(name: str, x_mm: float) -> Room:
    """A square room; what it has to coat is said in ``AREAS``."""
    corners = ((x_mm, 0.0), (x_mm + 3000.0, 0.0), (x_mm + 3000.0, 3000.0), (x_mm, 3000.0))
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    return Room(id=RoomId(name), name=name, outline=outline)


def begun(ordered: int, half: bool = False) -> Job:
    """Two rooms of 20 m² coated on Wednesday 21 and Thursday 22 May 2031, two buckets each; 40 m² are left. ``half``: a
    bucket is open there since Thursday."""
    rooms = tuple(room(name, 4000.0 * k) for k, name in enumerate(AREAS))
    made = Job(storeys=(Storey(id=StoreyId("g"), rooms=rooms),))
    for how in ("ordered", "delivered"):
        made = edits.record_movement(
            made, Movement(moved=how, item="coat", pack=BUCKET, count=ordered, on="2031-05-19")
        )
    for name, on in (("r1", "2031-05-21"), ("r2", "2031-05-22")):
        tubs = (OpenedTub(item="coat", pack=BUCKET, count=2),)
        made = edits.add_day(made, DayRecord(room=name, on=on, opened=tubs))
        made = edits.set_room_stage(made, name, "coat", on)
    if half:
        tubs = (OpenedTub(item="coat", pack=BUCKET, count=1),)
        made = edits.add_day(made, DayRecord(room="r3", on="2031-05-22", opened=tubs))
    return made


def found(made: Job, **more: object) -> Progress:
    return progress_of(made, of_job(made), AREAS, 160.0, **more)  # type: ignore[arg-type]


def test_order_by() -> None:
    """44 L over 20 m² are 2.2 L per m², 20 m² a day. 40 m² are left: 88 L. Two of six buckets are there, 44 L: they
    serve 20 m², Friday 23 May. More is needed on Monday 26 May: with three working days for the delivery, 21 to 23
    May, the order goes out on Tuesday 20 May. Work went on until the 22nd: it is late."""
    got = found(begun(6))
    assert (got.per_m2, got.rest_l, got.there_l, got.pace_m2) == (2.2, pytest.approx(88.0), 44.0, 20.0)
    assert got.lasts_until == date(2031, 5, 23)
    assert got.order_by == date(2031, 5, 20)
    assert "Order 44.0 L now" in progress_words(got)


def test_a_delivery_of_the_next_day() -> None:
    """One working day: it comes on Friday 23 May, ordered on Thursday 22 May."""
    got = found(begun(6), lead_days=1)
    assert got.order_by == date(2031, 5, 22)
    assert progress_words(got).endswith("At 20.0 m² a day it lasts until 23 May 2031. Order 44.0 L by 22 May 2031.")


def test_days_off_are_no_days_of_work() -> None:
    """Nobody works on Friday 23 May: what is there serves Monday, and more is needed on Tuesday 27 May. One working day
    for the delivery, Monday: the order goes out on Thursday 22 May, since Friday is off."""
    got = found(begun(6), calendar=WorkCalendar(off=frozenset({date(2031, 5, 23)})), lead_days=1)
    assert got.lasts_until == date(2031, 5, 26)
    assert got.order_by == date(2031, 5, 22)


def test_tubs_that_are_open_in_a_room_still_serve_it() -> None:
    """Of seven buckets four are used, one is open where 40 m² are left: 88 − 22 = 66 L are needed, 44 L are there. With
    the open one they serve 66 / 2.2 = 30 m², a day and a half: Friday, and more is needed on Monday. Opening a tub
    early does not make the pace faster."""
    got = found(begun(7, half=True), lead_days=1)
    assert (got.rest_l, got.there_l, got.pace_m2) == (pytest.approx(66.0), 44.0, 20.0)
    assert (got.lasts_until, got.order_by) == (date(2031, 5, 23), date(2031, 5, 22))


def test_enough_is_there_or_nothing_is_known() -> None:
    got = found(begun(8))
    assert (got.order_by, got.lasts_until, got.lacking_l) == (None, None, 0.0)
    bare = begun(6)
    bare = msgspec.structs.replace(bare, work=msgspec.structs.replace(bare.work, stages=()))
    assert found(bare).order_by is None
    assert found(bare).per_m2 is None
