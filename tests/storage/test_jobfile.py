"""The job file: what is saved comes back, and what cannot be saved leaves the old file alone."""

from __future__ import annotations

import errno
import json
import math
import os
import time
import zipfile
from pathlib import Path

import numpy as np
import pytest
from make_samples import sample
from msgspec.structs import replace
from stored_content import assert_same, full_content, kitchen_drawing, kitchen_job

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.errors import InputError, OutputError
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import Job
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Content, SourceFile
from takeoff.storage.jobfile import is_job_file, load, save


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kitchen.takeoff"


def test_everything_in_a_job_file_comes_back(path: Path) -> None:
    content = full_content()
    save(path, content)
    back = load(path)
    assert_same(back, content)
    assert back.drawings[FIRST].lines.segments.tolist() == kitchen_drawing().lines.segments.tolist()
    assert not back.drawings[FIRST].lines.segments.flags.writeable
    assert back.drawings[FIRST].labels[0].text == "Küche 20,0 m²"
    assert [picture.suffix for picture in back.pictures] == [".jpg", ".png"]


def test_a_job_alone_and_an_empty_one_come_back(path: Path) -> None:
    for job in (Job(), kitchen_job()):
        save(path, Content(job))
        assert load(path) == Content(job)


def test_a_drawing_without_lines_comes_back(path: Path) -> None:
    save(path, Content(Job(), {FIRST: Drawing("empty.dxf", (), Linework())}))
    back = load(path).drawings[FIRST]
    assert back is not None
    assert back.lines.segments.shape == (0, 4)
    assert back.lines.arcs.shape == (0, 5)


def test_the_job_in_the_file_is_the_published_json(path: Path) -> None:
    save(path, full_content())
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        job = archive.read("job.json")
        head = json.loads(archive.read("format.json"))
    assert json.loads(job) == json.loads(jobs.dump(kitchen_job()))
    assert (head["format"], head["version"]) == ("takeoff-file", jobfile.VERSION)


def test_the_same_content_gives_the_same_bytes(tmp_path: Path) -> None:
    save(tmp_path / "a.takeoff", full_content())
    save(tmp_path / "b.takeoff", full_content())
    assert (tmp_path / "a.takeoff").read_bytes() == (tmp_path / "b.takeoff").read_bytes()


def test_a_job_file_is_known_by_what_stands_in_it(tmp_path: Path, path: Path) -> None:
    save(path, full_content())
    assert is_job_file(path)
    with zipfile.ZipFile(path) as archive, zipfile.ZipFile(tmp_path / "again.zip", "w") as other:
        for name in reversed(archive.namelist()):
            other.writestr(name, archive.read(name))
    assert is_job_file(tmp_path / "again.zip")
    assert load(tmp_path / "again.zip").job == kitchen_job()
    (tmp_path / "text.takeoff").write_text("format.json")
    assert not is_job_file(tmp_path / "text.takeoff")
    assert not is_job_file(tmp_path / "none.takeoff")


@pytest.mark.parametrize("version", range(1, jobfile.VERSION + 1))
def test_every_older_version_has_its_sample_and_opens(version: int) -> None:
    assert load(sample(version)).job == kitchen_job()
    assert_same(load(sample(version)), full_content())


def test_an_old_file_is_brought_up_to_date_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    to_second = jobfile.MIGRATIONS[1]

    def named_anew(parts: dict[str, bytes]) -> dict[str, bytes]:
        parts = to_second(parts)
        parts["view.json"] = b'{"zoom": 1.0}'
        return parts

    def without_source(parts: dict[str, bytes]) -> dict[str, bytes]:
        return {name: data for name, data in parts.items() if not name.startswith("source/")}

    monkeypatch.setattr(jobfile, "VERSION", 3)
    monkeypatch.setattr(jobfile, "MIGRATIONS", {1: named_anew, 2: without_source})
    back = load(sample(1))
    assert back.job == kitchen_job()
    assert back.view == {"zoom": 1.0}
    assert back.source is None


def test_a_version_without_a_way_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobfile, "MIGRATIONS", {})
    with pytest.raises(InputError, match="format 1, from which no way leads to 2"):
        load(sample(1))


