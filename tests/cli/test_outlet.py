"""Whatever standard output leads to: all is printed, or what could not be is said with what was written."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.storage import jobs

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))

pytestmark = pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disk that is full is there on Linux only")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.json"
    path.write_bytes(jobs.dump(Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))))
    return path


def command(*arguments: object) -> list[str]:
    return [sys.executable, "-m", "takeoff.cli.main", *map(str, arguments)]


def shell(line: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """The command with its outlets as a shell's ``line`` says."""
    return subprocess.run(
        ["sh", "-c", f'exec "$@" {line}', "sh", *command(*arguments)],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )


def test_files_that_were_written_are_not_denied_where_nothing_can_be_printed(job: Path, tmp_path: Path) -> None:
    done = shell(">/dev/full", "measure", job, "-o", tmp_path / "out")
    count = sum(1 for path in (tmp_path / "out").rglob("*") if path.is_file())
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1] == (
        "takeoff: the output could not be printed (No space left on device). "
        f"{count} files are complete, in “{tmp_path / 'out'}”."
    )


def test_a_start_without_any_outlet_does_its_work(job: Path, tmp_path: Path) -> None:
    done = shell(">&- 2>&-", "measure", job, "-o", tmp_path / "out")
    assert done.returncode == 0
    assert (tmp_path / "out" / "scope.pdf").is_file()
    assert shell("2>&-", "measure", tmp_path / "none.json").returncode == 2
    assert shell("2>/dev/full", "measure", tmp_path / "none.json").returncode == 2


def test_words_that_went_nowhere_are_said_once_all_is_written(job: Path, tmp_path: Path) -> None:
    """Standard output is closed from the start: the work is done, and then it is said that nobody saw the figures."""
    done = shell(">&-", "measure", job, "-o", tmp_path / "out")
    count = sum(1 for path in (tmp_path / "out").rglob("*") if path.is_file())
    assert count > 10
    assert (done.returncode, done.stderr.splitlines()[-1]) == (
        2,
        "takeoff: the output could not be printed (there is no standard output). "
        f"{count} files are complete, in “{tmp_path / 'out'}”.",
    )
    assert shell(">&- 2>&-", "check", job).returncode == 2  # it was to be seen and nothing else


@pytest.mark.parametrize(("line", "says"), [(">/dev/full", "No space left on device"), (">&-", "no standard output")])
def test_a_result_that_cannot_be_printed_is_said(job: Path, line: str, says: str) -> None:
    done = shell(line, "measure", job, "--json", "-")
    assert done.returncode == 2
    assert says in done.stderr
    assert "program itself" not in done.stderr


@pytest.mark.parametrize("way", ["stopped and continued", "in parts"])
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_slow_reader_gets_every_byte(job: Path, tmp_path: Path, way: str, unbuffered: str) -> None:
    """The pipe holds 4 KB; with it full the process waits, is stopped and goes on; or is told to come again."""
    import fcntl

    whole = tmp_path / "whole.json"
    subprocess.run(command("measure", job, "--json", whole), check=True, capture_output=True, timeout=300)
    ours, theirs = os.pipe()
    fcntl.fcntl(theirs, fcntl.F_SETPIPE_SZ, 4096)
    os.set_blocking(theirs, way != "in parts")
    with subprocess.Popen(
        command("measure", job, "--json", "-"), stdout=theirs, env={**os.environ, "PYTHONUNBUFFERED": unbuffered}
    ) as program:
        os.close(theirs)
        got = os.read(ours, 1)
        for _ in range(3):
            time.sleep(0.1)
            program.send_signal(signal.SIGSTOP)
            time.sleep(0.1)
            program.send_signal(signal.SIGCONT)
            got += os.read(ours, 1000)
        while more := os.read(ours, 65536):
            got += more
        assert program.wait(timeout=300) == 0
    os.close(ours)
    assert len(got) > 2 * 4096 - 100
    assert json.loads(got) == json.loads(whole.read_bytes())


def test_the_hook_for_failures_tells_them_also_without_a_console(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("PySide6")
    from takeoff.ui import messages
    from takeoff.ui.crash import CrashHook

    told: list[str] = []

    class Box:
        def tell(self, parent: object, sentence: str, details: str = "") -> None:
            told.append(sentence)

    class Nothing:
        def rescue(self) -> None:
            return None

    before = messages.use(Box())  # type: ignore[arg-type]
    monkeypatch.setattr(sys, "stderr", None)
    try:
        CrashHook(Nothing()).handle(ZeroDivisionError, ZeroDivisionError("x"), None)
    finally:
        messages.use(before)
    assert len(told) == 1
