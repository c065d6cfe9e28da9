"""What the commands say of price, days, lots and holds, as a user types them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from icalendar import Calendar

from takeoff.cli.main import run
from takeoff.errors import InputError
from takeoff.plan.edits.price_edits import amount, percent

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def _said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    code = run([arguments[0], str(SAMPLE), *arguments[1:]])
    told = capsys.readouterr()
    return code, told.out + told.err


def test_price_without_every_rate_has_no_total(capsys: pytest.CaptureFixture[str]) -> None:
    code, text = _said(capsys, "price", "--rate", "walls=31,20", "--tax", "20")
    assert code == 0
    assert "31.20" in text
    assert "so there is no total: Coat on ceilings" in text
    assert "\n  Total" not in text


def test_price_with_every_rate_adds_up(capsys: pytest.CaptureFixture[str]) -> None:
    rates = [part for item in ("walls", "ceilings", "drops", "reveals", "bead") for part in ("--rate", f"{item}=10")]
    text = _said(capsys, "price", *rates)[1]
    lines = [line.split() for line in text.splitlines() if line.startswith(("  Coat on", "  New"))]
    total = next(line.split() for line in text.splitlines() if line.startswith("  Total"))
    assert sum(_amount(line) for line in lines) == pytest.approx(_amount(total), abs=0.001)


def _amount(line: list[str]) -> float:
    return float(line[-1].replace(",", ""))


def test_built_up_price_shows_its_parts(capsys: pytest.CaptureFixture[str]) -> None:
    text = _said(capsys, "price", "--hour", "42", "--visit", "25", "--markup", "18", "--shown", "lump")[1]
    assert "The work as described" in text
    assert "Materials in whole packs" in text


def test_options_stand_side_by_side_and_one_is_taken(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, text = _said(capsys, "options")
    assert code == 0
    assert "All walls" in text
    assert "Walls and ceilings" in text
    file = str(tmp_path / "job.json")
    code, text = _said(
        capsys, "options", "--add", "Plan A=outside 600", "--keep", "As drawn", "--take", "1", "-o", file
    )
    assert code == 0
    assert "Plan A (chosen)" in text
    run(["options", file])
    assert "Plan A (chosen)" in capsys.readouterr().out


def test_price_terms_are_saved_with_the_job(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = str(tmp_path / "job.json")
    rates = [part for item in ("walls", "ceilings", "drops", "reveals", "bead") for part in ("--rate", f"{item}=10")]
    more = ["--extra", "Skip hire=1 each 120", "--by-width", "150=9,50", "--tax", "20", "--shown", "rooms", "-o", file]
    first = _said(capsys, "price", *rates, *more, "--currency", "eur", "--valid", "14")[1]
    assert "Kitchen" in first
    assert "Skip hire" in first
    assert "valid for 14 days" in first
    run(["price", file])
    again = capsys.readouterr().out
    assert again.strip() == first.partition("Written")[0].strip()


def test_days_with_a_start_are_dated_and_can_be_a_calendar(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "days.ics"
    code, text = _said(capsys, "days", "--start", "2031-05-19", "--people", "2", "--calendar", str(file))
    assert code == 0
    assert "19 May 2031" in text
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert len(events) == _pieces_of_work(text)
    assert len({str(event["UID"]) for event in events}) == len(events)


def _pieces_of_work(text: str) -> int:
    """Works of the programme: a row says one or two, "Base coat; Sand  08:00  09:30"."""
    rows = re.findall(r"(.*)\d\d:\d\d  +\d\d:\d\d", text)
    return sum(row.count(";") + 1 for row in rows)


def test_days_and_lots_are_saved_with_the_job(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = str(tmp_path / "job.json")
    first = _said(capsys, "days", "--start", "2031-05-19", "--people", "2", "-o", file)[1]
    run(["days", file])
    assert capsys.readouterr().out.strip() == first.partition("Written")[0].strip()
    run(["lots", file, "--by", "storey", "-o", file])
    capsys.readouterr()
    lots = json.loads((tmp_path / "job.json").read_text())["lots"]
    assert len(lots) == 2


def test_days_without_a_start_are_counted(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, text = _said(capsys, "days")
    assert (code, "Day 1" in text) == (0, True)
    assert run(["days", str(SAMPLE), "--calendar", str(tmp_path / "x.ics")]) == 2
    assert "needs dates" in capsys.readouterr().err


def test_lots_say_what_one_order_would_save(capsys: pytest.CaptureFixture[str]) -> None:
    code, text = _said(capsys, "lots")
    assert code == 0
    assert "There already" in text
    assert "One order for all lots would cost" in text


def test_holds_end_with_1_while_anything_holds(capsys: pytest.CaptureFixture[str]) -> None:
    code, text = _said(capsys, "holds", "--stage", "coating", "--now", "2031-05-20T08:00")
    assert code == 1
    assert "HOLD" in text
    assert "every room" in text
    code, text = _said(capsys, "holds", "--stage", "quote")
    assert code == 0
    assert "To confirm on site" in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("price", "--rate", "roof=3"), "has no rate"),
        (("price", "--rate", "walls=-3"), "is not a price"),
        (("price", "--tax", "1000"), "is not a percentage"),
        (("price", "--tax", "99", "--rate", "walls=1"), "cannot be: at most 50"),
        (("days", "--people", "0"), "Nobody is in the crew"),
        (("days", "--country", "XQ"), "are not known"),
        (("days", "--start", "0001-01-01"), "is not in the years 1900 to 2200"),
        (("days", "--together", "0"), "Nobody is in the crew"),
        (("holds", "--now", "soon"), "is not a date with a time"),
        (("lots", "--by", "plot"), "built more than once"),
    ],
)
def test_what_cannot_be_is_one_sentence(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
) -> None:
    code, text = _said(capsys, *arguments)
    assert code == 2
    assert said in text


def test_amounts_are_read_with_point_or_comma() -> None:
    assert (amount("31,20"), amount(" 31.2 "), amount(""), percent("19 %")) == ("31.20", "31.2", "", "19")
    for bad in ("-1", "nan", "1e12", "x", "1.23456"):
        with pytest.raises(InputError):
            amount(bad)
