"""The language of a command is known before anything is said."""

from __future__ import annotations

from collections.abc import Iterator

import click
import pytest

from takeoff.cli.main import run
from takeoff.cli.spoken import speak
from takeoff.language import language, region, use_language, use_region


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TAKEOFF_LANGUAGE", "")
    monkeypatch.setenv("TAKEOFF_REGION", "")
    yield
    use_language("en")
    use_region("")


@pytest.mark.parametrize("given", [("--language", "de"), ("--language=de",), ("--language", "de_DE")])
def test_language_may_stand_anywhere(given: tuple[str, ...]) -> None:
    assert speak(["measure", *given, "plan.dxf"]) == ["measure", "plan.dxf"]
    assert (language(), region()) == ("de", "DE")


def test_environment_speaks_where_no_option_does(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEOFF_LANGUAGE", "de_AT")
    assert speak(["check", "plan.dxf"]) == ["check", "plan.dxf"]
    assert (language(), region()) == ("de", "AT")


def test_english_where_nothing_is_said() -> None:
    assert speak([]) == []
    assert (language(), region()) == ("en", "GB")


@pytest.mark.parametrize("given", [["--language", "xx"], ["--language", ""], ["--region", "XQ"]])
def test_what_the_program_does_not_speak_is_refused(given: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    if given[1]:
        with pytest.raises(click.UsageError):
            speak(given)
        assert run([*given, "systems"]) == 2
        assert "is not a" in capsys.readouterr().err
    else:
        assert speak(given) == []
