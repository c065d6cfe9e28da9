"""A set of files comes into a folder together or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from takeoff.errors import OutputError
from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.services import writing
from takeoff.services.job_result import measure_job
from takeoff.services.opening import Opened
from takeoff.services.writing import all_or_nothing, write_everything

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))


def write_new(folder: Path, *names: str, then: BaseException | None = None) -> None:
    with all_or_nothing(folder) as beside:
        for name in names:
            (beside / name).write_text("new")
        if then is not None:
            raise then


def tree(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*") if p.is_file()}


def test_client_and_team_get_a_pdf_each_and_no_other_name_is_lost(tmp_path: Path) -> None:
    job = Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))
    measured = measure_job(Opened(Path("mill.job.json"), "job", job, ()))
    written = write_everything(measured, writing.document(measured, "2031-05-20"), tmp_path)
    assert [path.name for path in written[:3]] == ["scope.pdf", "team.pdf", "takeoff.xlsx"]
    assert all(path.is_file() for path in written)
    assert (tmp_path / "scope.pdf").read_bytes() != (tmp_path / "team.pdf").read_bytes()


def test_files_arrive_together_and_others_stay(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("old a")
    (tmp_path / "mine.txt").write_text("mine")
    with all_or_nothing(tmp_path) as beside:
        (beside / "a.txt").write_text("new a")
        (beside / "tables").mkdir()
        (beside / "tables" / "b.txt").write_text("new b")
        assert (tmp_path / "a.txt").read_text() == "old a"
    assert tree(tmp_path) == {"a.txt": "new a", "mine.txt": "mine", "tables/b.txt": "new b"}
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.txt", "mine.txt", "tables"]


def test_folders_are_made_where_they_are_missing_and_taken_away_when_the_work_fails(tmp_path: Path) -> None:
    with all_or_nothing(tmp_path / "x" / "y") as beside:
        (beside / "a.txt").write_text("a")
    assert tree(tmp_path) == {"x/y/a.txt": "a"}
    with pytest.raises(ZeroDivisionError):
        write_new(tmp_path / "p" / "q", "a.txt", then=ZeroDivisionError())
    assert not (tmp_path / "p").exists()


def test_interrupted_work_leaves_what_was_there(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("old a")
    with pytest.raises(KeyboardInterrupt):
        write_new(tmp_path, "a.txt", then=KeyboardInterrupt())
    assert tree(tmp_path) == {"a.txt": "old a"}
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_failure_while_moving_puts_the_old_files_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text(f"old {name}")
    replace = os.replace

    def full_disk(source: Path, target: Path) -> None:
        if Path(source).parent.name == "new" and Path(target).name == "b.txt":
            raise OSError(28, "No space left on device")
        replace(source, target)

    monkeypatch.setattr(writing.os, "replace", full_disk)
    with pytest.raises(OutputError, match="No space left"):
        write_new(tmp_path, "a.txt", "b.txt", "c.txt")
    assert tree(tmp_path) == {"a.txt": "old a.txt", "b.txt": "old b.txt"}


def test_folder_in_the_way_and_file_in_the_path_are_said(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    with pytest.raises(OutputError, match=r"a\.txt.*is a folder"):
        write_new(tmp_path, "a.txt")
    (tmp_path / "file").write_text("mine")
    with pytest.raises(OutputError, match="file"):
        write_new(tmp_path / "file" / "out", "a.txt")
    with pytest.raises(OutputError, match="file"):
        write_new(tmp_path / "file", "a.txt")
    assert (tmp_path / "file").read_text() == "mine"
