"""Options read lengths as people write them, bare numbers as the window does."""

from __future__ import annotations

import datetime

import click
import pytest

from takeoff.cli.options import date, layers, settings_from, size
from takeoff.units.lengths import SILL, STOREY_HEIGHT

length, depth = size(STOREY_HEIGHT), size(SILL)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("2400", 2400.0),
        ("2.4", 2400.0),
        ("2400 mm", 2400.0),
        ("2.4 m", 2400.0),
        ("240cm", 240.0 * 10),
        ("8'", 2438.4),
        ("7'-10 1/2\"", 2400.3),
        ("94.5 in", 2400.3),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str, mm: float) -> None:
    assert length(None, None, text) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["", "tall", "0", "-2400", "2400 m", "nan", "inf", "1e9", "2400 cubits", "24000", "2.4 mm"]
)
def test_lengths_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(click.BadParameter):
        length(None, None, text)


def test_a_height_that_cannot_be_is_answered_with_what_is_meant() -> None:
    with pytest.raises(click.BadParameter, match=r"“24000” would be 24 m: did you mean 2\.4 m\?"):
        length(None, None, "24000")


def test_a_reveal_or_a_sill_may_be_nought() -> None:
    assert depth(None, None, "0") == 0.0
    with pytest.raises(click.BadParameter):
        depth(None, None, "-1")


def test_dates_and_layers() -> None:
    assert date(None, None, "2031-05-20") == datetime.date(2031, 5, 20)
    with pytest.raises(click.BadParameter, match="2031-02-30"):
        date(None, None, "2031-02-30")
    assert layers(None, None, " WALLS, Doors and more ,") == ("WALLS", "Doors and more")


def test_what_was_given_is_known_from_what_is_assumed() -> None:
    settings = settings_from({"storey_height_mm": 2600.0, "reveal_mm": None, "layers": None})
    assert settings.storey_height_mm == 2600.0
    assert settings.reveal_mm == 150.0
    assert settings.given == {"storey_height_mm"}
    assert settings.source("storey_height_mm") == "typed"
    assert settings.source("reveal_mm") == "assumed"


def test_a_window_head_below_its_sill_is_refused() -> None:
    with pytest.raises(click.UsageError, match="not above its sill"):
        settings_from({"window_sill_mm": 2200.0})
