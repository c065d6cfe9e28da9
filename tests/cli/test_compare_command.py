"""`takeoff compare`: what it writes, what it asks, and one sentence for what cannot be compared."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import ezdxf
import pytest
from ezdxf.math import Matrix44
from PIL import Image

from takeoff.cli.main import run
from takeoff.services.opened.job_store import load_job

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def proposed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("proposed") / "house.json"
    assert run(["job", str(SAMPLES / "terrace_ground.dxf"), "-o", str(path)]) == 0
    return path


@pytest.fixture
def job(proposed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(proposed, tmp_path))


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


REV_B = str(SAMPLES / "terrace_ground_rev_b.dxf")


def changed(path: Path) -> list[str]:
    return [room["name"] for room in json.loads(path.read_bytes())["rooms"] if room["change"] != "same"]


def test_two_pairs_of_places_set_the_drawing_down(job: Path, tmp_path: Path) -> None:
    """On the same corners one room is otherwise; a bay of 1.90 m to the right much is."""
    right, wrong = tmp_path / "right.json", tmp_path / "wrong.json"
    pairs = ("--same-place", "0 0 = 0 0", "--same-place", "0 5 = 0 5.00")
    assert run(["compare", str(job), REV_B, *pairs, "--json", str(right)]) == 0
    assert changed(right) == ["Kitchen"]
    pairs = ("--same-place", "0 0 = 1.90 0", "--same-place", "0 5000mm = 1900mm 5", "--onto", "Ground floor")
    assert run(["compare", str(job), REV_B, *pairs, "--even-so", "--json", str(wrong)]) == 0
    laid = json.loads(wrong.read_bytes())["placement"]["storeys"][0]
    assert laid["dx_mm"] == pytest.approx(1900.0, abs=0.01)
    assert len(changed(wrong)) > 1


def test_a_handed_plot_is_set_down_mirrored(job: Path, tmp_path: Path) -> None:
    """Hall's left wall on its left wall, upside down: only turned half round it would lie beside the house."""
    found = tmp_path / "found.json"
    pairs = ("--same-place", "0 0 = 0 5", "--same-place", "0 5 = 0 0")
    assert run(["compare", str(job), REV_B, *pairs, "--even-so", "--json", str(found)]) == 0
    assert json.loads(found.read_bytes())["placement"]["storeys"][0]["mirrored"]


