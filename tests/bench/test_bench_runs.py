"""The table of ratios runs at tiny sizes; what it says is read by people, not asserted."""

from __future__ import annotations

import cProfile
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import look


def test_all_rows_are_printed() -> None:
    script = Path(__file__).with_name("run.py")
    done = subprocess.run(
        [sys.executable, "-W", "error", str(script), "--small"],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == 15


def test_floor_of_the_rectangular_room_is_what_measuring_gives() -> None:
    sys.path.insert(0, str(Path(__file__).parent))
    try:
        from bench_jobs import crossed_room_job
        from run import exact_rectangles
    finally:
        sys.path.pop(0)
    from takeoff.measure import measure

    job = crossed_room_job(3.0)
    plain, room = exact_rectangles(job), measure(job).rooms[0]
    for name in ("wall_gross_m2", "openings_m2", "wall_net_m2", "floor_m2", "reveal_m2", "floor_edge_m"):
        assert getattr(room, name) == pytest.approx(plain[name], rel=1e-9), name


MOST_CALLS = 60
"""Of Python and of its libraries, for each rectangle of four lines; 37 when this was written."""


def test_plain_rooms_are_not_looked_at_one_by_one() -> None:
    """Work, not time: a call for every room of its own, where one for all would do, is what slows a large drawing."""
    few, many = _calls(100), _calls(400)
    assert (many - few) / 300 < MOST_CALLS


def _calls(rooms: int) -> int:
    sys.path.insert(0, str(Path(__file__).parent))
    try:
        from run import wall_faces
    finally:
        sys.path.pop(0)
    rows = np.array(list(wall_faces(rooms, False)))
    drawing = Drawing(name="grid.dxf", layers=(Layer("A-WALL"),), lines=Linework(rows), unit="mm")
    look(drawing, Settings())  # what is imported or compiled on first use is not counted
    profile = cProfile.Profile()
    profile.runcall(look, drawing, Settings())
    return sum(entry.callcount for entry in profile.getstats())
