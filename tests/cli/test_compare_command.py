"""`takeoff compare`: what it writes, what it asks, and one sentence for what cannot be compared."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from takeoff.cli.main import run

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "house.json"
    assert run(["job", str(SAMPLES / "terrace_ground.dxf"), "-o", str(path)]) == 0
    return path


def test_json_to_standard_output(job: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    capfdbinary.readouterr()
    assert run(["compare", str(job), str(SAMPLES / "terrace_ground_rev_b.dxf"), "--json", "-"]) == 0
    value = json.loads(capfdbinary.readouterr().out)
    assert {room["name"]: room["change"] for room in value["rooms"]}["Kitchen"] == "altered"
    assert sum(room["change"] != "same" for room in value["rooms"]) == 1


def test_a_folder_with_the_variation_and_the_job(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run(["compare", str(job), str(SAMPLES / "terrace_ground_rev_b.dxf"), "-o", str(out), "--accept"]) == 0
    assert {path.name for path in out.iterdir()} == {"variation.pdf", "variation.xlsx", "difference.json", "job.json"}


def test_another_building_asks_and_writes_nothing(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    capsys.readouterr()
    assert run(["compare", str(job), str(SAMPLES / "loft.dxf"), "-o", str(out)]) == 1
    said = capsys.readouterr()
    assert "Another plan?" in said.out
    assert "--even-so" in said.err
    assert not out.exists()
    assert run(["compare", str(job), str(SAMPLES / "loft.dxf"), "-o", str(out), "--even-so"]) == 0
    assert out.exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "new.dxf has no lines to measure"),
        (b"\x89PNG\r\n\x1a\n", "new.dxf"),
    ],
)
def test_what_cannot_be_compared_is_one_sentence(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, said: str
) -> None:
    new = tmp_path / "new.dxf"
    new.write_bytes(content)
    before = job.read_bytes()
    capsys.readouterr()
    assert run(["compare", str(job), str(new)]) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert len(lines) == 1
    assert said in lines[0]
    assert job.read_bytes() == before


def test_the_same_new_drawing_twice(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = str(SAMPLES / "terrace_ground_rev_b.dxf")
    assert run(["compare", str(job), new, new]) == 2
    assert "is given twice" in capsys.readouterr().err
