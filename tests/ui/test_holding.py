"""A job that is open twice: whoever comes second is warned, and no save goes over another's work unasked."""

from __future__ import annotations

import errno
import io
import os
import re
import sys
import zipfile
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import QTimer

from takeoff.files import atomic
from takeoff.plan import edits
from takeoff.services.opened.opening import Opened
from takeoff.storage import jobfile, jobs, lock, offers
from takeoff.storage.content import Content
from takeoff.storage.processes import Owner, this_process
from takeoff.ui.crash import CrashHook
from takeoff.ui.window import job_files
from takeoff.ui.window.main_window import MainWindow

DEAD = 2**22 + 1
"""No process has a number beyond the largest that the system gives."""


def rename(window: MainWindow, name: str) -> None:
    assert window.document.apply("Rename a room", lambda job: edits.rename_room(job, "G1", name))


def name_in(path: Path) -> str:
    return jobfile.load(path).job.storeys[0].rooms[0].name


@pytest.fixture
def saved(sample, told, tmp_path) -> Path:
    """The sample job, saved in a file that the window holds."""
    path = tmp_path / "house.takeoff"
    told.paths = [path]
    sample.acts.do("save-as")
    return path


def held_by(path: Path, **fields: object) -> Owner:
    owner = msgspec.structs.replace(this_process(), **fields)
    lock.lock_path(path).write_bytes(msgspec.json.encode(owner))
    return owner


@pytest.fixture
def elsewhere(saved, sample) -> Path:
    """A job file that a program on another computer has open, while the window holds none."""
    assert sample.files.start_empty()
    held_by(saved, host="another-computer")
    return saved


def test_open_job_is_locked_until_it_is_left(sample, saved) -> None:
    assert lock.lock_path(saved).exists()
    assert sample.files.start_empty()
    assert not lock.lock_path(saved).exists()


def test_window_that_closes_lets_its_file_go(sample, saved) -> None:
    sample.close()
    assert not lock.lock_path(saved).exists()


def test_same_file_opens_again_in_its_own_window_without_a_word(sample, saved, told) -> None:
    sample.files.open(saved)
    assert told.questions == []
    assert lock.take(saved).mine is None


def test_job_open_elsewhere_is_not_opened_unless_the_user_says_so(sample, elsewhere, told) -> None:
    sample.files.open(elsewhere)
    assert "has been open on the computer “another-computer” since" in told.questions[-1]
    assert sample.document.job.storeys == ()
    assert lock.lock_path(elsewhere).exists()


def test_read_only_job_is_saved_under_another_name(sample, elsewhere, told, tmp_path) -> None:
    told.answers = ["read"]
    sample.files.open(elsewhere)
    assert "read-only" in sample.windowTitle()
    rename(sample, "Passage")
    told.answers, told.paths = ["as"], [tmp_path / "mine.takeoff"]
    sample.acts.do("save")
    assert "was opened read-only" in told.questions[-1]
    assert name_in(tmp_path / "mine.takeoff") == "Passage"
    assert name_in(elsewhere) != "Passage"
    assert "read-only" not in sample.windowTitle()
    assert lock.lock_path(tmp_path / "mine.takeoff").exists()


def test_opened_anyway_it_is_this_windows_from_then_on(sample, elsewhere, told) -> None:
    told.answers = ["anyway"]
    sample.files.open(elsewhere)
    rename(sample, "Passage")
    asked = len(told.questions)
    sample.acts.do("save")
    assert len(told.questions) == asked
    assert name_in(elsewhere) == "Passage"


def test_whose_lock_was_taken_is_asked_before_he_saves_over_it(sample, saved, told) -> None:
    rename(sample, "Passage")
    held_by(saved, host="another-computer")
    sample.acts.do("save")
    assert "was opened elsewhere while it was open here" in told.questions[-1]
    assert name_in(saved) != "Passage"
    assert not sample.document.stack.isClean()


def test_file_changed_by_another_program_is_not_saved_over_unasked(sample, saved, told) -> None:
    rename(sample, "Passage")
    other = edits.rename_room(sample.document.job, "G1", "Porch")
    jobfile.save(saved, Content(other))
    sample.acts.do("save")
    assert "was changed by another program" in told.questions[-1]
    assert name_in(saved) == "Porch"
    told.answers = ["over"]
    sample.acts.do("save")
    assert name_in(saved) == "Passage"
    rename(sample, "Lobby")
    asked = len(told.questions)
    sample.acts.do("save")
    assert len(told.questions) == asked


@pytest.mark.parametrize("name", ["house.takeoff", "house.json"])
def test_file_replaced_while_it_is_read_is_not_saved_over_unasked(sample, told, tmp_path, monkeypatch, name) -> None:
    path = tmp_path / name
    told.paths = [path]
    sample.acts.do("save-as")
    other = edits.rename_room(sample.document.job, "G1", "Porch")
    assert sample.files.start_empty()
    read = job_files.open_file

    def read_and_replaced(asked: Path) -> Opened:
        opened = read(asked)
        path.unlink()
        jobfile.save(path, Content(other)) if path.suffix == jobfile.EXTENSION else path.write_bytes(jobs.dump(other))
        return opened

    monkeypatch.setattr(job_files, "open_file", read_and_replaced)
    sample.files.open(path)
    rename(sample, "Passage")
    sample.acts.do("save")
    assert "was changed by another program" in told.questions[-1]
    assert b"Porch" in path.read_bytes() or name_in(path) == "Porch"
    assert not sample.document.stack.isClean()


