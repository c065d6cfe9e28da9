"""Edits of the site check and of counted items: no change gives the job itself back, what cannot be is said."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import msgspec
import pytest
from plan_samples import box, job, room

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.model import Job, RoomId
from takeoff.plan.site_check import ConditionReading, Tick

NOW = datetime(2031, 5, 20, 8, 0)
R1 = RoomId("r1")
READING = ConditionReading(quantity="surface", value=14.0, at="2031-05-20T07:40", room="r1", place="north corner")
TICK = Tick(what="textured", answer="yes", room="r1", face="ceiling", at="2031-05-20T07:41")


def two_rooms() -> Job:
    """Two boxes side by side."""
    return job(room(), room(box(4000, 4000, 6000), "r2"))


SITE: dict[str, tuple[Any, ...]] = {
    "count_items": (R1, CountedItem(kind="radiators", count=2, who="plumber")),
    "answer_look": (TICK, NOW),
    "clear_hold": ("seen-textured:r1:quote:", "J. Sample", "2031-05-20", "surveyed: none found"),
    "set_limit": ("surface", 12.0, None),
    "set_moisture_limit": ("pin, wood", 16.0),
    "set_stage": ("coating",),
    "add_reading": (READING, NOW),
    "take_reading_out": (0,),
    "hold_again": ("seen-textured:r1:quote:",),
}
"""Every edit of the site with arguments that change a job; the last three are not the same twice."""


@pytest.mark.parametrize("name", list(SITE)[:6])
def test_an_edit_of_the_site_that_changes_nothing_gives_the_job_itself_back(name: str) -> None:
    before = two_rooms()
    once = getattr(edits, name)(before, *SITE[name])
    assert once != before
    assert getattr(edits, name)(once, *SITE[name]) is once


def test_what_is_put_back_or_is_already_so_changes_nothing() -> None:
    a_job = two_rooms()
    assert edits.set_stage(a_job, "quote") is a_job
    assert edits.hold_again(a_job, "seen-textured:r1:quote:") is a_job
    assert edits.set_limit(a_job, "gap", None, None) is a_job
    assert edits.set_moisture_limit(a_job, "pin, wood", None) is a_job
    none = CountedItem(kind="poles", count=0)
    assert edits.count_items(a_job, R1, none) is a_job


def test_of_several_counted_the_one_that_is_alike_is_replaced() -> None:
    def count(before: Job, **fields: Any) -> Job:
        return edits.count_items(before, R1, CountedItem(**fields))

    a_job = count(two_rooms(), kind="radiators", count=2, who="plumber")
    a_job = count(a_job, kind="radiators", count=1, done="stays", who="us")
    a_job = count(a_job, kind="radiators", count=3, who="plumber")
    found = edits.room_of(a_job, R1).counted
    assert [(one.count, one.done, one.who) for one in found] == [(3, "off-and-on", "plumber"), (1, "stays", "us")]
    a_job = count(a_job, kind="radiators", count=0, who="plumber")
    assert len(edits.room_of(a_job, R1).counted) == 1


def test_an_answer_for_all_faces_replaces_those_of_each() -> None:
    a_job = edits.answer_look(two_rooms(), TICK, NOW)
    a_job = edits.answer_look(a_job, msgspec.structs.replace(TICK, face="walls", answer="no"), NOW)
    assert [(t.face, t.answer) for t in a_job.site_check.ticks] == [("ceiling", "yes"), ("walls", "no")]
    a_job = edits.answer_look(a_job, msgspec.structs.replace(TICK, face="", answer="no"), NOW)
    assert [(t.face, t.answer) for t in a_job.site_check.ticks] == [("", "no")]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": "sofas"}, "are not counted"),
        ({"kind": "radiators", "who": "uncle"}, "does nothing here"),
        ({"kind": "vents", "done": "off-and-on"}, "vents: use kept-open"),
        ({"kind": "radiators", "count": -1}, "0 to 500"),
        ({"kind": "radiators", "count": 501}, "0 to 500"),
        ({"kind": "radiators", "side": "s99"}, "not in"),
    ],
)
def test_counted_items_that_cannot_be_are_refused(fields: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        edits.count_items(two_rooms(), R1, CountedItem(**fields))


@pytest.mark.parametrize(
    ("which", "low", "high", "said"),
    [
        ("mood", 1.0, None, "has no limit"),
        ("humidity", None, 140.0, "between 1 and 100"),
        ("surface", 90.0, None, "between -40 and 60|between −40 and 60"),
        ("air", 20.0, 10.0, "above the upper"),
    ],
)
def test_limits_that_cannot_be_are_refused(which: str, low: float | None, high: float | None, said: str) -> None:
    with pytest.raises(InputError, match=said):
        edits.set_limit(two_rooms(), which, low, high)
