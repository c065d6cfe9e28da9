"""A job in which something stands for a day or an hour and is none is refused with its file and field."""

from __future__ import annotations

import json
from typing import Any

import pytest

from takeoff.errors import InputError
from takeoff.plan.model import Job
from takeoff.storage import jobs

LONG = "A" * 20_000


def with_fields(fields: dict[str, Any]) -> bytes:
    return json.dumps({"schema": jobs.SCHEMA, "name": "Mill house", **fields}).encode()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"programme": {"start": LONG}}, f"programme.start says “{'A' * 40}”, which is no date"),
        ({"programme": {"off": ["2031-05-20", "Friday"]}}, "programme.off[1] says “Friday”, which is no date"),
        ({"programme": {"start": "9999-12-30"}}, "programme.start says “9999-12-30”, which is no date from"),
        ({"programme": {"begins": "16:00", "ends": "08:00"}}, "programme begins at 16:00 and ends at 08:00"),
        ({"programme": {"days": []}}, "programme.days must hold days of the week"),
        ({"programme": {"days": [7]}}, "programme.days must hold days of the week"),
        ({"programme": {"begins": "8"}}, "programme.begins says “8”, which is no hour"),
        ({"lots": [{"id": "l1", "date": "soon"}]}, "lots[0].date says “soon”, which is no date"),
        ({"work": {"payments": [{"on": "2031-02-30", "amount": "1"}]}}, "work.payments[0].on says"),
        (
            {"site_check": {"cleared": [{"hold": "h", "person": "Ann", "on": "today"}]}},
            "site_check.cleared[0].on says “today”, which is no date",
        ),
    ],
)
def test_what_is_no_day_is_named_with_its_field(fields: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as refused:
        jobs.load(with_fields(fields), "mill.json")
    assert str(refused.value).startswith(f"mill.json: {said}")
    assert len(str(refused.value)) < 160


def test_days_with_and_without_a_time_are_read() -> None:
    fields = {
        "programme": {"start": "2031-05-20", "begins": "07:30", "off": ["2031-06-09"]},
        "site_check": {"cleared": [{"hold": "h", "person": "Ann", "on": "2031-05-20T07:40"}]},
    }
    job = jobs.load(with_fields(fields), "mill.json")
    assert isinstance(job, Job)
    assert job.programme.start == "2031-05-20"
