"""Rooms given back by night, crews, what is closed in one go, bars: by hand."""

from __future__ import annotations

import itertools
from datetime import date, datetime, timedelta
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan.edits import set_crews_typed, set_lived_in_named, with_programme
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.programme.closing import pace_of, rooms_closed
from takeoff.programme.list_schedule import Activity, schedule
from takeoff.programme.room_days import room_days
from takeoff.programme.water import hire_days
from takeoff.programme.work_calendar import WorkCalendar
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.offered.days_said import days_said
from takeoff.services.opened.opening import open_file

MONDAY = datetime(2031, 5, 19, 8, 0)
SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(SAMPLE))


def _base(earliest: datetime, dry_by_night: bool, wet_h: float = 5) -> Activity:
    return Activity("a", "base", 1, (), "g/hall", wet_h=wet_h, dry_by_night=dry_by_night, earliest=earliest)


def test_base_of_a_lived_in_room_is_dry_by_night() -> None:
    """From 15:00 it is dry at 21:00, after 20:00: a lived-in room waits for 8:00 the next day, dry at 14:00. From 14:00
    it is dry at 20:00 and need not wait."""
    late = MONDAY + timedelta(hours=7)
    assert schedule([_base(late, False)], {"team": 1}, WorkCalendar(), MONDAY).ends == datetime(2031, 5, 19, 16)
    waits = schedule([_base(late, True)], {"team": 1}, WorkCalendar(), MONDAY)
    assert (waits.ends, waits.proved) == (datetime(2031, 5, 20, 9), True)
    early = schedule([_base(MONDAY + timedelta(hours=6), True)], {"team": 1}, WorkCalendar(), MONDAY)
    assert early.ends == datetime(2031, 5, 19, 15)


def test_nights_that_no_beginning_avoids_are_told() -> None:
    """Coat 8 to 9 on Monday, 24 h to dry: wet in Monday's night only; decorated 72 h after it, on Thursday at 9."""
    coat = _base(MONDAY, True, wet_h=24)
    done = schedule([coat], {"team": 1}, WorkCalendar(), MONDAY)
    (room,) = room_days(done, WorkCalendar(), 72, frozenset({"g/hall"}))
    assert room.nights == (date(2031, 5, 19),)
    assert room.decorate == datetime(2031, 5, 22, 9)


def test_what_waits_for_its_day_is_not_begun_before_and_the_bound_knows() -> None:
    later = datetime(2031, 5, 21, 8)
    done = schedule([_base(later, False)], {"team": 1}, WorkCalendar(), MONDAY)
    assert (done.begins, done.ends, done.proved) == (later, later + timedelta(hours=1), True)


def test_walls_too_wide_for_the_crew(measured: Measured) -> None:
    """2 m² in 20 minutes: a wall of 5.00 m that is 2.45 m high takes 12.25 / 2, seven people."""
    rooms = rooms_closed(measured.takeoff, pace_of(ProgrammeTerms()))
    hall = rooms[0].faces[0]
    assert (hall.width_m, hall.height_m, hall.people) == (pytest.approx(5.0), pytest.approx(2.45), 7)
    assert hall.one_m == pytest.approx(2 / 2.45)
    assert hall in rooms[0].too_wide(6)
    assert hall not in rooms[0].too_wide(7)


def test_dehumidifier_is_hired_for_whole_days() -> None:
    assert (hire_days(40, 18), hire_days(36, 18), hire_days(40, 0), hire_days(0, 18)) == (3, 2, 0, 0)


def test_crews_do_their_own_work_and_edits_that_change_nothing_give_the_job_back(measured: Measured) -> None:
    job = set_lived_in_named(set_crews_typed(measured.job, ["Sanders:2=sand"]), ["Living room"])
    said = days_said(msgspec.structs.replace(measured, job=job))
    crews = {one.activity.item: one.activity.crew for one in said.planned.programme.planned}
    assert (crews["sand"], crews["coat"]) == ("Sanders", "team")
    assert {bar.kind for bar in said.chart.bars} == {"work", "drying", "night", "back"}
    assert all(0 <= bar.start <= bar.end <= len(said.chart.days) for bar in said.chart.bars)
    assert set_crews_typed(job, ["Sanders:2=sand"]) is job
    assert set_lived_in_named(job, ["Living room"]) is job
    assert with_programme(job, {"people": str(job.programme.people), "outside": "5/80"}) is job


def test_people_who_work_together_take_a_part_of_the_hours(measured: Measured) -> None:
    """Three together in one room take a third of its hours; five people are one such group, and a crew of two is no
    three."""
    alone = {one.activity.id: one.activity.hours for one in days_said(measured).planned.programme.planned}
    job = with_programme(set_crews_typed(measured.job, ["Sanders:2=sand"]), {"people": "5", "together": "3"})
    planned = days_said(msgspec.structs.replace(measured, job=job)).planned.programme.planned
    for one in planned:
        by = 2 if one.activity.item == "sand" else 3
        assert one.activity.hours == pytest.approx(alone[one.activity.id] / by)
    team = [part for one in planned if one.activity.crew == "team" for part in one.parts]
    assert not any(a[0] < b[1] and b[0] < a[1] for a, b in itertools.combinations(team, 2))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Sanders", "is no crew"),
        ("A:0=sand", "1 to 50"),
        ("A:1=fly", "no work of a programme"),
        ("A:1=", "does nothing"),
    ],
)
def test_crews_that_cannot_be_are_refused(measured: Measured, typed: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        set_crews_typed(measured.job, [typed])
