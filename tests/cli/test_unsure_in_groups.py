"""The command tells openings that are alike in one line, and every one of them in its files."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.cli import main
from takeoff.plan.model import Job, Opening, Room, Side, Storey
from takeoff.storage import jobs


def asked_job() -> Job:
    """4 × 3 × 2.4 m within walls of 300: three windows of about 1.20 m in question and a door of 0.90 m."""
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    building = ((-300.0, -300.0, 0.0), (4300.0, -300.0, 0.0), (4300.0, 3300.0, 0.0), (-300.0, 3300.0, 0.0))
    openings = tuple(
        Opening(
            id=name, kind=kind, room="r1", side=side, offset_mm=offset, width_mm=width, sill_mm=sill, head_mm=2100.0,
            confidence="question", evidence=("two lines across the wall",),
        )
        for name, kind, side, offset, width, sill in (
            ("a", "window", "s0", 300.0, 1210.0, 900.0), ("b", "window", "s0", 2400.0, 1180.0, 900.0),
            ("c", "window", "s2", 300.0, 1200.0, 900.0), ("d", "door", "s1", 800.0, 900.0, 0.0),
        )
    )  # fmt: skip
    room = Room(id="r1", name="Bed", outline=outline)
    storey = Storey(id="g", height_source="typed", rooms=(room,), openings=openings, building=(building,))
    return Job(storeys=(storey,))


def told(job: Job, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = tmp_path / "asked.json"
    path.write_bytes(jobs.dump(job))
    main.run(["measure", str(path), "-o", str(tmp_path / "out")])
    return capsys.readouterr().out


def test_alike_openings_are_one_line_and_each_is_in_the_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Taken out, 1.2 × (1.21 + 1.18 + 1.20) = 4.308; each printed alone 1.45, 1.42 and 1.44, together 4.31."""
    lines = [line.split("  ") for line in told(asked_job(), tmp_path, capsys).splitlines()]
    rows = [[part.strip() for part in line if part.strip()] for line in lines]
    assert ["3 openings, 1.18 to 1.21 m wide, in outside walls", "windows, uncertain", "−4.31"] in rows
    assert ["Bed, door 1, 0.90 m wide", "door, uncertain", "−1.89"] in rows
    with (tmp_path / "out" / "unsure.csv").open(encoding="utf-8-sig", newline="") as file:
        table = list(csv.reader(file))
    assert len(table) == 5
    assert sum(Decimal(row[2].replace("−", "-")) for row in table[1:4]) == Decimal("-4.31")
    result = json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))
    named = {finding["where"].get("opening") for finding in result["findings"]}
    assert {"a", "b", "c", "d"} <= named


def test_openings_that_are_not_alike_are_told_as_before(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = asked_job()
    storey = msgspec.structs.replace(job.storeys[0], openings=job.storeys[0].openings[2:])
    words = told(msgspec.structs.replace(job, storeys=(storey,)), tmp_path, capsys)
    assert "Bed, window 1" in words
    assert "two lines across the wall" in words
    assert "Similar openings" not in words
