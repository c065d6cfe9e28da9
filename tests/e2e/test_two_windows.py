"""Two windows with one job, each a process of its own, and a file that another program replaces while it is open:
whoever may go over the other's work is told in plain words, and nothing of either's is lost."""

from __future__ import annotations

import os
import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec
import pytest

pytest.importorskip("PySide6")

from window_asked_program import Act, Stands

from takeoff.plan import edits
from takeoff.storage import jobfile, jobs, lock
from takeoff.storage.content import Content

PROGRAM = Path(__file__).with_name("window_asked_program.py")
ANSWER_S = 120.0
"""How long a window may take on a busy computer."""
SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
FIRST, SECOND, OUTSIDE = "First’s parlour", "Second’s pantry", "Outside’s office"


class Window:
    """A window in a process, told what to do."""

    def __init__(self, state: Path, job: Path, *answers: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(PROGRAM), str(state), str(job), *answers],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            env={**os.environ, "PYTHONIOENCODING": "utf-8", "TAKEOFF_LANGUAGE": "en"},
        )
        self._lines: queue.Queue[str] = queue.Queue()
        self._hearing = threading.Thread(target=self._hear, daemon=True)
        self._hearing.start()
        self.begun = self._stands()

    def _hear(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line)
        self._lines.put("")

    def _stands(self) -> Stands:
        line = self._lines.get(timeout=ANSWER_S)
        assert line, f"the window ended with {self.process.wait()}"
        return msgspec.json.decode(line, type=Stands)

    def do(self, act: str, *answers: str, name: str = "", path: Path | None = None) -> Stands:
        """How it stands after the act."""
        line = msgspec.json.encode(Act(act, name, answers, (str(path),) if path else ()))
        assert self.process.stdin is not None
        self.process.stdin.write(line.decode() + "\n")
        self.process.stdin.flush()
        return self._stands()

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        self._hearing.join()
        for stream in (self.process.stdin, self.process.stdout):
            assert stream is not None
            stream.close()


Open = Callable[..., Window]


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """Where all windows of one user keep their settings and copies."""
    folder = tmp_path / "state"
    folder.mkdir()
    return folder


@pytest.fixture
def opened(state: Path) -> Iterator[Open]:
    """Opens a window; all are ended afterwards."""
    windows: list[Window] = []

    def make(job: Path, *answers: str) -> Window:
        windows.append(Window(state, job, *answers))
        return windows[-1]

    yield make
    for window in windows:
        window.kill()


@pytest.fixture
def house(tmp_path: Path) -> Path:
    path = tmp_path / "house.takeoff"
    jobfile.save(path, Content(jobs.load(SAMPLE.read_bytes(), SAMPLE.name)))
    return path


def room_in(path: Path) -> str:
    """The name of the first room of a job's file."""
    job = jobfile.load(path).job if jobfile.is_job_file(path) else jobs.load(path.read_bytes(), path.name)
    return job.storeys[0].rooms[0].name


def renamed_outside(path: Path) -> None:
    """Another program saves its own work there, as synchronising ones do: a new file takes the place."""
    job = jobs.load(SAMPLE.read_bytes(), SAMPLE.name)
    job = edits.rename_room(job, str(job.storeys[0].rooms[0].id), OUTSIDE)
    if path.suffix == jobfile.EXTENSION:
        jobfile.save(path, Content(job))
    else:
        path.write_bytes(jobs.dump(job))


def one(sentences: tuple[str, ...]) -> str:
    (sentence,) = sentences
    assert len(sentence.split()) <= 25, sentence
    return sentence


def test_the_second_window_is_told_and_what_it_reads_it_saves_elsewhere(house, opened, takeoff, tmp_path) -> None:
    first = opened(house)
    assert first.begun.asked == ()
    first.do("rename", name=FIRST)
    second = opened(house, "read")
    assert one(second.begun.asked).startswith("house.takeoff has been open in another window since ")
    assert "read-only" in second.begun.title
    assert "read-only" not in first.begun.title
    second.do("rename", name=SECOND)
    stays = second.do("save", "stay")
    assert one(stays.asked) == "house.takeoff was opened read-only, because it is open elsewhere. Save over it?"
    assert (stays.room, stays.clean) == (SECOND, False)
    saved = first.do("save")
    assert (saved.asked, saved.told, saved.clean) == ((), (), True)
    mine = tmp_path / "mine.takeoff"
    kept = second.do("save", "as", path=mine)
    assert (kept.clean, kept.path, "read-only" in kept.title) == (True, str(mine), False)
    assert (room_in(house), room_in(mine)) == (FIRST, SECOND)
    assert lock.holder(house) != ""


