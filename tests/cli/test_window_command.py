"""Starting the window: what is lacking is one sentence, and nothing aborts."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from takeoff.cli.main import run
from takeoff.ui import screen


def test_without_a_screen_the_window_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("QT_QPA_PLATFORM", *screen.SCREEN_VARIABLES):
        monkeypatch.delenv(name, raising=False)
    assert run(["window"]) == 2
    assert "no screen for the window" in capsys.readouterr().err


def test_without_the_extra_the_window_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert run(["window"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert said.endswith(f'In the folder of the program run: {sys.executable} -m pip install ".[window]"')


def test_without_arguments_and_without_a_window_there_is_help(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(screen, "lacks", lambda: "There is no screen")
    assert run([]) == 0
    assert "measure" in capsys.readouterr().out


def test_a_file_that_is_not_there_opens_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr(screen, "lacks", lambda: "")
    assert run(["window", str(tmp_path / "none.dxf")]) == 2
    assert "does not exist" in capsys.readouterr().err
