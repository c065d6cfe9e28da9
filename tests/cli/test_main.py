"""How a run ends: exit codes, one sentence, no traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.cli import commands, main
from takeoff.errors import InputError


def ending_with(error: BaseException) -> object:
    def schema_json(kind: str) -> bytes:
        raise error

    return schema_json


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (InputError("“a.dxf” is empty."), 2, "takeoff: “a.dxf” is empty.\n"),
        (InputError("two\nlines."), 2, "takeoff: two lines.\n"),
        (KeyboardInterrupt(), 130, "takeoff: stopped before it was done; no file was left half written.\n"),
        (MemoryError(), 2, "takeoff: there is not enough memory"),
        (ZeroDivisionError("x"), 2, "takeoff: the program itself has failed (ZeroDivisionError in schema)"),
    ],
)
def test_errors_become_exit_codes(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: BaseException, code: int, words: str
) -> None:
    monkeypatch.setattr("takeoff.services.measured.job_result.schema_json", ending_with(error))
    monkeypatch.delenv(main.TRACEBACK_VARIABLE, raising=False)
    assert main.run(["schema", "job"]) == code
    told = capsys.readouterr()
    assert told.err.startswith(words)
    assert told.err.count("\n") == 1
    assert told.out == ""
    assert "Traceback" not in told.err


def test_traceback_of_a_fault_is_there_for_who_asks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("takeoff.services.measured.job_result.schema_json", ending_with(ZeroDivisionError("x")))
    monkeypatch.setenv(main.TRACEBACK_VARIABLE, "1")
    assert main.run(["schema", "job"]) == 2
    assert "ZeroDivisionError: x" in capsys.readouterr().err


def test_schemas_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["schema", "job"]) == 0
    assert '"takeoff-job/2"' in capsys.readouterr().out


def test_commands_are_those_that_are_documented() -> None:
    kept = {"measure", "check", "job", "form", "schema", "systems", "window"}
    offered = {"price", "options", "days", "lots", "holds", "items", "sheets", "compare", "firm"}
    worked = {"send", "states", "supply", "stage", "change", "day", "consumption", "account", "handover", "defect"}
    assert set(commands.takeoff.commands) == kept | offered | worked


def test_own_system_is_listed_checked_kept_and_used(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    mine = tmp_path / "mine.json"
    assert main.run(["systems", "demo-lime-foam", "-o", str(mine)]) == 0
    mine.write_text(mine.read_text().replace('"demo-lime-foam"', '"mine"').replace("Demo lime foam,", "Mine,"))
    assert main.run(["systems", str(mine)]) == 0
    assert main.run(["systems", str(mine), "--own", "--usual"]) == 0
    capsys.readouterr()
    assert main.run(["systems"]) == 0
    assert "* mine " in capsys.readouterr().out
    plan = str(Path(__file__).parents[2] / "sample_plans" / "stairwell.dxf")
    main.run(["measure", plan, "--json", str(tmp_path / "r.json"), "-o", str(tmp_path / "out")])
    assert "Materials, Mine, not a product" in capsys.readouterr().out
    main.run(["measure", str(tmp_path / "out" / "job.json"), "--system", "demo-coat-b"])
    assert "Materials, Demo coat B" in capsys.readouterr().out
    assert main.run(["measure", plan, "--system", str(tmp_path / "gone.json")]) == 2
    assert "could not be read" in capsys.readouterr().err
    assert main.run(["systems", "--own"]) == 2


def test_details_say_why_each_finding_is_listed(capsys) -> None:
    drawing = str(Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf")
    main.run(["check", drawing])
    short = capsys.readouterr().out
    main.run(["check", drawing, "--details"])
    long = capsys.readouterr().out
    assert "is drawn in mm." in short
    assert "dimensions agree with what is drawn" not in short
    assert "dimensions agree with what is drawn" in " ".join(long.split())
