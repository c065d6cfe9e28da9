"""The command is killed while it moves what it has written: the next run finds every folder whole.

``TAKEOFF_MOVE_KILLS=1000`` for the long form (some four minutes).
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = Path(__file__).with_name("move_killed_program.py")
KILLS = int(os.environ.get("TAKEOFF_MOVE_KILLS", "15"))

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="a process that is split in two is there on Unix only")


def test_killed_at_any_moment_of_the_move_the_folder_is_whole_after_the_next_run(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(PROGRAM), str(tmp_path), str(KILLS)],
        capture_output=True,
        text=True,
        timeout=60 + 10 * KILLS,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    kills, new = map(int, done.stdout.split())
    print(f"\n{kills} kills: after {new} of them the new files counted")
    assert kills == KILLS
    assert 0 < new < kills