def not_saved(path: Path, content: Content) -> str:
    """The refusal; the old file must be untouched and nothing may stand beside it."""
    before = path.read_bytes()
    with pytest.raises(OutputError) as error:
        save(path, content)
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    return str(error.value)


@pytest.fixture
def old(path: Path) -> Path:
    save(path, Content(kitchen_job(900.0)))
    return path


def test_a_width_that_is_no_number_is_not_saved(old: Path) -> None:
    said = not_saved(old, Content(kitchen_job(math.nan)))
    assert "storeys[0].openings[0].width_mm" in said


def test_a_wall_in_infinity_is_not_saved(old: Path) -> None:
    for bad in (math.nan, math.inf, -math.inf):
        lines = Linework(np.array([[0.0, 0.0, bad, 0.0]]))
        assert "a coordinate in it is no number" in not_saved(
            old, Content(Job(), {FIRST: Drawing("a.dxf", (Layer("0"),), lines)})
        )
        drawing = kitchen_drawing()
        label = replace(drawing.labels[0], x=bad)
        assert "no number" in not_saved(old, Content(Job(), {FIRST: replace(drawing, labels=(label,))}))


def test_a_view_and_a_name_that_cannot_be_kept_are_not_saved(old: Path) -> None:
    assert "view" in not_saved(old, Content(Job(), view={"zoom": math.nan}))
    assert "plain name" in not_saved(old, Content(Job(), source=SourceFile("../up.dxf", b"x")))


def test_a_value_of_a_wrong_kind_is_not_saved(old: Path) -> None:
    assert "must be text" in not_saved(old, Content(Job(name=7)))  # type: ignore[arg-type]


def test_what_an_edit_spoils_is_noticed_although_the_rest_is_known(old: Path) -> None:
    known = kitchen_job()
    storey = known.storeys[0]
    for spoilt in (
        replace(storey, openings=(replace(storey.openings[0], head_mm=math.inf),)),
        replace(storey, height_mm=math.nan),
        replace(storey, rooms=(replace(storey.rooms[0], name=3),)),
    ):
        job = replace(known, storeys=(spoilt,))
        with pytest.raises(OutputError):
            save(old, Content(job), known)
    edited = replace(known, storeys=(replace(storey, height_mm=2500.0),))
    save(old, Content(edited), known)
    assert load(old).job == edited


def test_a_full_disk_leaves_the_old_file(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, data: bytes) -> int:
        with self.open("wb") as file:
            file.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    said = not_saved(old, full_content())
    assert "the disk is full" in said
    assert said.count(".") >= 1
    assert "\n" not in said
    monkeypatch.undo()
    assert load(old).job == kitchen_job(900.0)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights of folders are set otherwise here")
def test_a_folder_that_may_not_be_written_leaves_the_old_file(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if os.geteuid() == 0:  # the administrator may write everywhere, so the system's answer is played

        def denied(path: object, *more: object, **others: object) -> int:
            raise PermissionError(errno.EACCES, "Permission denied")

        monkeypatch.setattr(os, "open", denied)
    else:
        old.parent.chmod(0o500)
    try:
        assert "may not be written to" in not_saved(old, full_content())
    finally:
        monkeypatch.undo()
        old.parent.chmod(0o700)


def test_a_folder_of_that_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "kitchen.takeoff").mkdir()
    with pytest.raises(OutputError, match="folder of that name"):
        save(tmp_path / "kitchen.takeoff", full_content())
    with pytest.raises(InputError, match="is a folder"):
        load(tmp_path / "kitchen.takeoff")


def test_a_file_that_is_not_there_is_named(path: Path) -> None:
    with pytest.raises(InputError, match=r"kitchen\.takeoff” does not exist"):
        load(path)


def test_what_a_killed_save_left_is_cleared_and_nothing_else(path: Path) -> None:
    long_ago = time.time() - 3600
    names = {
        "killed": ".kitchen.0123456789ab.part.takeoff",
        "running": ".kitchen.ba9876543210.part.takeoff",
        "other": ".kitchens.0123456789ab.part.takeoff",
    }
    for what, name in names.items():
        (path.parent / name).write_bytes(b"half")
        if what != "running":
            os.utime(path.parent / name, (long_ago, long_ago))
    save(path, Content(Job()))
    left = {p.name for p in path.parent.iterdir()}
    assert left == {path.name, names["running"], names["other"]}
