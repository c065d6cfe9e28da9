"""What the command is told of the coat: runs of the outline, ceilings, outside walls by a rule."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from takeoff.cli.main import run as command

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
RULE = ("--outside-walls", "600", "--ceiling-band", "600")
NEIGHBOURS = ("--beyond", "left=neighbour", "--beyond", "right=neighbour")


def run(tmp_path: Path, *options: str, file: Path = TERRACE) -> dict:
    assert command(["measure", str(file), "--json", str(tmp_path / "result.json"), *options]) == 0
    return json.loads((tmp_path / "result.json").read_text())


def claims(result: dict) -> list[str]:
    return [f["text"] for f in result["findings"] if f["code"] == "outside-as-drawn"]


def test_outside_walls_by_the_command_are_what_the_window_coats(tmp_path, capsys) -> None:
    result = run(tmp_path, *RULE)
    assert result["totals"]["coated_m2"] == pytest.approx(82.0, abs=0.05)
    (told,) = claims(result)
    assert "26.00 m of wall, are outside only as drawn" in told
    assert "82.0 m² if all of it is outside" in told
    assert "outside only as drawn" in " ".join(capsys.readouterr().out.split())
    result = run(tmp_path, *RULE, *NEIGHBOURS)
    assert result["totals"]["coated_m2"] == pytest.approx(31.0, abs=0.05)
    assert "lower and upper" in claims(result)[0]


def test_job_that_is_written_keeps_its_claims_and_can_be_answered(tmp_path) -> None:
    job = tmp_path / "job.json"
    assert command(["job", str(TERRACE), *RULE, "-o", str(job)]) == 0
    assert len(claims(run(tmp_path, file=job))) == 1
    # the coat was put on by a rule, which goes on to hold
    result = run(
        tmp_path, *NEIGHBOURS, "--beyond", "Ground floor: lower=outside", "--beyond", "upper=outside", file=job
    )
    assert claims(result) == []
    assert result["totals"]["coated_m2"] == pytest.approx(31.0, abs=0.05)


def test_ceilings_under_the_roof(tmp_path) -> None:
    # kitchen 4.80 × 3.30 under the roof, the rest under heated rooms
    result = run(tmp_path, "--above", "heated", "--above", "Kitchen=roof", "--roof-ceilings")
    assert result["totals"]["ceiling_m2"] == pytest.approx(4.8 * 3.3)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (("--beyond", "north=neighbour"), "has no run “north”, so nothing was answered: its runs are lower, right,"),
        (("--beyond", "left=wet"), "“wet” is no answer: say one of outside, unheated, heated, neighbour."),
        (("--beyond", "left="), "gives no answer: write it as left=neighbour"),
        (("--above", "Attic=roof"), "The job has no storey and no room “Attic”"),
        (("--ceiling-band", "600"), "go with --outside-walls"),
    ],
)
def test_what_cannot_be_answered_is_one_sentence_and_nothing_is_written(tmp_path, capsys, options, sentence) -> None:
    assert command(["measure", str(TERRACE), "-o", str(tmp_path / "out"), *options]) == 2
    assert sentence in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "out").exists()
