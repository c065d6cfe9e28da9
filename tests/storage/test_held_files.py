"""Whose lock it is, and which salvaged parts may be believed."""

from __future__ import annotations

import os
import platform
import zipfile
from pathlib import Path

import msgspec
import numpy as np
import pytest
from stored_content import full_content, kitchen_job
from test_lock import ended_process, left_by

from takeoff.plan.job_drawings import FIRST
from takeoff.storage import container
from takeoff.storage.jobfile import DamagedFile, load, recover, save
from takeoff.storage.lock import holder, lock_path, take
from takeoff.storage.offers import ABOUT, offers
from takeoff.storage.processes import Owner, this_process
from takeoff.storage.recovery import COPY, Recovery


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "kitchen.takeoff"
    save(path, full_content())
    return path


def test_a_lock_of_another_computer_counts_though_no_such_process_runs_here(path: Path) -> None:
    left_by(Owner(pid=ended_process(), host="site-laptop", since_s=0.0), path)
    assert take(path).mine is None
    assert "on the computer “site-laptop”" in holder(path)


def test_a_lock_of_another_computer_with_our_own_number_is_not_ours(path: Path) -> None:
    left_by(Owner(pid=os.getpid(), host="site-laptop", since_s=0.0), path)
    assert "site-laptop" in holder(path)


def test_our_own_lock_is_held_by_nobody_else(path: Path) -> None:
    lock = take(path)
    assert lock.held
    assert holder(path) == ""


def test_another_process_on_this_computer_holds_the_job_only_while_it_runs(path: Path) -> None:
    other = msgspec.structs.replace(this_process(), pid=os.getpid() + 1, host=platform.node())
    left_by(other, path)
    assert "in another window" in holder(path, alive=lambda _: True)
    assert holder(path, alive=lambda _: False) == ""
    assert lock_path(path).exists()


def test_a_coordinate_that_was_changed_in_a_file_without_directory_is_not_believed(path: Path) -> None:
    segments = full_content().drawings[FIRST].lines.segments
    wrong = segments.copy()
    wrong[0, 0] += 100.0
    data = path.read_bytes()
    data = data[: data.index(b"PK\x01\x02")]  # the directory is gone, each part has its own header
    assert data.count(segments.tobytes()) == 1
    path.write_bytes(data.replace(segments.tobytes(), wrong.tobytes()))
    assert not zipfile.is_zipfile(path)
    content, findings = recover(path)
    assert content.job == kitchen_job()
    assert content.drawings == {}
    assert any("the drawing as it was read" in f.text for f in findings)


def test_the_same_file_with_nothing_changed_keeps_its_drawing(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data[: data.index(b"PK\x01\x02")])
    content, _ = recover(path)
    assert np.array_equal(content.drawings[FIRST].lines.segments, full_content().drawings[FIRST].lines.segments)


def test_a_part_that_the_file_names_and_does_not_hold_is_missed(path: Path) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist() if name != "view.json"}
    path.write_bytes(container.write(parts))
    with pytest.raises(DamagedFile, match=r"view\.json"):
        load(path)


@pytest.mark.parametrize(("base", "trusted"), [("", True), ("../kitchen.takeoff", False), ("/etc/passwd", False)])
def test_a_copy_of_unsaved_work_that_points_out_of_its_folder_is_not_believed(
    path: Path, tmp_path: Path, base: str, trusted: bool
) -> None:
    folder = tmp_path / "recovery"
    recovery = Recovery(folder)
    recovery.note(full_content(), None)
    recovery.flush()
    (copy,) = folder.glob(f"*/{COPY}")
    parts = dict(container.read(copy).held)
    about = msgspec.json.decode(parts[ABOUT])
    parts[ABOUT] = msgspec.json.encode(about | {"base": base})
    copy.write_bytes(container.write(parts))
    found, findings = offers(folder, alive=lambda _: False)
    assert len(found) == (1 if trusted else 0)
    assert ["points outside its own folder" in f.evidence for f in findings] == ([] if trusted else [True])
