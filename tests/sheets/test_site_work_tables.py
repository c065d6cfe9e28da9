"""Preparation and counted items are said once for all rooms, room by room in the workbook and on each room's card."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

import msgspec
import pytest

from takeoff.measure import measure
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits import answer_look, count_items
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.site_check import Tick
from takeoff.programme.held import HeldRoom
from takeoff.programme.list_schedule import Activity, schedule
from takeoff.programme.work_calendar import WorkCalendar
from takeoff.sheets.days_tables import days_table, held_lines
from takeoff.sheets.site_work_tables import (
    card_site_lines,
    counted_by_room,
    counted_table,
    preparation_by_room,
    preparation_table,
)
from takeoff.sitecheck.holds import holds

NOW = datetime(2031, 5, 19, 8, 0)
WHOLE = Decimal("47.00")
"""A room of 4 × 3 m, 2.5 m high: 14 m × 2.5 = 35 m² of walls and 12 m² of ceiling."""


@pytest.fixture(scope="module")
def job() -> Job:
    """Ten such rooms; linings in the first two, one of them built twice; sockets in both, a radiator in the second."""
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    rooms = []
    for n in range(10):
        sides = tuple(Side(id=SideId(f"r{n}s{i}"), x_mm=x + n * 5000.0, y_mm=y) for i, (x, y) in enumerate(corners))
        rooms.append(Room(id=RoomId(f"r{n}"), outline=sides, name=f"Room {n}", times=2 if n == 1 else 1))
    made = Job(storeys=(Storey(id=StoreyId("g"), rooms=tuple(rooms), height_mm=2500.0),))
    for room in ("r0", "r1"):
        made = answer_look(made, Tick(what="lining", answer="yes", room=room), NOW)
        made = count_items(made, RoomId(room), CountedItem(kind="sockets", count=3, who="electrician"))
    made = answer_look(made, Tick(what="textured", answer="yes", room="r1"), NOW)
    return count_items(made, RoomId("r1"), CountedItem(kind="radiators", count=1, who="plumber"))


def test_one_row_for_each_work_and_its_reason(job: Job) -> None:
    """47 m² once and twice 47 m²: 141 m²."""
    rows = preparation_table(job, measure(job)).rows
    assert [(row[2], row[3], row[4]) for row in rows] == [
        ("Room 0, Room 1", 3 * WHOLE, "m²"),
        ("Room 1", Decimal(2), "each"),
    ]
    by_room = preparation_by_room(job, measure(job))
    assert by_room.papers == ()
    assert [row[3] for row in by_room.rows] == [WHOLE, 2 * WHOLE, Decimal(2)]


def test_counted_items_of_one_kind_stand_together(job: Job) -> None:
    """Three sockets in one room, and three in each of two: nine."""
    assert [(row[0], row[1], row[4]) for row in counted_table(job).rows] == [
        ("Sockets and switches", 9, "Room 0, Room 1"),
        ("Radiators", 2, "Room 1"),
    ]
    assert len(counted_by_room(job).rows) == 3
    assert counted_by_room(job).papers == ()


def test_a_card_says_what_holds_its_room_and_what_is_done_in_it(job: Job) -> None:
    said = card_site_lines(job, measure(job), holds(job, NOW))
    assert set(said) == {"r0", "r1"}
    first, second = ({line.label: line for line in said[room]} for room in ("r0", "r1"))
    assert first["Preparation"].text.endswith(": 47.00 m².")
    assert "Sockets and switches 3" in first["Counted items"].text
    assert second["HOLD"].urgent
    assert "textured coating" in second["HOLD"].text
    assert "HOLD" not in first


def test_many_rooms_that_wait_are_one_line() -> None:
    held = [
        HeldRoom(f"Room {n}", "Sand", msgspec.convert(f"2031-05-{29 - n}T08:00:00", datetime), ("Wet.", "Wet."))
        for n in range(6)
    ]
    programme = schedule([], {"team": 1}, WorkCalendar(), NOW)
    (line,) = held_lines(held, programme, True)
    assert line.text.startswith("6 rooms, Room 5 first: Sand waits")
    assert "24 May 2031" in line.text
    assert line.text.count("Wet.") == 1
    assert "Wet." not in held_lines(held, programme, True, reasons=False)[0].text


def test_work_that_follows_on_in_a_room_is_one_row() -> None:
    """Base for an hour and at once a second work of an hour; the third waits five hours for the second to dry."""
    works = [
        Activity("a", "Base", 1, (), "g/hall", room="Hall"),
        Activity("b", "Mesh", 1, (("a", 0.0),), "g/hall", room="Hall"),
        Activity("c", "Sand", 1, (("b", 5.0),), "g/hall", room="Hall"),
    ]
    table = days_table(schedule(works, {"team": 1}, WorkCalendar(), NOW), False)
    lines = [row[:4] for row, kind in zip(table.rows, table.kinds, strict=True) if kind == "line"]
    assert lines == [("Hall", "Base; Mesh", "08:00", "10:00"), ("Hall", "Sand", "15:00", "16:00")]
