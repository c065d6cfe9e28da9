"""A name that no disk takes is told in a sentence, for every output and for the window."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.cli.main import run

JOB = str(Path(__file__).parents[2] / "sample_plans" / "terrace.job.json")
LONG = "x" * 300


@pytest.mark.parametrize(
    "arguments",
    [("measure", JOB, "-o", LONG), ("sheets", JOB, "--only", "order", "-o", LONG), ("job", JOB, "-o", LONG)],
    ids=lambda arguments: arguments[0],
)
def test_it_is_said_and_nothing_is_left_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    assert "could not be written: the name is too long; choose a shorter one." in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
