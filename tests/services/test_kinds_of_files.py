"""A file is told by its content; what cannot be measured is refused in one sentence that says what to do."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from takeoff.errors import InputError
from takeoff.plan.model import Job
from takeoff.services.opened.opening import kind_of
from takeoff.storage import jobfile
from takeoff.storage.content import Content


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"  0\nSECTION\n  2\nHEADER\n", "drawing"),
        (b"999\nmade by hand\n  0\nSECTION\n", "drawing"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00\x00\x00SECTION\x00", "drawing"),
        (b'{"schema": "takeoff-job/2"}', "job"),
        (b'\xef\xbb\xbf \n{"schema": "takeoff-job/2"}', "job"),
        (b"[1, 2]", "job"),
        (b"%PDF-1.7\n", "pdf"),
        (b"junk before\n%PDF-1.4\n", "pdf"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"\xff\xd8\xff\xe0", "picture"),
        (b"II*\x00\x08\x00\x00\x00", "picture"),
    ],
)
@pytest.mark.parametrize("name", ["plan.dxf", "plan.json", "plan"])
def test_kind_goes_by_content_whatever_the_name(tmp_path: Path, content: bytes, kind: str, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert kind_of(path) == kind


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b" \n\t\n", "only blanks"),
        (b"AC1032\x00\x00\x00\x00", "is a DWG"),
        (b"AC1015\x00\x05\x00", "is a DWG"),
        (b"PK\x03\x04rest", "is a zip archive"),
        (bytes(range(256)), "binary data of another kind"),
    ],
)
def test_other_files_are_refused_with_name_and_reason(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "plan.dxf"
    path.write_bytes(content)
    with pytest.raises(InputError, match=words) as caught:
        kind_of(path)
    assert "plan.dxf" in str(caught.value)
    assert str(caught.value).endswith(".")


def test_words_in_a_file_that_is_called_json_are_a_damaged_job_and_no_drawing(tmp_path: Path) -> None:
    path = tmp_path / "mill.json"
    path.write_text("what the mail left of it", encoding="utf-8")
    assert kind_of(path) == "job"


@pytest.mark.parametrize("name", ["plan.takeoff", "plan.dxf", "plan"])
def test_a_job_with_its_drawing_is_a_job_whatever_its_name_even_when_cut_short(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    jobfile.save(path, Content(Job(name="Demo")))
    assert kind_of(path) == "job"
    path.write_bytes(path.read_bytes()[:-30])
    assert kind_of(path) == "job"


def test_missing_file_folder_and_pipe_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="does not exist"):
        kind_of(tmp_path / "none.dxf")
    with pytest.raises(InputError, match="is a folder"):
        kind_of(tmp_path)
    os.mkfifo(tmp_path / "pipe.dxf")
    with pytest.raises(InputError, match="not an ordinary file"):
        kind_of(tmp_path / "pipe.dxf")
    with pytest.raises(InputError, match="too long"):
        kind_of(tmp_path / ("x" * 300))
    with pytest.raises(InputError, match="does not exist"):
        kind_of(tmp_path / "none.dxf" / "plan.dxf")