@pytest.mark.parametrize(
    ("extra", "told"),
    [
        (("--same-place", "0 0 = 0 0"), "exactly two pairs"),
        (("--same-place", "0 0", "--same-place", "0 5 = 0 5"), "not one place in two plans"),
        (("--same-place", "0 0 = 0 0", "--same-place", "0 5 = 0 8"), "choose the same two"),
        (("--same-place", "0 0 = 0 0", "--same-place", "0 0 = 0 0"), "too near to each other"),
        (("--same-place", "0 0 = 0 0", "--same-place", "0 5 = 0 5", "--onto", "Cellar"), "Name the storey"),
        (("--refuse", "Cellar"), "No room called “Cellar” has changed"),
    ],
)
def test_places_and_names_that_cannot_be(
    job: Path, extra: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert run(["compare", str(job), REV_B, *extra]) == 2
    said = capsys.readouterr().err.strip().splitlines()
    assert len(said) == 1
    assert told in said[0]


def test_refused_rooms_stay_as_they_were_and_are_listed(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert run(["compare", str(job), REV_B, "--refuse", "kitchen", "-o", str(out), "--accept"]) == 0
    told = capsys.readouterr().out
    assert "Nothing changes." in told
    assert "Kitchen: altered" in told.split("Refused, left as it was")[1]
    assert load_job(out / "job.json").job.storeys == load_job(job).job.storeys
    value = json.loads((out / "difference.json").read_bytes())
    assert [room["name"] for room in value["refused"]] == ["Kitchen"]


def said_of(job: Path, capsys: pytest.CaptureFixture[str], *news: Path, code: int = 0) -> list[str]:
    """The lines that the command says of these drawings; the job stays byte for byte as it was."""
    before = job.read_bytes()
    capsys.readouterr()
    assert run(["compare", str(job), *map(str, news)]) == code
    assert job.read_bytes() == before
    said = capsys.readouterr()
    return [line.removeprefix("  - ") for line in (said.err if code == 2 else said.out).strip().splitlines()]


def test_a_new_drawing_that_is_a_job(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = said_of(job, capsys, job)
    assert lines.count("house.json is a job, not a drawing: check that its rooms are as they were drawn.") == 1
    assert lines[0] == "Nothing changes."


@pytest.mark.parametrize("name", ["new.png", "new.dxf"])
def test_a_new_drawing_that_is_a_picture(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    Image.new("RGB", (400, 300), "white").save(tmp_path / name, format="PNG")
    (line,) = said_of(job, capsys, tmp_path / name, code=2)
    assert f"{name} is a picture (400 × 300 pixels) without lines to measure." in line


def test_a_new_drawing_without_rooms(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = ezdxf.new()
    for k in range(5):
        document.modelspace().add_line((0, 1000 * k), (5000, 1000 * k + 300))
    document.saveas(tmp_path / "new.dxf")
    (line,) = said_of(job, capsys, tmp_path / "new.dxf", code=2)
    assert "No room was found in new.dxf, so nothing was compared: open it by itself to see why." in line


def test_a_job_without_rooms(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = ezdxf.new()
    document.modelspace().add_line((0, 0), (5000, 300))
    document.saveas(tmp_path / "old.dxf")
    (line,) = said_of(tmp_path / "old.dxf", capsys, job, code=2)
    assert "old.dxf has no room to compare with: open it in the window and add its rooms." in line


@pytest.mark.parametrize(("factor", "unit"), [(0.001, 4), (0.1, 4), (1 / 304.8, 0)])
def test_another_unit_without_saying_so(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], factor: float, unit: int
) -> None:
    """Metres and centimetres that call themselves millimetres, feet that say nothing: the same rooms, or it is asked
    what they are; never a house of another size without a word."""
    document = ezdxf.readfile(SAMPLES / "terrace_ground.dxf")
    for entity in list(document.modelspace()):
        entity.transform(Matrix44.scale(factor))
    document.header["$INSUNITS"] = unit
    document.saveas(tmp_path / "new.dxf")
    capsys.readouterr()
    code = run(["compare", str(job), str(tmp_path / "new.dxf")])
    said = capsys.readouterr().out
    if code == 0:
        assert "Nothing changes." in said
        assert "100% of its rooms and 100% of its walls fit" in said
    else:
        assert code == 1
        assert "say its unit" in said


def test_a_revision_older_than_the_job_s(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    late = tmp_path / "b.json"
    assert run(["job", str(SAMPLES / "terrace_ground_rev_b.dxf"), "-o", str(late)]) == 0
    lines = said_of(late, capsys, SAMPLES / "terrace_ground.dxf")
    told = "terrace_ground.dxf is revision A, but the job has revision B already: check that it is the later one."
    assert lines.count(told) == 1


def test_the_drawing_that_the_job_is_from(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = said_of(job, capsys, SAMPLES / "terrace_ground.dxf")
    assert lines[0] == "Nothing changes."
    assert "terrace_ground.dxf is the drawing that this job was made from: nothing in it has changed." in lines


def test_a_storey_that_is_in_no_new_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = tmp_path / "both.json"
    plans = [str(SAMPLES / f"terrace_{name}.dxf") for name in ("ground", "first")]
    assert run(["job", *plans, "-o", str(both)]) == 0
    lines = said_of(both, capsys, SAMPLES / "terrace_first_rev_b.dxf")
    assert lines.count("GROUND FLOOR is in none of the new drawings: it stays as it is.") == 1


@pytest.mark.parametrize(("name", "said"), [("new.dxf", "does not exist"), (".", "is a folder")])
def test_a_new_drawing_that_is_no_file(job: Path, capsys: pytest.CaptureFixture[str], name: str, said: str) -> None:
    (line,) = said_of(job, capsys, Path(name), code=2)
    assert said in line
