"""States that were sent: kept byte for byte, compared, gone back to; none changes by what is done afterwards."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.edits.price_edits import with_rates
from takeoff.plan.model import Job
from takeoff.services.after_order.sent_states import (
    Said,
    accept,
    back_to,
    frozen,
    job_of,
    measured_of,
    read_state,
    send,
    states_of,
)
from takeoff.services.after_order.state_lists import compared, state_rows
from takeoff.services.opened.job_store import load_job, save_job
from takeoff.storage import jobfile
from takeoff.storage.content import Content, kept_state

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
RANDOM_EDITS = int(os.environ.get("TAKEOFF_STATES", "60"))
KILLS = 3 if RANDOM_EDITS < 1000 else 20


@pytest.fixture
def sent(tmp_path: Path) -> Content:
    content = load_job(SAMPLE)
    job = with_rates(content.job, ["walls=31.20", "ceilings=36", "reveals=44", "drops=40", "bead=6.50"])
    content = msgspec.structs.replace(content, job=job)
    content, files = send(content, measured_of(content), tmp_path / "out", Said("2031-05-20", "Client Example", "Ann"))
    assert (tmp_path / "out" / "scope.pdf") in files
    return content


def edited(job: Job, rng: random.Random) -> Job:
    """One edit of whatever kind."""
    storey = rng.choice([one for one in job.storeys if one.rooms])
    room = rng.choice(storey.rooms)
    kind = rng.randrange(5)
    if kind == 0:
        return edits.set_storey_height(job, storey.id, float(rng.randint(2200, 3000)))
    if kind == 1:
        return edits.rename_room(job, room.id, name=f"Room {rng.randint(1, 99)}")
    if kind == 2:
        return edits.set_bead_default(job, rng.choice(["new", "existing", "none"]))
    if kind == 3:
        return edits.set_room_stage(job, str(room.id), "coat", "2031-06-01")
    return with_rates(job, [f"walls={rng.randint(10, 99)}"])


def test_state_stays_byte_for_byte(sent: Content, tmp_path: Path) -> None:
    """Through random edits, undo (an older job comes back), saving and a kill while saving."""
    kept, rng, path = sent.states[0].data, random.Random(7), tmp_path / "job.takeoff"
    jobs = [sent.job]
    jobfile.save(path, sent)
    for number in range(RANDOM_EDITS):
        jobs.append(edited(jobs[-1], rng))
        if rng.random() < 0.2:
            jobs.append(jobs[rng.randrange(len(jobs))])
        if number % 20 == 0:
            jobfile.save(path, msgspec.structs.replace(sent, job=jobs[-1]))
            assert load_job(path).states[0].data == kept
    program = (
        "import sys; from pathlib import Path; from takeoff.services.opened.job_store import load_job\n"
        "from takeoff.storage import jobfile\npath = Path(sys.argv[1]); content = load_job(path)\n"
        "print('ready', flush=True)\nwhile True: jobfile.save(path, content)\n"
    )
    for _ in range(KILLS):
        with subprocess.Popen([sys.executable, "-c", program, str(path)], stdout=subprocess.PIPE) as saving:
            assert saving.stdout is not None
            assert saving.stdout.readline() == b"ready\n"
            time.sleep(rng.uniform(0.0, 0.15))
            saving.send_signal(signal.SIGKILL)
        assert load_job(path).states[0].data == kept


def test_plain_job_that_keeps_a_state_becomes_a_job_file(sent: Content, tmp_path: Path) -> None:
    path = tmp_path / "plain.json"
    path.write_bytes(SAMPLE.read_bytes())
    assert save_job(path, sent) == tmp_path / "plain.takeoff"
    assert load_job(tmp_path / "plain.takeoff").states == sent.states
    assert path.read_bytes() == SAMPLE.read_bytes()


def test_going_back_makes_a_state_and_loses_nothing(sent: Content) -> None:
    job = edits.set_storey_height(sent.job, sent.job.storeys[0].id, 2700.0)
    job = edits.set_room_stage(job, str(job.storeys[0].rooms[0].id), "coat", "2031-06-01")
    now = msgspec.structs.replace(sent, job=job)
    assert {row.what for row in compared(now, "1", "now")} >= {"Walls", "To coat"}
    back = back_to(now, 1, "2031-06-02")
    assert [state.why for state in states_of(back)] == ["sent", "kept", "back"]
    assert back.states[0] == sent.states[0]
    assert back.job.storeys == job_of(states_of(sent)[0]).storeys
    assert back.job.work == job.work
    assert job_of(states_of(back)[1]).storeys == job.storeys
    assert [row.what for row in compared(back, "1", "3")] == []


def test_accepted_price_is_that_of_the_state(sent: Content) -> None:
    dearer = msgspec.structs.replace(sent, job=with_rates(sent.job, ["walls=99"]))
    contract = accept(dearer, "2031-05-22", "Client").job.work.contract
    state = states_of(sent)[0]
    assert contract is not None
    assert state.price is not None
    assert sum(float(one.net) for one in contract.taxes) == pytest.approx(float(state.price.net or 0))
    assert next(item.price for item in contract.items if item.item == "walls") == "31.20"
    assert state_rows(accept(dearer, "2031-05-22", "Client"))[0].contract


def test_state_of_no_price_is_no_contract() -> None:
    from takeoff.errors import InputError
    from takeoff.plan.price_terms import PriceTerms

    content = load_job(SAMPLE)
    job = msgspec.structs.replace(content.job, price=PriceTerms(), details=Job().details)
    content = msgspec.structs.replace(content, job=job)
    content = frozen(content, measured_of(content), "sent", Said("2031-05-20", "Client"))
    with pytest.raises(InputError, match="has no price"):
        accept(content, "2031-05-22", "Client")


def test_state_with_a_field_of_a_newer_program_is_kept_and_says_so(sent: Content) -> None:
    (kept,) = sent.states
    tree = json.loads(kept.data) | {"sealed": True}
    newer = kept_state(kept.number, json.dumps(tree).encode())
    with pytest.raises(InputError, match="State 1 has the field “sealed” of a newer program, which kept it"):
        read_state(newer)
    tree = json.loads(kept.data)
    tree["sheets"] = [{"name": "scope.pdf", "sha256": "0", "pages": 4}]
    with pytest.raises(InputError, match="the field “pages” of a newer program"):
        read_state(kept_state(kept.number, json.dumps(tree).encode()))
