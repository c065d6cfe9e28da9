"""A bar for who watches a terminal, nothing for a pipe."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from takeoff.cli import progress

PROGRAM = """
import sys, time
from pathlib import Path
from takeoff.cli import progress
progress.PATIENCE_S = 0.05
with progress.progress_on_terminal(Path("plan.dxf")) as tell:
    if tell is not None:
        tell(0.1, "Reading")
        time.sleep(0.1)
        tell(0.5, "Finding [red] rooms")
        time.sleep(0.2)
print("done")
"""


def test_nothing_is_shown_when_piped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", open(os.devnull, "w"))  # noqa: SIM115 - monkeypatch puts the old back
    with progress.progress_on_terminal(Path("plan.dxf")) as tell:
        assert tell is None
    sys.stderr.close()


def test_a_terminal_sees_what_is_done_and_standard_output_stays_clean() -> None:
    try:
        ours, theirs = pty.openpty()
    except OSError as error:
        pytest.skip(f"this machine gives no terminal to a test: {error}")
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        stdout=subprocess.PIPE,
        stderr=theirs,
        timeout=300,
        check=True,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100"},
    )
    os.close(theirs)
    seen = os.read(ours, 65536).decode("utf-8", "replace")
    os.close(ours)
    assert "plan.dxf" in seen
    assert "Finding [red] rooms" in seen
    assert done.stdout == b"done\n"
