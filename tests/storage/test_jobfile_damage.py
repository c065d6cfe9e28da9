"""Job files that are newer, damaged, foreign or hostile."""

from __future__ import annotations

import io
import json
import random
import struct
import warnings
import zipfile
from pathlib import Path

import msgspec
import numpy as np
import pytest
from stored_content import full_content, kitchen_job

from takeoff.errors import InputError
from takeoff.storage import container, jobfile
from takeoff.storage.content import LARGEST_VIEW_BYTES, Content
from takeoff.storage.jobfile import DamagedFile, load, recover, save


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "kitchen.takeoff"
    save(path, full_content())
    return path


def parts_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def rewrite(path: Path, parts: dict[str, bytes]) -> None:
    path.write_bytes(container.write(parts))


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as error:
        load(path)
    said = str(error.value)
    assert path.name in said
    assert said.endswith(".")
    assert "\n" not in said
    return said


def spoil(path: Path, part: str) -> None:
    """One wrong byte in the middle of a part's packed bytes."""
    with zipfile.ZipFile(path) as archive:
        entry = archive.getinfo(part)
    data = bytearray(path.read_bytes())
    start = entry.header_offset + 30 + len(part)
    data[start + entry.compress_size // 2] ^= 0xFF
    path.write_bytes(data)


def test_a_newer_file_is_refused_in_plain_words(path: Path) -> None:
    parts = parts_of(path)
    parts["format.json"] = b'{"format": "takeoff-file", "version": 99, "new": [1]}'
    parts["something/new.bin"] = b"x"
    rewrite(path, parts)
    said = refusal(path)
    assert said == (
        "kitchen.takeoff was saved by a newer version of the program (file format 99, here up to 2): install the newer "
        "version, or the part “something/new.bin” is lost."
    )
    with pytest.raises(InputError, match="newer version"):
        recover(path)


def test_a_newer_job_in_the_file_is_refused(path: Path) -> None:
    parts = parts_of(path)
    parts["job.json"] = parts["job.json"].replace(b"takeoff-job/2", b"takeoff-job/99")
    rewrite(path, parts)
    assert "newer version" in refusal(path)


@pytest.mark.parametrize(
    ("part", "lost"),
    [
        ("drawings/d1/segments.npy", "drawing"),
        ("drawings/d1/words.msgpack", "drawing"),
        ("view.json", "view"),
        ("findings.json", "findings"),
        ("source/kitchen.dxf", "kitchen.dxf"),
    ],
)
def test_a_damaged_part_is_named_and_the_rest_recovered(path: Path, part: str, lost: str) -> None:
    spoil(path, part)
    with pytest.raises(DamagedFile, match="recover what is left"):
        load(path)
    content, findings = recover(path)
    assert content.job == kitchen_job()
    assert len(findings) == 1
    assert lost in findings[0].text
    assert findings[0].severity == "check"
    assert len(content.pictures) == 2
    assert (not content.drawings) == (lost == "drawing")


def test_a_damaged_picture_is_lost_alone(path: Path) -> None:
    picture = full_content().pictures[0]
    spoil(path, picture.part)
    content, findings = recover(path)
    assert content.pictures == full_content().pictures[1:]
    assert picture.sha256[:8] in findings[0].text


def test_a_damaged_list_of_parts_loses_nothing_else(path: Path) -> None:
    spoil(path, "format.json")
    content, findings = recover(path)
    assert content.job == kitchen_job()
    assert content.drawings
    assert len(findings) == 1


def test_a_damaged_job_is_not_recovered(path: Path) -> None:
    spoil(path, "job.json")
    with pytest.raises(DamagedFile):
        load(path)
    with pytest.raises(InputError, match="the job in it is missing or damaged"):
        recover(path)


def test_a_file_cut_short_gives_what_came_before_the_cut(path: Path) -> None:
    data = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        job = archive.getinfo("job.json")
        after_job = job.header_offset + 30 + len("job.json") + job.compress_size
    recovered = 0
    for length in range(len(data) - 1, 0, -97):
        path.write_bytes(data[:length])
        refusal(path)
        if length < after_job:
            with pytest.raises(InputError):
                recover(path)
            continue
        content, findings = recover(path)
        assert content.job == kitchen_job()
        assert findings
        recovered += 1
    assert recovered > 10


def test_only_the_directory_lost_means_nothing_lost(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data[: data.index(b"PK\x01\x02")])
    content, findings = recover(path)
    assert content.drawings
    assert [finding.severity for finding in findings] == ["note"]
    assert "save it again" in findings[0].text


def test_bytes_changed_at_random_end_in_a_sentence_or_in_the_same_job(path: Path) -> None:
    data = path.read_bytes()
    dice = random.Random(4)
    outcomes = set()
    for _ in range(400):
        bad = bytearray(data)
        for _ in range(dice.choice((1, 1, 3, 20))):
            bad[dice.randrange(len(bad))] = dice.randrange(256)
        path.write_bytes(bad)
        try:
            assert load(path).job == kitchen_job()
            outcomes.add("whole")
        except InputError:
            try:
                assert recover(path)[0].job == kitchen_job()
                outcomes.add("recovered")
            except InputError:
                outcomes.add("refused")
    assert outcomes >= {"recovered", "refused"}


STRANGE = ["../../up.json", "/etc/passwd", "C:\\x", "drawings/../x", "drawings/d1/../x", "pictures/a.jpg", "x"]


@pytest.mark.parametrize("name", STRANGE)
def test_parts_that_do_not_belong_there_are_refused(path: Path, name: str) -> None:
    rewrite(path, parts_of(path) | {name: b"x"})
    assert "no part of a job file" in refusal(path)


@pytest.mark.parametrize("name", ["heating.json", "clouds/d1/points.npy", "drawings/d1/heights.npy"])
def test_a_part_that_only_a_newer_program_knows_is_named_with_what_would_be_lost(path: Path, name: str) -> None:
    rewrite(path, parts_of(path) | {name: b"x"})
    assert refusal(path) == (
        f"kitchen.takeoff holds “{name}”, no part of a job file here: open it in the newer program that wrote it, or "
        f"“{name}” is lost."
    )


@pytest.mark.parametrize("name", STRANGE[:5])
def test_a_part_that_leads_out_of_its_folder_is_blamed_on_no_newer_program(path: Path, name: str) -> None:
    rewrite(path, parts_of(path) | {name: b"x"})
    assert "newer" not in refusal(path)


def test_a_field_of_the_job_that_only_a_newer_program_knows_is_named_with_the_file(path: Path) -> None:
    parts = parts_of(path)
    tree = json.loads(parts["job.json"])
    tree["storeys"][0]["heating"] = "underfloor"
    rewrite(path, parts | {"job.json": json.dumps(tree).encode()})
    assert refusal(path) == (
        "kitchen.takeoff: storeys[0]: the field “heating” is not known; a newer program may have written it: open the "
        "file there, or take the field out and lose 'underfloor'."
    )


def test_a_field_of_the_findings_that_only_a_newer_program_knows_is_named(path: Path) -> None:
    parts = parts_of(path)
    found = json.loads(parts["findings.json"])
    found[0]["photo"] = 1
    rewrite(path, parts | {"findings.json": json.dumps(found).encode()})
    assert refusal(path) == (
        "kitchen.takeoff: The findings of reading in it have the field “photo” of a newer program: open it there, or "
        "they are lost."
    )


@pytest.mark.parametrize("inside", [False, True])
def test_a_field_of_a_drawing_that_only_a_newer_program_knows_is_named(path: Path, inside: bool) -> None:
    parts = parts_of(path)
    (name,) = [part for part in parts if part.endswith("words.msgpack")]
    words = msgspec.msgpack.decode(parts[name])
    (words["layers"][0] if inside else words)["plotted"] = True
    rewrite(path, parts | {name: msgspec.msgpack.encode(words)})
    assert refusal(path) == (
        "kitchen.takeoff: The drawing in it has the field “plotted” of a newer program: open it there, or it is lost."
    )
    content, lost = recover(path)
    assert content.job == kitchen_job()
    assert [f.code for f in lost] == ["job-file-damaged"]


def test_a_field_of_the_list_of_parts_that_only_a_newer_program_knows_is_named(path: Path) -> None:
    parts = parts_of(path)
    head = json.loads(parts["format.json"]) | {"sealed": True}
    rewrite(path, parts | {"format.json": json.dumps(head).encode()})
    assert refusal(path) == (
        "The format.json of kitchen.takeoff has the field “sealed” of a newer program: open it there, or it is lost."
    )


def test_a_part_that_stands_twice_is_refused(path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # the zip library warns its writers of this
        with zipfile.ZipFile(path, "a") as archive:
            archive.writestr("job.json", b"{}")
    assert "twice" in refusal(path)
    with pytest.raises(InputError, match="twice"):
        recover(path)


def test_a_small_file_that_unpacks_to_a_huge_one_is_refused_before_it_is_unpacked(path: Path) -> None:
    parts = parts_of(path)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
        archive.writestr("source/bomb", b"\0" * (container.FREE_BYTES + 1))
    path.write_bytes(out.getvalue())
    assert "would unpack to" in refusal(path)


def test_a_size_that_lies_is_found_out(path: Path) -> None:
    """The header says 10 bytes, the stream holds a hundred thousand."""
    rewrite(path, {"format.json": parts_of(path)["format.json"], "job.json": b" " * 100_000})
    data = path.read_bytes()
    path.write_bytes(data.replace(struct.pack("<I", 100_000), struct.pack("<I", 10)))
    refusal(path)


def test_too_many_parts_are_refused(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(container, "MOST_PARTS", 5)
    assert "far more than a job file" in refusal(path)


def test_a_huge_part_is_refused(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(container, "LARGEST_PART_BYTES", 100)
    assert "would unpack to" in refusal(path)


def test_other_zips_and_other_files_are_no_job_files(path: Path) -> None:
    rewrite(path, {"word/document.xml": b"<x/>"})
    assert "no job file" in refusal(path)
    for data in (b"", b"0\nSECTION\n", b"PK\x03\x04", b"PK\x03\x04" + b"\0" * 40):
        path.write_bytes(data)
        refusal(path)
    rewrite(path, {"format.json": b'{"format": "photos", "version": 1}', "job.json": b"{}"})
    assert "photos" in refusal(path)


def test_an_array_that_claims_more_than_it_holds_is_refused(path: Path) -> None:
    parts = parts_of(path)
    huge = parts["drawings/d1/segments.npy"].replace(b"(3, 4), }" + b" " * 9, b"(3000000000, 4), }")
    assert huge != parts["drawings/d1/segments.npy"]
    for bad in (huge, np_bytes(np.zeros((3, 3))), np_bytes(np.zeros((3, 4), np.float32)), b"", b"\x93NUMPY"):
        rewrite(path, parts | {"drawings/d1/segments.npy": bad})
        assert "segments" in refusal(path)
        assert recover(path)[0].drawings == {}


def np_bytes(array: np.ndarray) -> bytes:
    out = io.BytesIO()
    np.save(out, array)
    return out.getvalue()


def test_pickled_objects_are_never_run(path: Path) -> None:
    bad = np_bytes_of_objects()
    rewrite(path, parts_of(path) | {"drawings/d1/segments.npy": bad})
    assert "segments" in refusal(path)


def np_bytes_of_objects() -> bytes:
    out = io.BytesIO()
    np.save(out, np.array([[{}, 0, 0, 0]], dtype=object), allow_pickle=True)
    return out.getvalue()


def test_lines_on_a_layer_that_is_not_there_are_refused(path: Path) -> None:
    for bad in ([0, 1, 7], [0, 1, -1], [0, 1]):
        rewrite(path, parts_of(path) | {"drawings/d1/segment_layer.npy": np_bytes(np.array(bad, np.int32))})
        assert "do not fit its layers" in refusal(path)


def test_a_coordinate_that_is_no_number_is_refused_on_opening(path: Path) -> None:
    rewrite(path, parts_of(path) | {"drawings/d1/arcs.npy": np_bytes(np.full((1, 5), np.nan))})
    assert "no number" in refusal(path)
    save(path, full_content())
    parts = parts_of(path)
    wrong = struct.pack(">d", 2500.0), struct.pack(">d", float("inf"))
    words = parts["drawings/d1/words.msgpack"].replace(*wrong)
    rewrite(path, parts | {"drawings/d1/words.msgpack": words})
    assert "no number" in refusal(path)


def test_a_missing_part_of_the_drawing_is_said(path: Path) -> None:
    parts = parts_of(path)
    del parts["drawings/d1/arcs.npy"]
    head = json.loads(parts["format.json"])
    head["parts"].remove("drawings/d1/arcs.npy")
    rewrite(path, parts | {"format.json": json.dumps(head).encode()})
    assert "arcs.npy" in refusal(path)


def test_a_view_out_of_all_bounds_is_left_out_on_recovery(path: Path) -> None:
    rewrite(path, parts_of(path) | {"view.json": b'{"a": "' + b"x" * LARGEST_VIEW_BYTES + b'"}'})
    assert "view" in refusal(path)
    content, findings = recover(path)
    assert content.view == {}
    assert "view" in findings[0].text


def test_a_picture_under_the_digest_of_another_is_refused(path: Path) -> None:
    rewrite(path, parts_of(path) | {full_content().pictures[0].part: b"forged"})
    assert "not the one that was saved" in refusal(path)


def test_the_smallest_file_is_sound(path: Path) -> None:
    save(path, Content(kitchen_job()))
    assert recover(path)[0] == load(path)
    assert jobfile.begins_job_file(path.read_bytes()[:100])


@pytest.mark.parametrize(
    "header", [b"{'descr': (", b"{'descr'", b"[[[[", b"'''", b"{'descr': '<f8', 'fortran_order': 1/0"]
)
def test_an_array_header_that_is_no_python_is_refused_in_plain_words(path: Path, header: bytes) -> None:
    parts = parts_of(path)
    whole = parts["drawings/d1/segments.npy"]
    room = int.from_bytes(whole[8:10], "little")
    rewrite(path, parts | {"drawings/d1/segments.npy": whole[:10] + header.ljust(room)[:room] + whole[10 + room :]})
    assert "cannot be read" in refusal(path)
    content, lost = recover(path)
    assert content.drawings == {}
    assert [f.code for f in lost] == ["job-file-damaged"]
