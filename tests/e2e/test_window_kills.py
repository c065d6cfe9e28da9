"""A window in which somebody works is killed at random moments; the next start has nearly all of it.

``TAKEOFF_KILLS=200`` for the long form (half an hour), ``TAKEOFF_KILLS_SEED`` for other moments.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from editing_program import drawing
from test_kills import (
    KILLS,
    LONG_FORM,
    LONGEST_LIFE_S,
    MAY_BE_LOST_S,
    SEED,
    WRITING_S,
    last_life,
    lines_of,
    live_and_die,
    lost_s,
    pytestmark,
)

pytest.importorskip("PySide6")

from window_editing_program import house_after

from takeoff.storage import jobfile
from takeoff.storage.content import Content
from takeoff.storage.offers import offers, restore

PROGRAM = Path(__file__).with_name("window_editing_program.py")
WINDOWS = KILLS if LONG_FORM else 6
"""A window takes long to begin: the short form kills fewer of them."""
__all__ = ["pytestmark"]


def edits_in(content: Content) -> int:
    """How many edits are in a job, which must then be exactly the job after them, with its drawing."""
    edits = int(content.job.name.removeprefix("edit "))
    assert content.job == house_after(edits), f"the job after {edits} edits is another one"
    assert content.drawings["d1"].name == drawing(0).name
    return edits


def kept_in(job: Path, state: Path) -> int:
    """The furthest edit that the job's file or an offered copy holds. Raises where one is broken."""
    offered, findings = offers(state / "recovery")
    assert findings == (), findings
    return max(edits_in(content) for content in (jobfile.load(job), *map(restore, offered)))


def test_window_killed_at_random_moments_loses_at_most_five_seconds_of_work(tmp_path: Path) -> None:
    job, state, log = tmp_path / "house.takeoff", tmp_path / "state", tmp_path / "log"
    state.mkdir()
    dice = random.Random(SEED)
    losses, during, kept = [], Counter[str](), 0
    for kill in range(WINDOWS):
        aim_s = dice.uniform(0.0, WRITING_S) if kill % 2 else None
        killed_s = live_and_die(
            job, state, log, dice.randrange(1 << 30), dice.uniform(0.0, LONGEST_LIFE_S), aim_s, PROGRAM
        )
        lines = last_life(lines_of(log))
        assert lines[0].edits == kept, f"kill {kill}: the window took back edit {lines[0].edits}, not {kept}"
        kept = kept_in(job, state)
        safe = max(line.edits for line in lines if line.what in ("ready", "saved"))
        assert kept >= safe, f"kill {kill}: edit {safe} was said to be saved, but {kept} came back"
        assert kept <= lines[-1].edits + 1
        losses.append(lost_s(lines, kept, killed_s))
        assert losses[-1] <= MAY_BE_LOST_S, f"kill {kill}: the last {losses[-1]:.1f} s are missing"
        during[lines[-1].what] += 1
    print(
        f"\n{WINDOWS} kills of a window: {lines[-1].edits} edits, at most {max(losses):.2f} s lost, "
        f"{sum(losses) / WINDOWS:.2f} s on average; last words {dict(during)}"
    )
    assert sum(line.what == "edit" for line in lines_of(log)) > WINDOWS
