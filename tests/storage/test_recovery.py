"""Unsaved work is copied soon after each edit and offered back after the program was cut short."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import pytest
from msgspec.structs import replace
from stored_content import assert_same, full_content, kitchen_drawing, kitchen_job

from takeoff.errors import InputError, OutputError
from takeoff.files import atomic
from takeoff.files.paths import state_folder
from takeoff.plan.job_drawings import FIRST
from takeoff.storage import jobfile
from takeoff.storage.content import Content, attachment
from takeoff.storage.jobfile import DamagedFile, save
from takeoff.storage.offers import DAY_S, Offer, discard, offers, restore, restore_rest
from takeoff.storage.processes import Owner
from takeoff.storage.recovery import COPY, LONGEST_S, OWNER, QUIET_S, Recovery


class Clock:
    """Seconds that pass when told to."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "state" / "recovery"


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def recovery(folder: Path, clock: Clock) -> Recovery:
    return Recovery(folder, clock=clock)


def ended(owner: Owner) -> bool:
    """As if every program that made a copy had been killed."""
    del owner
    return False


def offered(folder: Path) -> tuple[Offer, ...]:
    found, findings = offers(folder, alive=ended)
    assert findings == ()
    return found


def edited(width_mm: float) -> Content:
    return replace(full_content(), job=kitchen_job(width_mm))


def test_work_never_saved_is_offered_back_whole(recovery: Recovery, folder: Path) -> None:
    before = time.time()
    recovery.note(full_content(), None)
    recovery.flush()
    (offer,) = offered(folder)
    assert offer.path is None
    assert offer.newer_by_s is None
    assert offer.name == "Demo kitchen"
    assert before <= offer.written_s <= time.time()
    assert "There is no file of it" in offer.sentence
    assert_same(restore(offer), full_content())