def test_the_second_window_may_think_better_of_it_and_opens_nothing(house, opened) -> None:
    first = opened(house)
    second = opened(house, "not")
    assert one(second.begun.asked).startswith("house.takeoff has been open in another window since ")
    assert (second.begun.path, second.begun.room) == ("", "")
    second.kill()
    first.do("rename", name=FIRST)
    assert first.do("save").asked == ()
    assert room_in(house) == FIRST


def test_the_first_window_is_asked_once_the_second_has_taken_the_job_over(house, opened, tmp_path) -> None:
    first = opened(house)
    first.do("rename", name=FIRST)
    second = opened(house, "anyway")
    second.do("rename", name=SECOND)
    assert second.do("save").asked == ()
    stays = first.do("save", "stay")
    assert "was opened elsewhere while it was open here and may hold other work" in one(stays.asked)
    assert (stays.room, stays.clean, room_in(house)) == (FIRST, False, SECOND)
    mine = tmp_path / "mine.takeoff"
    assert first.do("save", "as", path=mine).clean
    assert (room_in(house), room_in(mine)) == (SECOND, FIRST)
    # what the first holds now is its own file: the lock of the other's stays
    assert lock.holder(house) != ""
    second.do("rename", name=SECOND + " again")
    assert second.do("save").asked == ()
    assert room_in(house) == SECOND + " again"


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="kill -9 is there on Unix only")
def test_of_two_windows_that_are_killed_the_work_of_each_comes_back(house, opened, tmp_path) -> None:
    first, second = opened(house), opened(house, "read")
    first.do("rename", name=FIRST)
    second.do("rename", name=SECOND)
    first.do("flush")
    second.do("flush")
    first.kill()
    # the work of a window that is still open is not offered to a third
    third = opened(house, "take")
    assert third.begun.room == FIRST
    assert len([sentence for sentence in third.begun.asked if "Recover the work?" in sentence]) == 1
    saved = third.do("save-as", path=tmp_path / "first.takeoff")
    assert saved.clean
    second.kill()
    fourth = opened(house, "take")
    assert fourth.begun.room == SECOND
    assert fourth.do("save-as", path=tmp_path / "second.takeoff").clean
    assert (room_in(tmp_path / "first.takeoff"), room_in(tmp_path / "second.takeoff")) == (FIRST, SECOND)


@pytest.mark.parametrize("name", ["house.takeoff", "house.json"])
def test_a_file_that_is_replaced_from_outside_is_not_saved_over_unasked(house, opened, tmp_path, name) -> None:
    path = tmp_path / name
    if path != house:
        path.write_bytes(SAMPLE.read_bytes())
    window = opened(path)
    window.do("rename", name=FIRST)
    renamed_outside(path)
    stays = window.do("save")
    assert one(stays.asked) == f"{name} was changed by another program after it was opened here. Save over it?"
    assert (stays.room, stays.clean, room_in(path)) == (FIRST, False, OUTSIDE)
    mine = tmp_path / f"mine{path.suffix}"
    assert window.do("save", "as", path=mine).clean
    assert (room_in(path), room_in(mine)) == (OUTSIDE, FIRST)


def test_json_that_two_windows_have_open_is_not_saved_over_unasked(opened, tmp_path) -> None:
    path = tmp_path / "house.json"
    path.write_bytes(SAMPLE.read_bytes())
    first, second = opened(path), opened(path)
    first.do("rename", name=FIRST)
    second.do("rename", name=SECOND)
    assert second.do("save").asked == ()
    stays = first.do("save", "stay")
    assert "was changed by another program after it was opened here" in one(stays.asked)
    assert (stays.clean, room_in(path)) == (False, SECOND)
    assert first.do("save", "as", path=tmp_path / "mine.json").clean
    assert (room_in(path), room_in(tmp_path / "mine.json")) == (SECOND, FIRST)


def test_the_command_measures_what_a_window_has_open_and_changes_nothing_of_it(
    house, opened, takeoff, tmp_path
) -> None:
    opened(house)
    before = house.read_bytes()
    measured = takeoff("measure", house, "-o", tmp_path / "out", "--draft")
    assert measured.returncode in (0, 1), measured.stderr
    refused = takeoff("items", house, "--room", "G1 Hall", "--add", "radiator=1")
    assert refused.returncode not in (0, 1)
    assert "house.takeoff has been open in another window since" in refused.stderr
    assert house.read_bytes() == before
