"""Holds by worked values: what fails, is missing, is too old, and what a person clears."""

from __future__ import annotations

from datetime import datetime

import pytest

from takeoff.errors import InputError
from takeoff.plan.edits.site_check_edits import (
    add_reading,
    answer_look,
    clear_hold,
    hold_again,
    set_moisture_limit,
    set_stage,
    take_reading_out,
)
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.site_check import ConditionReading, Quantity, Stage, Tick
from takeoff.sitecheck.holds import Hold, holds, open_holds
from takeoff.sitecheck.moist_air import dew_point_c, humidity_for, vapour_g_m3

NOW = datetime(2031, 5, 20, 8, 0)
CORNERS = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))


def _job(stage: Stage = "coating") -> Job:
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(CORNERS))
    storey = Storey(id=StoreyId("g"), rooms=(Room(id=RoomId("r1"), outline=sides, name="Box room"),))
    return set_stage(Job(storeys=(storey,)), stage)


def _read(job: Job, quantity: Quantity, value: float, at: str = "2031-05-20T07:40", scale: str = "") -> Job:
    reading = ConditionReading(
        quantity=quantity, value=value, stage=job.site_check.stage, at=at, room="r1", scale=scale
    )
    return add_reading(job, reading, NOW)


def _air(job: Job, air: float, humidity: float, surface: float) -> Job:
    return _read(_read(_read(job, "air", air), "humidity", humidity), "surface", surface)


def _by_code(job: Job) -> dict[str, Hold]:
    return {hold.code: hold for hold in holds(job, NOW)}


def test_surface_too_near_the_dew_point_says_what_would_do() -> None:
    """20 °C and 60 %: dew point 12.0 °C; 14.0 is 2.0 K above it. At 56 % it is 11.0, and 12.0 + 3 is 15.0."""
    hold = _by_code(_air(_job(), 20, 60, 14.0))["near-dew"]
    assert hold.state == "hold"
    assert "dew point 12.0 °C, margin 2.0 K" in hold.reason
    assert hold.remedy == "56 % air humidity or a surface of 15.0 °C would do."


@pytest.mark.parametrize(("humidity", "surface"), [(56, 14.0), (60, 15.0)])
def test_what_would_do_does(humidity: float, surface: float) -> None:
    assert "near-dew" not in _by_code(_air(_job(), 20, humidity, surface))


@pytest.mark.parametrize(
    ("quantity", "good", "bad", "code"),
    [
        ("surface", 10.0, 9.9, "low-surface"),
        ("humidity", 60.0, 60.1, "high-humidity"),
        ("air", 5.0, 4.9, "low-air"),
        ("gap", 5.0, 5.1, "high-gap"),
    ],
)
def test_limits_hold_from_their_own_value_on(quantity: Quantity, good: float, bad: float, code: str) -> None:
    assert code not in _by_code(_read(_job(), quantity, good))
    assert code in _by_code(_read(_job(), quantity, bad))


def test_uneven_wall_asks_for_a_skim() -> None:
    assert _by_code(_read(_job(), "gap", 8.0))["high-gap"].preparation == "skim"


def test_what_is_missing_or_too_old_holds() -> None:
    assert {"lacking-surface", "lacking-air", "lacking-humidity"} <= _by_code(_job()).keys()
    old = _read(_job(), "surface", 14.0, at="2031-05-19T19:59")
    assert "stale-surface" in _by_code(old)
    assert "stale-surface" not in _by_code(_read(_job(), "surface", 14.0, at="2031-05-19T20:00"))


def test_reading_of_another_stage_is_none_of_this_one() -> None:
    job = set_stage(_read(_job("start"), "surface", 14.0), "coating")
    assert "lacking-surface" in _by_code(job)


def test_in_a_quote_it_is_to_confirm_but_textured_coating_holds() -> None:
    job = _job("quote")
    job = answer_look(job, Tick(what="textured", answer="yes"), NOW)
    job = answer_look(job, Tick(what="lining", answer="yes"), NOW)
    found = _by_code(job)
    assert found["lacking-surface"].state == "confirm"
    assert (found["seen-lining"].state, found["seen-lining"].preparation) == ("confirm", "strip")
    assert (found["seen-textured"].state, found["seen-textured"].preparation) == ("hold", "specialist")


