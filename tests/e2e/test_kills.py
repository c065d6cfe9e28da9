"""A program that edits and saves is killed at random moments; no more than the last seconds are lost.

``TAKEOFF_KILLS=200`` for the long form (some ten minutes), ``TAKEOFF_KILLS_SEED`` for other moments.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from typing import NamedTuple

import pytest
from editing_program import best

PROGRAM = Path(__file__).with_name("editing_program.py")
KILLS = int(os.environ.get("TAKEOFF_KILLS", "10"))
SEED = int(os.environ.get("TAKEOFF_KILLS_SEED", "1"))
LONG_FORM = KILLS > 10
MAY_BE_LOST_S = 5.0 if LONG_FORM else 30.0
"""5 s are promised. The short form runs beside other things, where seconds are lost for want of a turn;
what was said to be safe is there in any case."""
LONGEST_LIFE_S = 6.0 if LONG_FORM else 1.5
LEAST_EDITS = 2
"""So many edits are made before a kill, however slow the computer is."""
WRITING_S = 0.03
"""About how long a copy or a save takes. Half of the kills are aimed into one, else few would hit."""
START_S = 120.0
"""How long a program may take to begin on a busy computer."""

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="kill -9 is there on Unix only")


class Line(NamedTuple):
    """One line that the program wrote."""

    what: str
    edits: int
    at_s: float


def lines_of(log: Path) -> list[Line]:
    lines = log.read_text().splitlines() if log.exists() else []
    return [Line(what, int(edits), float(at_s)) for what, edits, at_s in map(str.split, lines)]


def live_and_die(
    job: Path, state: Path, log: Path, seed: int, life_s: float, aim_s: float | None, run: Path = PROGRAM
) -> float:
    """Run the program for so long after it is ready, and kill it; with ``aim_s`` that long after it then
    next begins to write. When it was killed."""
    ready = sum(line.what == "ready" for line in lines_of(log))
    with subprocess.Popen(
        [sys.executable, str(run), str(job), str(state), str(log), str(seed)], stderr=subprocess.PIPE, text=True
    ) as program:
        deadline = time.monotonic() + START_S
        while not begun(lines_of(log), ready):
            if program.poll() is not None or time.monotonic() > deadline:
                program.kill()
                pytest.fail(f"the program did not begin: {program.communicate()[1]}")
            time.sleep(0.01)
        time.sleep(life_s)
        if aim_s is not None:
            wait_for_writing(log)
            time.sleep(aim_s)
        assert program.poll() is None, program.communicate()[1]
        killed_s = time.monotonic()
        program.kill()
    return killed_s


def begun(lines: list[Line], lives: int) -> bool:
    """Whether one more than so many lives has begun and has made its first edits."""
    if sum(line.what == "ready" for line in lines) == lives:
        return False
    return sum(line.what == "edit" for line in last_life(lines)) >= LEAST_EDITS


def wait_for_writing(log: Path) -> None:
    deadline = time.monotonic() + MAY_BE_LOST_S
    with log.open("rb") as file:
        file.seek(0, os.SEEK_END)
        while time.monotonic() < deadline:
            if b"ing " in file.read():  # "saving" or "copying"
                return
            time.sleep(0.0005)


def lost_s(lines: list[Line], kept: int, killed_s: float) -> float:
    """How long before the kill the first edit was made that is gone; 0 when none is."""
    gone = [line.at_s for line in lines if line.what == "edit" and line.edits > kept]
    return max(0.0, killed_s - gone[0]) if gone else 0.0


def last_life(lines: list[Line]) -> list[Line]:
    begun = max(i for i, line in enumerate(lines) if line.what == "ready")
    return lines[begun:]


def test_killed_at_random_moments_a_job_opens_with_at_most_five_seconds_missing(tmp_path: Path) -> None:
    job, state, log = tmp_path / "house.takeoff", tmp_path / "state", tmp_path / "log"
    dice = random.Random(SEED)
    losses, during = [], Counter[str]()
    for kill in range(KILLS):
        aim_s = dice.uniform(0.0, WRITING_S) if kill % 2 else None
        life_s = dice.uniform(0.0, LONGEST_LIFE_S)
        killed_s = live_and_die(job, state, log, dice.randrange(1 << 30), life_s, aim_s)
        lines = last_life(lines_of(log))
        _, kept = best(job, state)  # raises where the file or a copy does not open, or holds a wrong job
        safe = max(line.edits for line in lines if line.what in ("ready", "saved", "copied"))
        assert kept >= safe, f"kill {kill}: edit {safe} was said to be safe, but {kept} came back"
        assert kept <= lines[-1].edits + 1
        losses.append(lost_s(lines, kept, killed_s))
        assert losses[-1] <= MAY_BE_LOST_S, f"kill {kill}: the last {losses[-1]:.1f} s are missing"
        during[lines[-1].what] += 1
    print(
        f"\n{KILLS} kills: {lines[-1].edits} edits, at most {max(losses):.2f} s lost, "
        f"{sum(losses) / KILLS:.2f} s on average; last words {dict(during)}"
    )
    assert sum(line.what == "edit" for line in lines_of(log)) > KILLS
    beside = {path.name for path in tmp_path.iterdir() if ".part" not in path.name}
    assert beside == {"house.takeoff", ".house.takeoff.lock", "state", "log"}


def test_the_count_of_lost_seconds_notices_a_loss() -> None:
    lines = [Line("ready", 0, 0.0), Line("edit", 1, 1.0), Line("edit", 2, 2.0), Line("edit", 3, 9.0)]
    assert lost_s(lines, 3, 9.5) == 0.0
    assert lost_s(lines, 2, 9.5) == 0.5
    assert lost_s(lines, 1, 9.5) == 7.5
