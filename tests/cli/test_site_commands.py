"""Readings, answers, holds and counted items by the command, saved in the job file."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.cli.main import run
from takeoff.storage import jobs

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
AT = ("--now", "2031-05-20T08:00", "--at", "2031-05-20T07:40")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    kept = tmp_path / "job.json"
    kept.write_bytes(SAMPLE.read_bytes())
    return kept


def _said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    code = run([str(part) for part in arguments])
    told = capsys.readouterr()
    return code, " ".join((told.out + told.err).split())


def _room(file: Path) -> str:
    return jobs.load(file.read_bytes(), "job").storeys[0].rooms[0].title


def test_readings_near_the_dew_point_are_saved_and_hold(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    """20 °C and 60 %: dew point 12.0 °C, 2.0 K under a surface of 14.0 °C; 3 K are asked for."""
    readings = ("--read", "air=20", "--read", "humidity=60", "--read", "surface=14,0")
    more = ("--stage", "coating", "--place", "north reveal", "--instrument", "IR 2", "--person", "J. Sample")
    code, text = _said(capsys, "holds", file, "--room", _room(file), *readings, *more, *AT)
    assert code == 1
    assert "dew point 12.0 °C, margin 2.0 K, at least 3 K" in text
    assert "56 % air humidity or a surface of 15.0 °C would do." in text
    kept = jobs.load(file.read_bytes(), "job").site_check.readings
    assert [(r.quantity, r.value, r.place, r.instrument, r.person, r.at) for r in kept] == [
        ("air", 20.0, "north reveal", "IR 2", "J. Sample", "2031-05-20T07:40"),
        ("humidity", 60.0, "north reveal", "IR 2", "J. Sample", "2031-05-20T07:40"),
        ("surface", 14.0, "north reveal", "IR 2", "J. Sample", "2031-05-20T07:40"),
    ]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--read", "humidity=0"), "0 % cannot be"),
        (("--read", "humidity=140"), "140 % cannot be"),
        (("--read", "surface=90"), "90 °C cannot be"),
        (("--read", "surface=warm"), "is not a reading"),
        (("--read", "surface"), "is not complete"),
        (("--read", "mood=3"), "is not measured here"),
        (("--read", "moisture=12"), "name the scale"),
        (("--read", "surface=12", "--at", "2031-05-21T08:00"), "has not come yet"),
        (("--look", "textured=maybe"), "is no answer"),
        (("--look", "ghosts=yes"), "is not looked at here"),
        (("--clear", "mice"), "Nothing is held"),
        (("--clear", "textured"), "Name who clears"),
        (("--limit", "humidity=:140"), "between 1 and 100"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_changes_nothing(
    capsys: pytest.CaptureFixture[str], file: Path, arguments: tuple[str, ...], said: str
) -> None:
    before = file.read_bytes()
    code, text = _said(capsys, "holds", file, "--room", _room(file), "--now", "2031-05-20T08:00", *arguments)
    assert code == 2
    assert said in text
    assert file.read_bytes() == before


def test_hold_is_cleared_by_name(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    room = _room(file)
    code, text = _said(capsys, "holds", file, "--room", room, "--look", "textured=yes", "--face", "ceiling", *AT)
    assert code == 1
    assert f"HOLD - {room}: On the ceiling: There is a textured coating" in text
    cleared = ("--clear", "textured", "--person", "J. Sample", "--because", "surveyed")
    code, text = _said(capsys, "holds", file, "--room", room, *cleared, *AT)
    assert code == 0
    assert "by J. Sample, 2031-05-20" in text


def test_items_are_counted_and_the_wall_behind_a_radiator_stays_cold(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    room = _room(file)
    code, text = _said(capsys, "items", file, "--room", room, "--add", "radiator=2", "--who", "plumber")
    assert code == 0
    assert "Radiators 2 off before the coat, on again after it plumber" in text
    _, text = _said(capsys, "items", file, "--room", room, "--add", "radiators=1", "--done", "stays")
    assert "behind radiators that stay on an outside wall" in text
    _, text = _said(capsys, "items", file, "--room", room, "--add", "radiator=0", "--who", "plumber")
    assert "Radiators 2" not in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--add", "radiator=2"), "Say which room"),
        (("--room", "Ballroom", "--add", "radiator=2"), "No room is called"),
        (("--room", "", "--add", "sofas=2"), "Say which room"),
        (("--add", "sofas=2"), "are not counted"),
        (("--add", "radiator=-2"), "is not a number of pieces"),
        (("--add", "radiator=2", "--wall", "ZZ"), "has no wall ZZ"),
    ],
)
def test_items_that_cannot_be_change_nothing(
    capsys: pytest.CaptureFixture[str], file: Path, arguments: tuple[str, ...], said: str
) -> None:
    before = file.read_bytes()
    room = () if "--room" in arguments or "Say which" in said else ("--room", _room(file))
    code, text = _said(capsys, "items", file, *room, *arguments)
    assert code == 2
    assert said in text
    assert file.read_bytes() == before


def test_drawing_is_not_written_to(capsys: pytest.CaptureFixture[str]) -> None:
    plan = SAMPLE.parent / "terrace_ground.dxf"
    code, text = _said(capsys, "items", plan, "--room", "x", "--add", "radiator=2")
    assert code == 2
    assert "save it as a job first" in text
