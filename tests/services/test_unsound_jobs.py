"""No sheets are made of a job with which nothing can be measured: at the command, and where they are written."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest

from takeoff.cli.main import run
from takeoff.errors import InputError
from takeoff.plan import limits
from takeoff.plan.check import check
from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written import writing
from takeoff.services.written.writing import document

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
OUTLINE = [{"id": f"s{k}", "x_mm": x, "y_mm": y} for k, (x, y) in enumerate(CORNERS)]
LIGHT = [[500, 500, 2600.0], [900, 500, 0], [900, 900, 0]]
SHEETS = (
    ("measure", "-o", "{out}"),
    ("sheets", "-o", "{out}"),
    ("sheets", "--only", "order", "-o", "{out}"),
    ("send", "--to", "Client", "--by", "Ann", "-o", "{out}"),
)


def kept(tmp_path: Path, storey: dict[str, Any], room: dict[str, Any]) -> Path:
    own = {"id": "r", "name": "Store", "outline": OUTLINE, **room}
    tree = {"schema": "takeoff-job/2", "name": "Mill house", "storeys": [{"id": "g", "rooms": [own], **storey}]}
    path = tmp_path / "mill.json"
    path.write_text(json.dumps(tree))
    return path


@pytest.mark.parametrize("options", SHEETS, ids=lambda options: " ".join(options[:-2]))
@pytest.mark.parametrize(
    ("storey", "room", "field"),
    [
        ({"rooflights": [{"id": "l", "room": "r", "outline": LIGHT}]}, {}, "storeys[0].rooflights[0].outline[0][2]"),
        ({"level_mm": -1e308}, {}, "storeys[0].level_mm"),
        ({}, {"ceiling": {"planes": []}}, "storeys[0].rooms[0].ceiling.planes"),
        ({}, {"outline": [*OUTLINE, OUTLINE[0]]}, "storeys[0].rooms[0].outline[4].id"),
    ],
    ids=["bulge", "level", "no planes", "same id"],
)
def test_the_command_names_file_and_field_and_writes_nothing(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    options: tuple[str, ...],
    storey: dict[str, Any],
    room: dict[str, Any],
    field: str,
) -> None:
    path = kept(tmp_path, storey, room)
    before = path.read_bytes()
    command, *rest = options
    assert run([command, str(path), *(word.format(out=tmp_path / "out") for word in rest)]) == 2
    said = capsys.readouterr().err
    assert "mill.json" in said
    assert field in said
    assert [p.name for p in tmp_path.iterdir()] == ["mill.json"]
    assert path.read_bytes() == before


def test_what_the_window_shows_and_writes_is_never_made_of_a_job_that_check_finds_unsound() -> None:
    """Window and command make their sheets by this function, whatever the way on which a job came to them."""
    sides = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))  # type: ignore[arg-type]
    job = Job(name="Mill house", storeys=(Storey(id="g", rooms=(Room(id="r", outline=sides),)),))  # type: ignore[arg-type]
    measured = measure_job(Opened(Path("mill.json"), "job", job, ()))
    assert document(measured).tables
    high = msgspec.structs.replace(job.storeys[0], level_mm=1e9)
    unsound = msgspec.structs.replace(job, storeys=(high,))
    assert [found.code for found in check(unsound)] == ["number-absurd"]
    with pytest.raises(InputError, match=r"Mill house: storeys\[0\].level_mm is 1000000000"):
        document(msgspec.structs.replace(measured, job=unsound))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"lots": [{"id": k, "rooms": [{"storey": "g", "room": "r"}]} for k in "ab"]}, "Store is in two lots"),
        ({"programme": {"start": "2031-05-20", "country": "XX"}}, "Public holidays of “XX” are not known"),
    ],
)
def test_what_is_refused_while_measuring_or_writing_names_the_file_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], fields: dict[str, Any], said: str
) -> None:
    path = kept(tmp_path, {}, {})
    path.write_text(json.dumps(json.loads(path.read_text()) | fields))
    assert run(["measure", str(path), "-o", str(tmp_path / "out")]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith(f"takeoff: mill.json: {said}")
    assert [p.name for p in tmp_path.iterdir()] == ["mill.json"]


@pytest.mark.parametrize("command", ["measure", "sheets"])
def test_more_rooms_than_sheets_are_made_of_end_in_a_sentence_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    path = three_rooms(tmp_path)
    monkeypatch.setattr(writing, "MOST_ROOMS_ON_SHEETS", 2)
    assert run([command, str(path), "-o", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "mill.json: The job has 3 rooms, sheets take 2 at most" in said
    assert "make a job for each storey" in said
    assert [p.name for p in tmp_path.iterdir()] == ["mill.json"]
    assert run(["measure", str(path)]) == 0  # the figures alone are had all the same


def test_more_rooms_than_one_job_has_are_refused_with_the_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = three_rooms(tmp_path)
    assert run(["measure", str(path)]) == 0
    monkeypatch.setattr(limits, "MOST_ROOMS", 2)
    capsys.readouterr()
    assert run(["measure", str(path)]) == 2
    assert "mill.json: storeys hold 3 rooms, more than the 2 of one job" in capsys.readouterr().err


def three_rooms(tmp_path: Path) -> Path:
    """A job of three stores beside one another, on two storeys."""
    rooms: list[dict[str, Any]] = []
    for n in range(3):
        outline = [{"id": f"r{n}-{k}", "x_mm": x + 4000.0 * n, "y_mm": y} for k, (x, y) in enumerate(CORNERS)]
        rooms.append({"id": f"r{n}", "name": f"Store {n}", "outline": outline})
    storeys = [{"id": "g", "rooms": rooms[:2]}, {"id": "u", "level_mm": 2700.0, "rooms": rooms[2:]}]
    path = tmp_path / "mill.json"
    path.write_text(json.dumps({"schema": "takeoff-job/2", "name": "Mill house", "storeys": storeys}))
    return path


NO_COUNTRY: dict[str, Any] = {"programme": {"start": "2031-05-20", "country": "XX"}}
TWO_LOTS: dict[str, Any] = {"lots": [{"id": k, "rooms": [{"storey": "g", "room": "r"}]} for k in "ab"]}


@pytest.mark.parametrize(
    ("fields", "command", "options"),
    [
        (NO_COUNTRY, "days", ()),
        (NO_COUNTRY, "options", ()),
        (NO_COUNTRY, "day", ("Store", "--hours", "6")),
        (NO_COUNTRY, "send", ("--to", "Client", "--by", "Ann", "-o", "{out}")),
        (NO_COUNTRY, "handover", ("-o", "{out}.pdf")),
        (NO_COUNTRY, "consumption", ()),
        (TWO_LOTS, "lots", ()),
        (TWO_LOTS, "supply", ("--whole-order",)),
        ({"system": "no such"}, "states", ()),
        ({"system": "no such"}, "account", ()),
        ({"system": "no such"}, "price", ()),
    ],
)
def test_every_command_names_the_file_of_a_job_that_it_refuses_and_saves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], fields: dict[str, Any], command: str, options: tuple[str, ...]
) -> None:
    path = kept(tmp_path, {}, {})
    path.write_text(json.dumps(json.loads(path.read_text()) | fields))
    before = path.read_bytes()
    assert run([command, str(path), *(word.format(out=tmp_path / "out") for word in options)]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert line.startswith("takeoff: mill.json: ")
    assert [p.name for p in tmp_path.iterdir()] == ["mill.json"]
    assert path.read_bytes() == before
