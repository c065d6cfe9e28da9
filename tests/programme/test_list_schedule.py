"""Programmes by hand: waiting by the clock, work by the calendar, bounds that no order beats."""

from __future__ import annotations

import random
from datetime import date, datetime, time, timedelta
from itertools import permutations

import pytest

from takeoff.errors import InputError
from takeoff.programme.at_once import closable_width_m, drying_out, people_for
from takeoff.programme.list_schedule import Activity, Programme, schedule
from takeoff.programme.work_calendar import WorkCalendar, made, public_holidays

MONDAY = datetime(2031, 5, 19, 8, 0)
USUAL = WorkCalendar()


def _room(name: str, factor: float = 1.0) -> list[Activity]:
    """Base 1 h, 5 h to dry, a layer 2 h, 14 h, a layer 2 h, 24 h, sanding 1.5 h."""
    return [
        Activity(f"{name}-base", "base coat", 1 * factor, (), name),
        Activity(f"{name}-one", "first layer", 2 * factor, ((f"{name}-base", 5),), name),
        Activity(f"{name}-two", "second layer", 2 * factor, ((f"{name}-one", 14),), name),
        Activity(f"{name}-sand", "sanding", 1.5 * factor, ((f"{name}-two", 24),), name),
    ]


def test_one_room_by_hand() -> None:
    """Monday 8 to 9 base, dry at 14, first layer 14 to 16, dry at 6; Tuesday 8 to 10, dry on Wednesday at 10, sanded
    at 11:30: three visits."""
    done = schedule(_room("hall"), {"team": 1}, USUAL, MONDAY)
    assert [(one.start, one.end) for one in done.planned] == [
        (datetime(2031, 5, 19, 8), datetime(2031, 5, 19, 9)),
        (datetime(2031, 5, 19, 14), datetime(2031, 5, 19, 16)),
        (datetime(2031, 5, 20, 8), datetime(2031, 5, 20, 10)),
        (datetime(2031, 5, 21, 10), datetime(2031, 5, 21, 11, 30)),
    ]
    assert (done.visits, done.ends, done.proved) == (3, datetime(2031, 5, 21, 11, 30), True)


def test_weekends_and_days_off_dry_but_are_not_worked() -> None:
    friday = MONDAY + timedelta(days=4)
    done = schedule(_room("hall"), {"team": 1}, USUAL, friday)
    assert [one.start.day for one in done.planned] == [23, 23, 26, 27]
    off = made(time(8), time(16), range(5), [date(2031, 5, 20)])
    assert [one.start.day for one in schedule(_room("hall"), {"team": 1}, off, MONDAY).planned] == [19, 19, 21, 22]


def test_work_of_more_than_a_day_goes_on_the_next_morning() -> None:
    done = schedule([Activity("a", "base coat", 11)], {"team": 1}, USUAL, MONDAY + timedelta(hours=2))
    assert [(a.hour, b.hour, a.day) for a, b in done.planned[0].parts] == [(8, 16, 20), (8, 11, 21)]


def test_two_rooms_are_worked_while_the_other_dries() -> None:
    """Base of both by 10; layers from 14: one on Monday, the other fits no more (14 to 16 and 16 to 18)."""
    done = schedule(_room("hall") + _room("stair"), {"team": 1}, USUAL, MONDAY)
    assert done.visits == 4
    both = schedule(_room("hall") + _room("stair"), {"team": 2}, USUAL, MONDAY)
    assert (both.visits, both.ends) == (3, datetime(2031, 5, 21, 11, 30))


SHOP = ((3, 6), (5, 2), (1, 2), (6, 6), (7, 5))


def _shop() -> list[Activity]:
    listed = []
    for index, (first, second) in enumerate(SHOP):
        listed.append(Activity(f"{index}a", "first", first / 10, (), str(index), "one"))
        listed.append(Activity(f"{index}b", "second", second / 10, ((f"{index}a", 0),), str(index), "two"))
    return listed


def _shop_end(order: tuple[int, ...]) -> int:
    first = second = 0
    for index in order:
        first += SHOP[index][0]
        second = max(first, second) + SHOP[index][1]
    return second


def test_two_stage_shop_is_done_in_24() -> None:
    """Textbook instance of two stages (from memory), its optimum found again by trying all orders; in tenths of an
    hour, so that all of it lies in one day."""
    assert min(map(_shop_end, permutations(range(5)))) == 24
    done = schedule(_shop(), {"one": 1, "two": 1}, USUAL, MONDAY)
    assert (done.ends - done.begins) / timedelta(hours=0.1) == pytest.approx(24, abs=1e-4)
    assert done.proved


