"""What is to settle as rows: values to confirm, rooms and openings to accept, what was settled."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.errors import Finding, Where
from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.edits import settling_edits as settle
from takeoff.plan.model import Job, OpeningId, RoomId
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.views.board import all_findings, consider, stand
from takeoff.views.settling import Row, counts, one_by_one, rows

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def proposed() -> Job:
    return open_file(SAMPLES / "terrace_ground.dxf").job


def listed(job: Job, read: tuple[Finding, ...] = ()) -> tuple[Row, ...]:
    state = stand(job, Memory())
    return rows(state, all_findings(state, consider(state), read))


def test_assumed_values_of_one_size_are_one_row(proposed) -> None:
    found = [(row.text, row.value_mm, len(row.values)) for row in listed(proposed) if row.group == "assumed"]
    assert ("Sills of 2 windows", 900.0, 2) in found
    assert ("Heads of 6 doors", 2040.0, 6) in found
    height = next(text for text, value, _ in found if value == 2400.0)
    assert height.startswith("Height of the storey; 100 mm more adds ")


def test_no_value_is_told_a_second_time_by_the_sum_of_the_check(proposed) -> None:
    texts = [row.text for row in listed(proposed)]
    # the check sums up heights and sizes as "The sill height of 2 windows … is assumed (900 mm): measure it."
    assert not any(text.endswith(": measure it.") for text in texts)
    assert len(texts) == len(set(texts))


def test_confirmed_row_goes_to_the_settled_ones(proposed) -> None:
    sills = next(row for row in listed(proposed) if row.text == "Sills of 2 windows")
    after = listed(settle.confirm(proposed, sills.values))
    assert not any(row.text == sills.text for row in after)
    done = [row for row in after if row.group == "settled"]
    assert len(done) == 2
    assert all("Sill at 900 mm, accepted" in row.text and row.text.startswith("Window ") for row in done)


def test_values_of_a_row_one_by_one_know_those_like_them(proposed) -> None:
    state = stand(proposed, Memory())
    row = next(row for row in listed(proposed) if row.text == "Heads of 6 doors")
    each = one_by_one(row, state)
    assert len(each) == 6
    assert all(len(one.values) == 1 and len(one.alike) == 5 for one in each)
    assert one_by_one(each[0], state) == ()


def test_doubtful_room_is_one_row_however_often_it_was_told(proposed) -> None:
    room = proposed.storeys[0].rooms[0]
    doubtful = edits.set_room_confidence(proposed, room.id, "check")
    told = Finding("room-to-check", "check", "This room is to be checked.", Where(storey="1", room=room.id))
    (row,) = (row for row in listed(doubtful, (told,)) if row.accept == "room")
    assert {finding.code for finding in row.findings} == {"room-to-check"}
    after = settle.accept_room(doubtful, RoomId(row.thing), row.findings)
    assert not any(row.accept == "room" for row in listed(after, (told,)))


def test_unsure_opening_says_what_it_would_change(proposed) -> None:
    window = next(o for o in proposed.storeys[0].openings if o.kind == "window")
    unsure = edits.set_opening_confidence(proposed, OpeningId(window.id), "check")
    (row,) = (row for row in listed(unsure) if row.accept == "opening")
    assert row.thing == window.id
    assert "If accepted: −" in row.text
    assert not any("accept or reject each" in row.text.lower() for row in listed(unsure))


def test_groups_stand_in_order_and_are_counted(proposed) -> None:
    error = Finding("outline-crosses-itself", "error", "The outline crosses itself.")
    found = listed(proposed, (error,))
    assert found[0].group == "error"
    assert found[0].accept == ""
    told = counts(found)
    assert told["error"] == 1
    assert sum(told.values()) == len(found)
    order = [row.group for row in found]
    assert order == sorted(order, key=["error", "check", "assumed", "note", "settled"].index)


def test_accepted_finding_is_not_told_by_the_command_either(proposed) -> None:
    opened = open_file(SAMPLES / "terrace.job.json")
    told = measure_job(opened).findings
    demo = next(f for f in told if f.code == "demo-system")
    job = settle.accept_findings(opened.job, (demo,))
    import msgspec

    again = measure_job(msgspec.structs.replace(opened, job=job))
    assert demo not in again.findings
    assert len(again.findings) == len(told) - 1
