"""A set of files comes into a folder together or not at all, also where the program is killed in between."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from takeoff.errors import OutputError
from takeoff.files import together
from takeoff.files.atomic import write_bytes
from takeoff.files.together import PREFIX, all_or_nothing, finish

KILLED = Path(__file__).with_name("killed_moves.py")


def write_new(folder: Path, *names: str, then: BaseException | None = None) -> None:
    with all_or_nothing(folder) as beside:
        for name in names:
            (beside / name).write_text("new")
        if then is not None:
            raise then


def tree(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*") if p.is_file()}


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

    monkeypatch.setattr(together.os, "replace", full_disk)
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


KILLING = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from killed_moves import killed_at_each
from takeoff.files import together
from takeoff.files.atomic import write_bytes

folder, fails = Path(sys.argv[2]), sys.argv[3] == "fails"
NAMES = ("a.txt", "b.txt", "c.txt", "tables/d.txt")
OLD = {"a.txt": b"old a.txt", "b.txt": b"old b.txt", "mine.txt": b"mine"}
NEW = {"mine.txt": b"mine", **{name: f"new {name}".encode() for name in NAMES}}

def tree():
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

def begin():
    for name in tree():
        (folder / name).unlink()
    for name, data in OLD.items():
        (folder / name).write_bytes(data)

def work():
    if fails:
        replace = together.os.replace
        def full(source, target):
            if Path(target) == folder / "c.txt":
                raise OSError(28, "No space left on device")
            replace(source, target)
        together.os.replace = full
    with together.all_or_nothing(folder) as beside:
        (beside / "tables").mkdir()
        for name in NAMES:
            write_bytes(beside / name, NEW[name])

folder.mkdir(exist_ok=True)
begin()
seen = []
for moment in killed_at_each(work):
    left = {name: data for name, data in tree().items() if not name.startswith(together.PREFIX)}
    assert OLD.keys() <= left.keys(), f"{moment}: a file was missing: {left}"
    cut_short = together.finish(folder)
    now = tree()
    assert now in (OLD, NEW), f"{moment}: {now}"
    assert not any(path.name.startswith(together.PREFIX) for path in folder.iterdir()), moment
    assert cut_short or left == now, f"{moment}: nothing was said of it"
    if fails and now == NEW:
        assert cut_short
    seen.append("new" if now == NEW else "old")
    begin()
print(len(seen), seen.count("old"), seen.count("new"))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process that is split in two is there on Unix only")
@pytest.mark.parametrize("way", ["goes well", "fails"])
def test_killed_before_each_change_to_the_disk_the_folder_is_whole_after_the_next_run(tmp_path: Path, way: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", KILLING, str(KILLED.parent), str(tmp_path / "out"), way.partition(" ")[0]],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    kills, old, new = map(int, done.stdout.split())
    assert kills > 30
    assert old > 5
    assert new > 5 or way == "fails"


def test_what_a_run_still_writes_is_left_alone_by_another(tmp_path: Path) -> None:
    with all_or_nothing(tmp_path) as first:
        (first / "a.txt").write_text("first")
        assert not finish(tmp_path)
        write_new(tmp_path, "a.txt", "b.txt")
        assert (first / "a.txt").read_text() == "first"
    assert tree(tmp_path) == {"a.txt": "first", "b.txt": "new"}
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(PREFIX)] == []


def test_no_hidden_name_is_told_where_something_cannot_be_written(tmp_path: Path, monkeypatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="disk is full") as told, all_or_nothing(tmp_path / "out") as beside:
        write_bytes(beside / "scope.pdf", b"x")
    assert str(tmp_path / "out" / "scope.pdf") in str(told.value)
    assert PREFIX not in str(told.value)


def test_nothing_is_finished_in_a_folder_that_is_not_there(tmp_path: Path) -> None:
    assert not finish(tmp_path / "none")
    assert list(tmp_path.iterdir()) == []