def _random_rooms(seed: int) -> tuple[list[Activity], int]:
    chance = random.Random(seed)
    rooms = [one for n in range(chance.randint(1, 5)) for one in _room(f"r{n}", chance.choice([0.5, 1, 1.5, 5]))]
    return rooms, chance.randint(1, 3)


def _sound(done: Programme, people: int) -> None:
    ends = {one.activity.id: one.end for one in done.planned}
    for one in done.planned:
        assert all(one.start >= ends[name] + timedelta(hours=wait) for name, wait in one.activity.after)
        assert sum((b - a for a, b in one.parts), timedelta()) == timedelta(hours=one.activity.hours)
        assert all(USUAL.works(a.date()) and a.time() >= USUAL.begins and b.time() <= USUAL.ends for a, b in one.parts)
    marks = sorted(
        [(a, 1) for one in done.planned for a, _ in one.parts] + [(b, -1) for one in done.planned for _, b in one.parts]
    )
    at_work = 0
    for _, change in marks:
        at_work += change
        assert at_work <= people


@pytest.mark.parametrize("seed", range(40))
def test_random_programmes_hold_their_conditions_and_their_bound(seed: int) -> None:
    activities, people = _random_rooms(seed)
    done = schedule(activities, {"team": people}, USUAL, MONDAY)
    _sound(done, people)
    assert done.bound <= done.ends
    assert done.ends <= schedule(activities, {"team": people}, USUAL, MONDAY + timedelta(days=7)).ends


def test_many_rooms_are_planned_by_rules() -> None:
    activities = [one for n in range(12) for one in _room(f"r{n:02}")]
    done = schedule(activities, {"team": 2}, USUAL, MONDAY)
    _sound(done, 2)
    assert done == schedule(activities, {"team": 2}, USUAL, MONDAY)


def test_nothing_to_do_ends_where_it_begins() -> None:
    assert schedule([], {}, USUAL, MONDAY).ends == MONDAY


def test_what_cannot_be_planned_is_said() -> None:
    with pytest.raises(InputError, match="Nobody is in the crew"):
        schedule(_room("hall"), {"team": 0}, USUAL, MONDAY)
    with pytest.raises(InputError, match="waits for itself"):
        schedule([Activity("a", "base", 1, (("a", 0),))], {"team": 1}, USUAL, MONDAY)
    with pytest.raises(InputError, match="not planned"):
        schedule([Activity("a", "base", 1, (("b", 0),))], {"team": 1}, USUAL, MONDAY)
    with pytest.raises(InputError, match="No day of the week"):
        made(time(8), time(16), ())
    with pytest.raises(InputError, match="ends after it begins"):
        made(time(16), time(8), range(5))
    with pytest.raises(InputError, match="not known"):
        public_holidays("XQ", [2031])


def test_public_holidays_of_a_country_and_its_part() -> None:
    assert date(2031, 12, 25) in public_holidays("GB", [2031])
    assert date(2031, 6, 12) in public_holidays("DE", [2031], "BY")
    assert date(2031, 6, 12) not in public_holidays("DE", [2031], "BE")


def test_width_that_one_person_closes() -> None:
    """6 m²/h for 20 minutes is 2 m²; over 2.4 m of height 0.83 m. Three metres of wall take four people."""
    assert closable_width_m(6, 20, 2.4) == pytest.approx(0.8333, abs=1e-4)
    assert people_for(3.0, 6, 20, 2.4) == 4
    assert people_for(0.8, 6, 20, 2.4) == 1
    with pytest.raises(InputError, match="more than 0"):
        closable_width_m(6, 0, 2.4)


def test_water_that_airing_carries_out() -> None:
    """20 °C/60 % inside, 5 °C/80 % outside: about 4.9 g/m³; 125 m³ an hour carry 0.61 L, 40 L take some 65 h."""
    done = drying_out(40, (20, 60), (5, 80), 250, 0.5)
    assert done.litres_h == pytest.approx(0.615, abs=0.005)
    assert done.hours == pytest.approx(65, abs=0.5)
    assert drying_out(40, (20, 40), (25, 80), 250, 0.5).hours == float("inf")
    assert drying_out(0, (20, 60), (5, 80), 250, 0.5).hours == 0.0