def test_save_under_a_name_that_is_open_elsewhere_is_asked_about(sample, elsewhere, told) -> None:
    sample.files.open(Path(__file__).parents[2] / "sample_plans" / "terrace.job.json")
    before = elsewhere.read_bytes()
    told.paths = [elsewhere]
    sample.acts.do("save-as")
    assert "Save over it?" in told.questions[-1]
    assert elsewhere.read_bytes() == before


def test_lock_of_a_program_that_ended_is_taken_over_with_a_word(sample, saved, told) -> None:
    assert sample.files.start_empty()
    held_by(saved, pid=DEAD)
    sample.files.open(saved)
    assert told.questions == []
    assert "by a program that ended without closing it" in sample.totals.note.text()
    assert lock.lock_path(saved).exists()
    assert "read-only" not in sample.windowTitle()


# -- what goes wrong with files


def test_full_disk_is_told_and_nothing_is_lost(sample, saved, told, monkeypatch) -> None:
    """The writer's own last step fails as on a full disk: the old file, the job and its edits stay."""
    before, flush = saved.read_bytes(), atomic._flush
    rename(sample, "Passage")

    def full(beside: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(atomic, "_flush", full)
    sample.acts.do("save")
    assert "the disk is full; make room and try again" in told.sentences[-1]
    assert "unchanged and not saved" in told.sentences[-1]
    assert saved.read_bytes() == before
    assert not sample.document.stack.isClean()
    sample.files.keeping.flush()
    assert "Save your work yourself" in told.sentences[-1]
    monkeypatch.setattr(atomic, "_flush", flush)
    assert sample.files.keeping.flush() is not None
    sample.acts.do("save")
    assert name_in(saved) == "Passage"
    assert {path.name for path in saved.parent.iterdir() if ".part" in path.name} == set()


def test_sheets_on_a_full_disk_are_told_and_leave_nothing_behind(sample, told, tmp_path, monkeypatch) -> None:
    def full(beside: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(atomic, "_flush", full)
    told.paths = [tmp_path / "sheets"]
    sample.acts.do("write-sheets")
    assert "the disk is full" in told.sentences[-1]
    assert not (tmp_path / "sheets").exists()


def test_damaged_job_opens_with_what_is_left_and_keeps_the_damaged_file(window, told, tmp_path) -> None:
    window.files.open(Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf")
    path = tmp_path / "house.takeoff"
    told.paths = [path]
    window.acts.do("save-as")
    job, whole = window.document.job, path.read_bytes()
    assert window.files.start_empty()
    at = whole.index(b"drawings/")
    path.write_bytes(whole[: at + 400] + bytes(64) + whole[at + 464 :])
    damaged = path.read_bytes()
    window.files.open(path)
    assert window.document.job == job
    assert "was damaged" in told.sentences[-1]
    told.paths = [tmp_path / "mended.takeoff"]
    window.acts.do("save")
    assert path.read_bytes() == damaged
    assert jobfile.load(tmp_path / "mended.takeoff").job == job


def test_job_of_a_newer_program_is_refused_in_one_sentence(window, told, saved, tmp_path) -> None:
    path, made = tmp_path / "new.takeoff", io.BytesIO()
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(made, "w") as new:
        for entry in old.infolist():
            part = old.read(entry)
            if entry.filename == jobfile.FORMAT_PART:
                part = re.sub(rb'"version":\d+', b'"version":99', part)
            new.writestr(entry.filename, part)
    path.write_bytes(made.getvalue())
    window.files.open(path)
    assert "was saved by a newer version of the program" in told.sentences[-1]
    assert "install the newer version" in told.sentences[-1]
    assert not lock.lock_path(path).exists()


class Slot(QTimer):
    """A timer whose slot fails."""

    def fail(self) -> None:
        raise ZeroDivisionError("a fault of the program")


def test_failure_in_a_slot_saves_first_and_then_tells(sample, told, qtbot, tmp_path, capsys) -> None:
    rename(sample, "Passage")
    kept_when_told: list[str] = []
    tell = told.tell

    def look_first(parent: object, sentence: str, details: str = "") -> None:
        found, _ = offers.offers(tmp_path / "recovery", alive=lambda _: False)
        kept_when_told.extend(offers.restore(one).job.storeys[0].rooms[0].name for one in found)
        tell(parent, sentence, details)

    told.tell = look_first
    before = sys.excepthook
    hook = CrashHook(sample.files)
    hook.install()
    try:
        slot = Slot(sample)
        slot.setSingleShot(True)
        slot.timeout.connect(slot.fail)
        slot.start(0)
        qtbot.waitUntil(lambda: bool(told.sentences))
    finally:
        hook.remove()
    assert sys.excepthook == before
    assert kept_when_told == ["Passage"]
    assert "Your work is saved in" in told.sentences[-1]
    assert "ZeroDivisionError" in capsys.readouterr().err
    rename(sample, "Lobby")
    assert sample.document.job.storeys[0].rooms[0].name == "Lobby"
