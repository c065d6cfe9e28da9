"""A job that is open twice warns the second time, and a lock left by a killed program is taken over."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import pytest

from takeoff.storage.lock import GRACE_S, Lock, lock_path, take
from takeoff.storage.processes import Owner, is_running, this_process


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "kitchen.takeoff"
    path.write_bytes(b"job")
    return path


def left_by(owner: Owner, job: Path) -> Path:
    lock_path(job).write_bytes(msgspec.json.encode(owner))
    return lock_path(job)


def ended_process() -> int:
    done = subprocess.Popen([sys.executable, "-c", ""])
    done.wait()
    return done.pid


def names(job: Path) -> set[str]:
    return {path.name for path in job.parent.iterdir()}


def test_a_lock_says_who_and_goes_when_released(job: Path) -> None:
    before = time.time()
    lock = take(job)
    assert lock.held
    assert lock.warning == ""
    written = msgspec.json.decode(lock_path(job).read_bytes(), type=Owner)
    assert written.pid == os.getpid()
    assert before <= written.since_s <= time.time()
    lock.release()
    assert names(job) == {"kitchen.takeoff"}


def test_the_second_to_open_is_warned_and_the_first_keeps_the_lock(job: Path) -> None:
    first = take(job)
    second = take(job)
    assert second.mine is None
    assert second.other == first.mine
    assert "has been open in another window since" in second.warning
    second.release()
    assert first.held


def test_a_link_to_the_job_meets_the_same_lock(job: Path) -> None:
    link = job.parent / "link.takeoff"
    try:
        link.symlink_to(job)
    except OSError as error:
        pytest.skip(f"no links here: {error}")
    first = take(job)
    assert take(link).other == first.mine


def test_a_lock_of_a_program_that_was_killed_is_taken_over(job: Path) -> None:
    left_by(msgspec.structs.replace(this_process(), pid=ended_process(), begun=""), job)
    lock = take(job)
    assert lock.held
    assert names(job) == {"kitchen.takeoff", lock_path(job).name}


def test_a_number_used_again_by_another_process_does_not_hold_the_lock(job: Path) -> None:
    mine = this_process()
    if not mine.begun:
        pytest.skip("this system does not tell when a process began")
    left_by(msgspec.structs.replace(mine, begun="another-boot:1"), job)
    assert take(job).held


def test_a_lock_from_another_computer_is_not_taken_over_unasked(job: Path) -> None:
    left_by(Owner(pid=1, host="site-laptop", since_s=0.0, token="t"), job)
    lock = take(job)
    assert lock.mine is None
    assert "on the computer “site-laptop”" in lock.warning
    assert take(job, force=True).held


def test_whose_lock_was_taken_over_notices_and_does_not_remove_it(job: Path) -> None:
    first = take(job)
    second = take(job, force=True)
    assert not first.held
    first.release()
    assert second.held


def test_half_a_lock_counts_for_a_moment_only(job: Path) -> None:
    path = lock_path(job)
    path.write_bytes(b'{"pid": 1')
    assert "just being opened" in take(job).warning
    past = time.time() - GRACE_S - 1
    os.utime(path, (past, past))
    assert take(job).held


def test_of_two_that_find_the_same_stale_lock_one_gets_it(job: Path) -> None:
    stale = Owner(pid=7, host=this_process().host, since_s=0.0, token="stale")
    left_by(stale, job)
    others: list[Lock] = []

    def meanwhile(owner: Owner) -> bool:
        """The other one is quicker: it takes the lock over while this one still looks at the old owner."""
        if owner == stale and not others:
            others.append(Lock(lock_path(job), None))
            others[0] = take(job, alive=lambda _: False)
        return owner != stale

    mine = take(job, alive=meanwhile)
    assert mine.mine is None
    assert others[0].held


def test_a_folder_that_can_only_be_read_is_said_and_harms_nothing(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(path: object, *more: object, **others: object) -> int:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(os, "open", denied)
    lock = take(job)
    monkeypatch.undo()
    assert not lock.held
    assert lock.other is None
    assert "Read-only file system" in lock.warning
    lock.release()
    assert names(job) == {"kitchen.takeoff"}


def test_a_job_in_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    assert "cannot be locked" in take(tmp_path / "none" / "a.takeoff").warning


def test_running_and_ended_processes_are_told_apart() -> None:
    assert is_running(this_process())
    assert not is_running(Owner(ended_process(), "", 0.0))
    assert not is_running(Owner(0, "", 0.0))
    assert not is_running(Owner(-1, "", 0.0))
    assert not is_running(Owner(10**30, "", 0.0))


@pytest.mark.skipif(sys.platform != "linux", reason="there are no such processes elsewhere")
def test_a_process_that_ended_unnoticed_by_its_parent_holds_nothing() -> None:
    with subprocess.Popen([sys.executable, "-c", "import time; time.sleep(300)"]) as child:
        running = Owner(child.pid, "", 0.0, begun=str(child.pid))
        owner = msgspec.structs.replace(running, begun="")
        assert is_running(owner)
        child.kill()
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline and is_running(running):
            time.sleep(0.01)
        assert not is_running(running)
