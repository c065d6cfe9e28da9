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
    assert "is outside only as drawn (" in told
    assert "26.00 m of wall)" in told
    assert "82.0 m² if all of it is outside" in told
    assert "outside only as drawn" in " ".join(capsys.readouterr().out.split())
    result = run(tmp_path, *RULE, *NEIGHBOURS)
    assert result["totals"]["coated_m2"] == pytest.approx(31.0, abs=0.05)
    assert "lower and upper" in claims(result)[0]


def test_plain_names_of_the_coat_give_what_the_older_ones_do(tmp_path) -> None:
    plain = run(tmp_path, "--coat", "outside", "--returns", "600", "--band", "0", "--skirting", "120")
    older = run(tmp_path, "--outside-walls", "600", "--ceiling-band", "0", "--skirting", "120")
    assert plain == older
    assert plain["totals"]["ceiling_m2"] == 0.0
    assert plain["totals"]["coated_m2"] > 0.0
    usual = run(tmp_path, "--coat", "outside", "--band", "0", "--skirting", "120")
    assert usual["totals"] == plain["totals"]
    whole, walls = run(tmp_path, "--coat", "all"), run(tmp_path, "--coat", "walls")
    assert whole["totals"] == run(tmp_path)["totals"]
    assert walls["totals"]["ceiling_m2"] == 0.0
    assert walls["totals"]["wall_net_m2"] == whole["totals"]["wall_net_m2"]


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
        (("--beyond", "north=neighbour"), "has no run “north”, so nothing was changed: use lower, right,"),
        (("--beyond", "left=wet"), "“wet” is not an answer: use one of outside, unheated, heated, neighbour."),
        (("--beyond", "left="), "gives no answer: write it as left=neighbour"),
        (("--above", "Attic=roof"), "The job has no storey and no room “Attic”"),
        (("--ceiling-band", "600"), "need --coat outside"),
        (("--coat", "walls", "--returns", "600"), "--returns needs --coat outside"),
        (("--coat", "all", "--outside-walls", "600"), "give one of them"),
    ],
)
def test_what_cannot_be_answered_is_one_sentence_and_nothing_is_written(tmp_path, capsys, options, sentence) -> None:
    assert command(["measure", str(TERRACE), "-o", str(tmp_path / "out"), *options]) == 2
    assert sentence in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "out").exists()


STAIRWELL = TERRACE.with_name("stairwell.dxf")


@pytest.mark.parametrize(
    ("said", "ceiling_m2"), [((), 0.0), (("--stair", "goes-on"), 11.862), (("--stair", "Stairwell=well"), 8.430)]
)
def test_ceiling_above_a_stair_is_measured_when_it_is_said_to_be_there(tmp_path, said, ceiling_m2) -> None:
    # 9.6 + half a circle of 1.2, less the flight of 1.1 × 3.12; 3.6 is the lobby's and 11.862 the upper part's
    result = run(tmp_path, *said, file=STAIRWELL)
    assert result["totals"]["ceiling_m2"] == pytest.approx(11.862 + 3.6 + ceiling_m2, abs=0.001)
    told = [f["text"] for f in result["findings"] if f["code"] == "stair-drawn"]
    assert len(told) == (0 if said else 1)


def test_stair_of_a_room_without_one_is_refused(tmp_path, capsys) -> None:
    job = str(tmp_path / "r.json")
    assert command(["measure", str(STAIRWELL), "--json", job, "--stair", "Lobby=none"]) != 0
    assert "No stair was seen in “Lobby”, so nothing was changed." in " ".join(capsys.readouterr().err.split())


def test_customs_are_said_by_options_and_told_until_they_are(tmp_path, capsys) -> None:
    told = [f["text"] for f in run(tmp_path)["findings"] if f["code"] == "custom-assumed"]
    assert [text.split()[0] for text in told] == ["Skirting", "Coving", "Architraves", "New"]
    before = run(tmp_path)["totals"]
    said = ("--skirting", "120", "--coving", "off", "--architraves", "70 mm", "--arrises", "existing")
    result = run(tmp_path, *said)
    assert [f for f in result["findings"] if f["code"] == "custom-assumed"] == []
    assert result["totals"]["bead_m"] == 0.0
    assert result["totals"]["excluded_m2"] - before["excluded_m2"] == pytest.approx(5.4 + 3.4, abs=0.1)
    capsys.readouterr()
    assert command(["measure", str(TERRACE), "--skirting", "5000"]) == 2
    assert capsys.readouterr().err.strip() == (
        "takeoff: Skirting of 5000 mm is not usual: type at most 1000 mm, or 0 if it comes off."
    )