def test_work_beyond_the_saved_file_is_offered_with_how_much_newer_it_is(
    recovery: Recovery, folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "kitchen.takeoff"
    save(path, edited(900.0))
    three_hours_ago = time.time() - 3 * 3600 - 60
    os.utime(path, (three_hours_ago, three_hours_ago))
    recovery.note(edited(1100.0), path)
    recovery.flush()
    (offer,) = offered(folder)
    assert offer.path == path
    assert offer.newer_by_s == pytest.approx(offer.written_s - three_hours_ago)
    assert "3 hours newer than its file" in offer.sentence
    assert restore(offer).job == kitchen_job(1100.0)


def test_a_copy_that_holds_nothing_beyond_the_file_is_removed_quietly(
    recovery: Recovery, folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "kitchen.takeoff"
    recovery.note(edited(900.0), path)
    recovery.flush()
    save(path, edited(900.0))  # and killed here, before the copy was dropped
    assert offered(folder) == ()
    assert list(folder.iterdir()) == []


def test_a_new_photo_alone_is_work_worth_offering(recovery: Recovery, folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "kitchen.takeoff"
    save(path, full_content())
    pictures = (*full_content().pictures, attachment(b"photo", ".jpg"))
    recovery.note(replace(full_content(), pictures=pictures), path)
    recovery.flush()
    (offer,) = offered(folder)
    assert restore(offer).pictures == pictures


def test_an_older_copy_that_differs_is_offered_as_older(recovery: Recovery, folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "kitchen.takeoff"
    recovery.note(edited(900.0), path)
    recovery.flush()
    save(path, edited(1000.0))
    later = time.time() + 60
    os.utime(path, (later, later))
    (offer,) = offered(folder)
    assert offer.newer_by_s is not None
    assert offer.newer_by_s < 0
    assert "older copy" in offer.sentence


def test_a_copy_whose_file_is_gone_is_offered(recovery: Recovery, folder: Path, tmp_path: Path) -> None:
    recovery.note(full_content(), tmp_path / "gone.takeoff")
    recovery.flush()
    (offer,) = offered(folder)
    assert "is gone" in offer.sentence


def test_a_copy_is_due_once_edits_pause_and_at_the_latest_after_two_seconds(recovery: Recovery, clock: Clock) -> None:
    assert recovery.due_in_s() is None
    recovery.note(full_content(), None)
    assert recovery.due_in_s() == QUIET_S
    waited = 0.0
    while recovery.due_in_s() != 0.0:
        clock.now_s += 0.125
        waited += 0.125
        recovery.note(full_content(), None)
        assert waited <= LONGEST_S
    assert waited == LONGEST_S
    assert LONGEST_S < 5.0
    recovery.flush()
    assert recovery.due_in_s() is None
    assert recovery.flush() is None


def test_a_clean_save_drops_the_copy_and_a_close_leaves_nothing(recovery: Recovery, folder: Path) -> None:
    recovery.note(full_content(), None)
    recovery.flush()
    recovery.saved()
    assert recovery.due_in_s() is None
    assert offered(folder) == ()
    recovery.note(edited(950.0), None)
    recovery.flush()
    recovery.close()
    assert list(folder.iterdir()) == []


def test_work_of_a_program_that_still_runs_is_not_offered(recovery: Recovery, folder: Path) -> None:
    recovery.note(full_content(), None)
    recovery.flush()
    assert offers(folder) == ((), ())
    assert len(list(folder.iterdir())) == 1


def test_work_of_a_killed_program_is_offered_to_the_next(folder: Path) -> None:
    program = (
        "import os, signal, sys; from pathlib import Path; from takeoff.plan.model import Job; "
        "from takeoff.storage.content import Content; from takeoff.storage.recovery import Recovery; "
        "r = Recovery(Path(sys.argv[1])); r.note(Content(Job(name='lost?')), None); r.flush(); "
        "os.kill(os.getpid(), signal.SIGTERM)"
    )
    subprocess.run([sys.executable, "-c", program, str(folder)], check=False, timeout=300)
    (offer,), findings = offers(folder)
    assert findings == ()
    assert restore(offer).job.name == "lost?"
    discard(offer)
    assert offers(folder) == ((), ())
    assert list(folder.iterdir()) == []


def test_the_drawing_and_pictures_are_written_once_and_the_job_each_time(recovery: Recovery, folder: Path) -> None:
    content = full_content()
    recovery.note(content, None)
    recovery.flush()
    (slot,) = folder.iterdir()
    base = {p.name: p.stat().st_mtime_ns for p in slot.glob("base-*")}
    assert len(base) == 1
    recovery.note(replace(content, job=kitchen_job(1300.0)), None)
    recovery.flush()
    assert {p.name: p.stat().st_mtime_ns for p in slot.glob("base-*")} == base
    other = replace(content, drawings={FIRST: replace(kitchen_drawing(), name="other.dxf")})
    recovery.note(other, None)
    recovery.flush()
    after = {p.name for p in slot.glob("base-*")}
    assert len(after) == 1
    assert after.isdisjoint(base)
    (offer,) = offered(folder)
    assert_same(restore(offer), other)


def test_a_full_disk_keeps_the_last_good_copy_and_the_edit_stays_pending(
    recovery: Recovery, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recovery.note(edited(900.0), None)
    recovery.flush()

    def full(path: Path, data: bytes) -> None:
        raise OutputError(f"“{path}” could not be written: the disk is full; make room and try again.")

    monkeypatch.setattr(atomic, "write_bytes", full)
    recovery.note(edited(1000.0), None)
    with pytest.raises(OutputError, match="the disk is full"):
        recovery.flush()
    monkeypatch.undo()
    assert restore(offered(folder)[0]).job == kitchen_job(900.0)
    assert recovery.due_in_s() is not None
    recovery.flush()
    assert restore(offered(folder)[0]).job == kitchen_job(1000.0)


def test_a_state_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    recovery = Recovery(tmp_path / "file" / "recovery")
    recovery.note(full_content(), None)
    with pytest.raises(OutputError):
        recovery.flush()


def test_a_job_that_cannot_be_read_back_leaves_the_last_good_copy(recovery: Recovery, folder: Path) -> None:
    recovery.note(edited(900.0), None)
    recovery.flush()
    recovery.note(edited(float("nan")), None)
    with pytest.raises(OutputError, match="width_mm"):
        recovery.flush()
    assert restore(offered(folder)[0]).job == kitchen_job(900.0)


@pytest.mark.parametrize("cut_at", range(1, 7))
def test_a_cut_at_any_step_of_a_copy_leaves_the_last_good_one(
    recovery: Recovery, folder: Path, monkeypatch: pytest.MonkeyPatch, cut_at: int
) -> None:
    """The second copy has another drawing too; it is stopped at one step of writing after the other."""
    recovery.note(edited(900.0), None)
    recovery.flush()
    steps = iter(range(1, 100))

    class CutOffError(BaseException):
        """Nothing catches it, as nothing runs after a kill."""

    def cut(call):  # type: ignore[no-untyped-def]
        def counted(*given, **named):  # type: ignore[no-untyped-def]
            if next(steps) >= cut_at:
                raise CutOffError
            return call(*given, **named)

        return counted

    for name in ("replace", "fsync"):
        monkeypatch.setattr(os, name, cut(getattr(os, name)))
    recovery.note(replace(edited(1000.0), drawings={FIRST: replace(kitchen_drawing(), name="other.dxf")}), None)
    with contextlib.suppress(CutOffError):
        recovery.flush()
    monkeypatch.undo()
    back = restore(offered(folder)[0])
    assert (back.job, back.drawings[FIRST].name) in [
        (kitchen_job(900.0), "kitchen.dxf"),
        (kitchen_job(1000.0), "other.dxf"),
    ]


@pytest.mark.parametrize("days", [-400, -31, 31, 400])
def test_no_copy_is_removed_for_its_age_since_a_clock_may_have_been_wrong(
    recovery: Recovery, folder: Path, days: int
) -> None:
    copy = recovery_copy(recovery)
    other = time.time() - days * DAY_S
    os.utime(copy, (other, other))
    for now in (time.time(), time.time() + days * DAY_S):
        (offer,), findings = offers(folder, now, ended)
        assert findings == ()
    assert restore(offer).job == kitchen_job()


def test_after_the_clock_went_back_the_newest_copy_is_the_first(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = time.time()
    for width_mm, days in ((900.0, 0), (1000.0, -3), (1100.0, -2)):
        monkeypatch.setattr(time, "time", lambda days=days: now + days * DAY_S)
        recovery = Recovery(folder)
        recovery.note(edited(width_mm), tmp_path / f"{width_mm:.0f}.takeoff")
        recovery.flush()
    monkeypatch.undo()
    assert [restore(one).job for one in offered(folder)] == [kitchen_job(w) for w in (1100.0, 1000.0, 900.0)]


@pytest.mark.parametrize("clock_went_by_s", [-86_400.0, 86_400.0])
def test_work_on_an_unchanged_file_is_newer_whatever_the_clock_says(
    recovery: Recovery, folder: Path, tmp_path: Path, clock_went_by_s: float
) -> None:
    path = tmp_path / "kitchen.takeoff"
    save(path, edited(900.0))
    by_then = time.time() - clock_went_by_s
    os.utime(path, (by_then, by_then))
    recovery.note(edited(1000.0), path)
    recovery.flush()
    (offer,) = offered(folder)
    assert not offer.older
    assert "Recover the work?" in offer.sentence
    assert ("the clock went back" in offer.sentence) == (clock_went_by_s < 0)


def test_a_file_that_was_changed_since_is_the_newer_whatever_the_clock_says(
    recovery: Recovery, folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "kitchen.takeoff"
    save(path, edited(900.0))
    recovery.note(edited(1000.0), path)
    recovery.flush()
    save(path, edited(1100.0))
    yesterday = time.time() - DAY_S
    os.utime(path, (yesterday, yesterday))
    (offer,) = offered(folder)
    assert offer.older
    assert "older copy" in offer.sentence


def test_a_copy_of_an_older_program_goes_by_the_clock(recovery: Recovery, folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "kitchen.takeoff"
    save(path, edited(900.0))
    recovery.note(edited(1000.0), path)
    recovery.flush()
    (offer,) = offered(folder)
    for newer_by_s in (-5.0, 5.0):
        assert replace(offer, file_same=None, newer_by_s=newer_by_s).older == (newer_by_s < 0)


def test_a_damaged_copy_is_said_and_kept(recovery: Recovery, folder: Path) -> None:
    copy = recovery_copy(recovery)
    copy.write_bytes(copy.read_bytes()[:60])
    found, (finding,) = offers(folder, alive=ended)
    assert found == ()
    assert finding.severity == "check"
    assert str(copy.parent) in finding.text
    assert copy.exists()


def test_a_copy_without_its_drawing_gives_the_job_and_says_what_is_lost(recovery: Recovery, folder: Path) -> None:
    copy = recovery_copy(recovery)
    (base,) = copy.parent.glob("base-*")
    base.unlink()
    (offer,) = offered(folder)
    with pytest.raises(DamagedFile):
        restore(offer)
    content, (finding,) = restore_rest(offer)
    assert content.job == kitchen_job()
    assert content.drawings == {}
    assert "drawing" in finding.text


def recovery_copy(recovery: Recovery) -> Path:
    recovery.note(full_content(), None)
    copy = recovery.flush()
    assert copy is not None
    return copy


def test_a_copy_of_a_newer_program_is_said_and_kept(
    recovery: Recovery, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobfile, "VERSION", 9)
    copy = recovery_copy(recovery)
    monkeypatch.undo()
    found, (finding,) = offers(folder, alive=ended)
    assert found == ()
    assert "newer version" in finding.evidence
    assert copy.exists()


def test_slots_in_the_making_are_left_alone_and_dead_ones_cleared(folder: Path) -> None:
    (folder / "untitled-making").mkdir(parents=True)
    (folder / "untitled-dead").mkdir()
    (folder / "untitled-dead" / OWNER).write_bytes(msgspec.json.encode(Owner(1, "h", 0.0)))
    (folder / "stray.txt").write_bytes(b"")
    assert offers(folder, alive=ended) == ((), ())
    assert {p.name for p in folder.iterdir()} == {"untitled-making", "stray.txt"}


def test_no_folder_offers_nothing_and_a_file_in_its_place_is_said(tmp_path: Path) -> None:
    assert offers(tmp_path / "none") == ((), ())
    (tmp_path / "file").write_bytes(b"")
    assert offers(tmp_path / "file")[1][0].severity == "check"


def test_the_copy_is_private(recovery: Recovery) -> None:
    slot = recovery_copy(recovery).parent
    if os.name == "posix":
        assert slot.stat().st_mode & 0o077 == 0
    assert (slot / COPY).exists()


def test_a_swept_folder_of_states_is_made_again(recovery: Recovery, folder: Path) -> None:
    shutil.rmtree(recovery_copy(recovery).parent)
    recovery_copy(recovery)
    assert_same(restore(offered(folder)[0]), full_content())


def test_two_windows_with_the_same_job_keep_their_copies_apart(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "kitchen.takeoff"
    for width in (900.0, 1000.0):
        one = Recovery(folder)
        one.note(edited(width), path)
        one.flush()
    assert {restore(offer).job for offer in offered(folder)} == {kitchen_job(900.0), kitchen_job(1000.0)}
    slots = [slot.name.partition("-")[0] for slot in folder.iterdir()]
    assert slots[0] == slots[1] != "untitled"


def test_a_lost_offer_is_said(recovery: Recovery, folder: Path) -> None:
    recovery_copy(recovery)
    (offer,) = offered(folder)
    discard(offer)
    discard(offer)
    with pytest.raises(InputError, match="does not exist"):
        restore(offer)


def test_a_refused_removal_is_said(recovery: Recovery, monkeypatch: pytest.MonkeyPatch) -> None:
    recovery_copy(recovery)

    def denied(self: Path, missing_ok: bool = False) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "unlink", denied)
    with pytest.raises(OutputError, match="could not be removed"):
        recovery.saved()


@pytest.mark.parametrize(
    ("named", "expected"),
    [("/x", "/x/takeoff"), ("relative", "/home/a/.local/state/takeoff"), ("", "/home/a/.local/state/takeoff")],
)
@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="where Linux keeps it")
def test_state_is_kept_where_the_system_has_it(named: str, expected: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/a")
    monkeypatch.setenv("XDG_STATE_HOME", named)
    assert state_folder() == Path(expected)
