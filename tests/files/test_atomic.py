import errno
import os
from pathlib import Path

import pytest

from takeoff.errors import OutputError
from takeoff.files.atomic import make_folder, write_bytes, writing


def test_a_file_is_written_and_nothing_else_is_left(tmp_path):
    target = tmp_path / "job.json"
    write_bytes(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_an_old_file_is_replaced_and_keeps_its_rights(tmp_path):
    target = tmp_path / "job.json"
    target.write_bytes(b"old")
    target.chmod(0o640)
    write_bytes(target, b"new")
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640


def test_the_file_beside_has_the_suffix_that_writers_insist_on(tmp_path):
    with writing(tmp_path / "sheet.xlsx") as beside:
        assert beside.parent == tmp_path
        assert beside.suffix == ".xlsx"
        beside.write_bytes(b"x")
    assert (tmp_path / "sheet.xlsx").read_bytes() == b"x"


def test_a_writer_that_fails_leaves_the_old_file_and_no_other(tmp_path):
    target = tmp_path / "sheet.pdf"
    target.write_bytes(b"old")

    def fail() -> None:
        with writing(target) as beside:
            beside.write_bytes(b"half")
            raise RuntimeError("writer broke")

    with pytest.raises(RuntimeError, match="writer broke"):
        fail()
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_full_disk_is_told_and_leaves_the_old_file(tmp_path, monkeypatch):
    target = tmp_path / "job.json"
    target.write_bytes(b"old")

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="disk is full"):
        write_bytes(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_that_may_not_be_written_is_told(tmp_path, monkeypatch):
    def refuse(*_: object) -> int:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(OutputError, match="may not be written"):
        write_bytes(tmp_path / "job.json", b"new")
    assert list(tmp_path.iterdir()) == []


def test_a_target_that_is_a_folder_is_refused(tmp_path):
    with pytest.raises(OutputError, match="folder of that name"):
        write_bytes(tmp_path, b"new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["none/job.json", "file/job.json", "a" * 300, "x\0y"])
def test_a_path_that_cannot_be_is_told_in_one_sentence(tmp_path, name):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError) as error:
        write_bytes(tmp_path / name, b"new")
    assert str(error.value).endswith(".")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_saving_over_a_link_changes_the_file_it_points_to(tmp_path):
    real = tmp_path / "real.json"
    real.write_bytes(b"old")
    link = tmp_path / "link.json"
    link.symlink_to(real)
    write_bytes(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_a_folder_is_made_with_those_above_it(tmp_path):
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_folder_where_a_file_lies_is_refused(tmp_path):
    Path(tmp_path / "a").write_bytes(b"")
    with pytest.raises(OutputError, match="not a folder"):
        make_folder(tmp_path / "a")
    with pytest.raises(OutputError):
        make_folder(tmp_path / "a" / "b")
