"""What is no readable IFC model is refused in one sentence that names the file and what to do."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import zipfile
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest
from ifc_making import Model, house

from takeoff.errors import InputError
from takeoff.readers.ifc import ifc_file, read
from takeoff.readers.ifc.modelling import model_drawings


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read(path)
    sentence = str(caught.value)
    assert path.name in sentence
    assert "\n" not in sentence
    assert sentence.endswith((".", '".[ifc]"'))  # a command stands without a full stop, to be copied
    return sentence


def refusal_of(data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        model_drawings(data, "model.ifc", "", lambda share, what: None)
    assert "model.ifc" in str(caught.value)
    return str(caught.value)


def file(tmp_path: Path, data: bytes, name: str = "model.ifc") -> Path:
    path = tmp_path / name
    path.write_bytes(data)
    return path


HOUSE = house().text().encode()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b" \n\0", "is empty"),
        (b"hello", "is no IFC model"),
        (b"%PDF-1.7", "is a PDF"),
        (b"AC1032", "is a DWG"),
        (b"<?xml version='1.0'?><ifc/>", "is an XML file"),
        (os.urandom(500), "is no IFC model"),
        (HOUSE[: len(HOUSE) // 2], "is cut off"),
        (
            HOUSE.replace(b"FILE_SCHEMA(('IFC4'))", b"FILE_SCHEMA(('AP214'))").replace(b"IFC", b"XYZ"),
            "STEP file of another kind",
        ),
    ],
)
def test_other_content_is_refused(tmp_path: Path, data: bytes, words: str) -> None:
    assert words in refusal(file(tmp_path, data))


def test_missing_file_and_folder_are_refused(tmp_path: Path) -> None:
    assert "does not exist" in refusal(tmp_path / "none.ifc")
    assert "is a folder" in refusal(tmp_path)


def test_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.ifc"
    with path.open("wb") as out:
        out.truncate(ifc_file.LARGEST_BYTES + 1)
    assert "at most 500 MB" in refusal(path)


def test_zipped_model_is_read_and_others_refused(tmp_path: Path) -> None:
    path = tmp_path / "house.ifczip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("house.ifc", HOUSE)
    assert len(read(path)[0]) == 2
    packed = path.read_bytes()
    assert "damaged zip" in refusal(file(tmp_path, packed[:-30], "cut.ifczip"))
    # Bit 0 of the flags in both headers says that the member is encrypted.
    locked = bytearray(packed)
    locked[6] |= 1
    locked[packed.index(b"PK\x01\x02") + 8] |= 1
    assert "is encrypted" in refusal(file(tmp_path, bytes(locked), "locked.ifczip"))
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "nothing")
    assert "no IFC model in it" in refusal(path)


def test_unknown_schema_is_named() -> None:
    assert "IFC1X5" in refusal_of(HOUSE.replace(b"'IFC4'", b"'IFC1X5'"))


def test_model_without_walls_or_shapes_is_refused() -> None:
    bare = Model()
    bare.storey("Ground", 0)
    assert "no walls and no spaces" in refusal_of(bare.text().encode())
    data_only = Model()
    data_only.element("IFCWALL", "w", "$", data_only.storey("Ground", 0), ",$")
    assert "holds data only" in refusal_of(data_only.text().encode())


@pytest.mark.parametrize("value", ["1.E400", "NAN", "-1.E300"])
def test_coordinates_that_are_no_numbers_leave_an_element_out(value: str) -> None:
    m = house()
    at = next(k for k, line in enumerate(m.lines) if line.startswith("IFCRECTANGLEPROFILEDEF"))
    head, _ = m.lines[at].rsplit(",", 1)
    m.lines[at] = f"{head},{value})"
    try:
        drawings, findings = model_drawings(m.text().encode(), "model.ifc", "", lambda share, what: None)
    except InputError as error:
        assert "model.ifc" in str(error)  # noqa: PT017
    else:
        assert all(abs(d.lines.segments).max() < 1e5 for d in drawings)
        assert {"shapes-missing", "elements-far-away"} & {f.code for f in findings}


def test_library_that_is_missing_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ifc_file.importlib.util, "find_spec", lambda name: None)
    assert f'{sys.executable} -m pip install ".[ifc]"' in refusal(file(tmp_path, HOUSE))


def test_crash_of_the_library_becomes_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ifc_file, "_work", crash)
    assert "has a damaged part" in refusal(file(tmp_path, HOUSE))


def test_reading_that_never_ends_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ifc_file, "_work", sleep)
    monkeypatch.setattr(ifc_file, "STILL_S", 0.5)
    monkeypatch.setattr(ifc_file, "STILL_PER_MB_S", 0.0)
    assert "one of its shapes never ends" in refusal(file(tmp_path, HOUSE))


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="this system counts no work of a process")
def test_a_shape_that_takes_too_much_work_is_given_up_however_slow_the_machine(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ifc_file, "_work", toil)
    assert "one of its shapes never ends" in refusal(file(tmp_path, HOUSE))


def test_process_that_may_have_no_other_reads_by_itself(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    child = context.Process(target=send_count, args=(theirs, file(tmp_path, HOUSE)), daemon=True)
    child.start()
    theirs.close()
    assert ours.recv() == 2
    child.join()
    ours.close()


def send_count(pipe: Any, path: Path) -> None:
    pipe.send(len(read(path)[0]))


def crash(*_: object) -> None:
    os.abort()


def toil(theirs: Connection, name: str, digest: str, limit: int) -> None:
    """Works on in one call of a native library, which no handler of Python's can break into."""
    theirs.recv_bytes()
    ifc_file._work_at_most(0.2)
    pow(7, 10**9)


def sleep(*_: object) -> None:
    import time

    time.sleep(60)


def test_library_is_not_loaded_here(tmp_path: Path) -> None:
    """Reading leaves this process without the library: a crash there can take nothing with it."""
    import subprocess

    path = file(tmp_path, HOUSE)
    program = (
        "import sys\nfrom pathlib import Path\nfrom takeoff.readers.ifc import read\n"
        f"if __name__ == '__main__':\n    read(Path({str(path)!r}))\n"
        "    print('ifcopenshell' in sys.modules)\n"
    )
    script = tmp_path / "script.py"
    script.write_text(program)
    done = subprocess.run(
        [sys.executable, "-W", "error", str(script)], capture_output=True, text=True, timeout=300, check=True
    )
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize("prefix", [b".EXA.", b".KILO.", b".ATTO."])
def test_a_unit_in_which_nobody_builds_is_refused(tmp_path: Path, prefix: bytes) -> None:
    said = refusal(file(tmp_path, HOUSE.replace(b".LENGTHUNIT.,.MILLI.", b".LENGTHUNIT.," + prefix)))
    assert "in which no building is drawn" in said