def test_moisture_is_judged_on_its_own_scale_alone() -> None:
    job = _read(_job("start"), "moisture", 18.0, scale="pin, wood")
    assert "moisture-unjudged" in _by_code(job)
    assert "high-moisture" in _by_code(set_moisture_limit(job, "pin, wood", 16.0))
    passed = _by_code(set_moisture_limit(job, "pin, wood", 20.0))
    assert "high-moisture" not in passed
    assert "moisture-unjudged" not in passed
    assert "moisture-unjudged" in _by_code(set_moisture_limit(job, "depth, 0 to 100", 50.0))


def test_coldest_reading_of_a_moment_counts() -> None:
    assert "low-surface" in _by_code(_read(_read(_job(), "surface", 9.0), "surface", 14.0))


def test_air_of_the_whole_job_does_for_every_room() -> None:
    reading = ConditionReading(quantity="air", value=18.0, stage="coating", at="2031-05-20T07:40")
    assert "lacking-air" not in _by_code(add_reading(_job(), reading, NOW))


def test_hold_is_cleared_by_name_and_comes_back_when_read_again() -> None:
    job = _read(_job(), "gap", 8.0)
    key = _by_code(job)["high-gap"].id
    done = clear_hold(job, key, "J. Sample", "2031-05-20")
    hold = _by_code(done)["high-gap"]
    assert (hold.state, hold.cleared_by, hold.cleared_on) == ("cleared", "J. Sample", "2031-05-20")
    assert hold not in open_holds(holds(done, NOW))
    assert _by_code(hold_again(done, key))["high-gap"].state == "hold"
    assert _by_code(_read(done, "gap", 9.0, at="2031-05-20T07:50"))["high-gap"].state == "hold"


def test_reading_taken_out_is_missing_again() -> None:
    job = _read(_job(), "surface", 14.0)
    assert "lacking-surface" in _by_code(take_reading_out(job, 0))
    with pytest.raises(InputError, match="not there any more"):
        take_reading_out(job, 1)


@pytest.mark.parametrize(
    ("quantity", "value", "at", "said"),
    [
        ("humidity", 0.0, "", "cannot be"),
        ("humidity", 140.0, "", "cannot be"),
        ("surface", 90.0, "", "cannot be"),
        ("surface", float("nan"), "", "cannot be"),
        ("surface", 12.0, "2031-05-21T08:00", "has not come yet"),
        ("surface", 12.0, "soon", "is not a date"),
        ("moisture", 12.0, "", "name the scale"),
    ],
)
def test_readings_that_cannot_be_are_refused(quantity: Quantity, value: float, at: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        add_reading(_job(), ConditionReading(quantity=quantity, value=value, at=at, room="r1"), NOW)


def test_room_that_is_gone_and_a_hold_without_a_name_are_refused() -> None:
    with pytest.raises(InputError, match="not in the job"):
        add_reading(_job(), ConditionReading(quantity="air", value=18.0, room="r9"), NOW)
    with pytest.raises(InputError, match="room by room"):
        add_reading(_job(), ConditionReading(quantity="surface", value=18.0), NOW)
    with pytest.raises(InputError, match="Name who"):
        clear_hold(_job(), "x", " ", "2031-05-20")
    with pytest.raises(InputError, match="not a date"):
        clear_hold(_job(), "x", "J. Sample", "tomorrow")


def test_job_without_rooms_has_no_holds() -> None:
    assert holds(Job(), NOW) == ()


@pytest.mark.parametrize(
    ("air", "humidity", "printed"),
    [(10, 70, 4.8), (15, 60, 7.4), (20, 50, 9.3), (20, 60, 12.0), (20, 80, 16.5), (25, 70, 19.1)],
)
def test_dew_point_is_that_of_a_printed_table(air: float, humidity: float, printed: float) -> None:
    """A table printed to one decimal, which agrees with two libraries within 0.1 K: tolerance 0.25 K."""
    assert dew_point_c(air, humidity) == pytest.approx(printed, abs=0.25)


def test_dew_point_is_that_of_a_documented_example() -> None:
    """10 °C and 50 %: 0.047900916 °C in the documentation of another library for moist air."""
    assert dew_point_c(10, 50) == pytest.approx(0.0479, abs=0.05)


def test_humidity_and_vapour_by_hand() -> None:
    """20 °C/60 % holds 4.91 g/m³ more than 5 °C/80 % by Magnus' formula (from memory), half a per cent less than by
    psychrolib's; the humidity of a dew point gives that dew point back."""
    assert vapour_g_m3(20, 60) - vapour_g_m3(5, 80) == pytest.approx(4.91, abs=0.03)
    assert humidity_for(20, dew_point_c(20, 60)) == pytest.approx(60, abs=0.01)
    assert humidity_for(20, 25) == 100.0
