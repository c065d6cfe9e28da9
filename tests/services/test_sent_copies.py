"""What a job was sent with stays: its copies of coating system and convention, whatever becomes of their files."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from takeoff.cli.main import run as command
from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.measure import conventions, measure
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import system_findings, with_copies
from takeoff.storage.jobs import load

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
VOB = json.loads(resource("conventions/de-vob.json").read_bytes())


def told(job: Job) -> list[str]:
    return [f.text for f in system_findings(job, measure(job)) if f.code == "convention-copy"]


def billed(folder: Path) -> str:
    return (folder / "bill.csv").read_text() if (folder / "bill.csv").exists() else ""


def walls_billed(tmp_path: Path, *arguments: str) -> str:
    assert command(["measure", *arguments, "-o", str(tmp_path)]) == 0
    (table,) = [p for p in tmp_path.rglob("*.csv") if p.name.endswith("bill.csv")]
    return table.read_text(encoding="utf-8-sig")


def test_job_keeps_the_convention_that_it_was_billed_by(tmp_path) -> None:
    before = walls_billed(tmp_path / "a", str(TERRACE), "--convention", "de-vob")
    written = tmp_path / "a" / "job.json"
    job = load(written.read_bytes(), "job.json")
    assert job.convention_copy == conventions.as_copy(conventions.load("de-vob"))
    # the same job after another edition of the file: its copy deducts by 2.5 m², the file now by 1.0
    other = msgspec.structs.replace(
        job, convention_copy={**VOB, "openings": [{**VOB["openings"][0], "up_to_m2": 1.0}, VOB["openings"][1]]}
    )
    assert told(job) == []
    assert told(other) == [
        "VOB/C, DIN 18350 and DIN 18363 (Germany) says something else by now than when this job took it for its bill: "
        "the job's own copy is used."
    ]
    assert conventions.of_job(other).openings[0].up_to_m2 == 1.0
    assert walls_billed(tmp_path / "b", str(written)) == before


def test_convention_that_is_gone_is_told_in_one_sentence_and_its_copy_used(tmp_path, capsys) -> None:
    own = tmp_path / "ours.json"
    own.write_text(json.dumps({**VOB, "id": "ours", "name": "Our own rules"}))
    before = walls_billed(tmp_path / "a", str(TERRACE), "--convention", str(own))
    own.unlink()
    job = tmp_path / "a" / "job.json"
    capsys.readouterr()
    assert walls_billed(tmp_path / "b", str(job)) == before
    assert "Our own rules is not among the measuring conventions here: the copy that this job keeps is used." in (
        " ".join(capsys.readouterr().out.split())
    )


def test_figure_once_sent_holds_its_system_and_convention(tmp_path) -> None:
    job = msgspec.structs.replace(Job(), convention="uk-smm7")
    sent = with_copies(job)
    assert sent.system_copy is not None
    assert sent.convention_copy == conventions.as_copy(conventions.load("uk-smm7"))
    assert with_copies(sent) is sent
    assert with_copies(Job()).convention_copy is None


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"through_up_to_mm": -1}, "a size or a width in it is less than zero"),
        ({"openings": [{**VOB["openings"][0], "up_to_m2": -2.5}, VOB["openings"][1]]}, "is less than zero"),
    ],
)
def test_convention_with_a_negative_limit_is_refused_in_one_sentence(tmp_path, capsys, change, said) -> None:
    file = tmp_path / "de-vob.json"
    file.write_text(json.dumps({**VOB, **change}))
    with pytest.raises(InputError, match=said):
        conventions.chosen(str(file))
    assert command(["measure", str(TERRACE), "--convention", str(file)]) == 2
    words = capsys.readouterr().err.strip()
    assert words.startswith("takeoff: The measuring convention “de-vob” cannot be used: ")
    assert "\n" not in words


def test_edit_takes_a_copy_with_the_convention() -> None:
    copy = conventions.as_copy(conventions.load("de-vob"))
    job = edits.set_convention(Job(), "de-vob", copy)
    assert conventions.moved_on(job) == ""
    assert conventions.of_job(job) == conventions.load("de-vob")


DEMO = json.loads(resource("systems/demo-lime-foam.json").read_bytes())


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"currency": "QQQ"}, "the currency “QQQ” is none of ISO 4217: give its code, such as EUR or GBP."),
        ({"currency": "euro"}, "currency"),
        ({"kerf_mm": "wide"}, "kerf_mm"),
        ({"colour": "white"}, "colour"),
        ({"coat": None}, "coat"),
    ],
)
def test_system_file_with_a_wrong_field_is_refused_in_one_sentence(tmp_path, capsys, change, said) -> None:
    file = tmp_path / "own.json"
    file.write_text(json.dumps({**DEMO, "id": "own", **change}))
    assert command(["measure", str(TERRACE), "--system", str(file)]) == 2
    words = capsys.readouterr().err.strip()
    assert words.startswith("takeoff: own.json")
    assert said in words
    assert "\n" not in words


def test_system_file_without_a_field_is_refused_and_names_it(tmp_path, capsys) -> None:
    file = tmp_path / "own.json"
    file.write_text(json.dumps({key: value for key, value in DEMO.items() if key != "base"}))
    assert command(["measure", str(TERRACE), "--system", str(file)]) == 2
    assert "base" in capsys.readouterr().err


def test_job_whose_system_is_gone_is_measured_by_its_copy_and_says_so(tmp_path, capsys) -> None:
    file = tmp_path / "own.json"
    file.write_text(json.dumps({**DEMO, "id": "own", "name": "Our own foam", "demo": False}))
    assert command(["measure", str(TERRACE), "--system", str(file), "-o", str(tmp_path / "a")]) == 0
    file.unlink()
    capsys.readouterr()
    assert command(["measure", str(tmp_path / "a" / "job.json")]) == 0
    words = " ".join(capsys.readouterr().out.split())
    assert (
        "Our own foam is no longer among your coating systems: this job is ordered by the copy that it keeps." in words
    )
