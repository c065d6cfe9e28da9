"""Ctrl-C while a large drawing is read: one sentence, nothing left behind."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

LINES = 60_000


def large(path: Path) -> Path:
    rows = ["0", "SECTION", "2", "ENTITIES"]
    for k in range(LINES):
        rows += [
            "0",
            "LINE",
            "8",
            "A-WALL",
            "10",
            f"{k % 200 * 100}",
            "20",
            f"{k // 200 * 100}",
            "11",
            f"{k % 200 * 100 + 90}",
            "21",
            f"{k // 200 * 100 + 40}",
        ]
    path.write_text("\n".join([*rows, "0", "ENDSEC", "0", "EOF", ""]))
    return path


def test_ctrl_c_says_one_sentence_and_leaves_nothing(tmp_path: Path) -> None:
    try:
        ours, theirs = pty.openpty()
    except OSError as error:
        pytest.skip(f"this machine gives no terminal to a test: {error}")
    plan = large(tmp_path / "large.dxf")
    process = subprocess.Popen(
        [sys.executable, "-m", "takeoff.cli.main", "measure", str(plan), "-o", str(tmp_path / "out")],
        stdout=subprocess.PIPE,
        stderr=theirs,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a run in the background ignores it
        env={**os.environ, "TERM": "xterm", "COLUMNS": "200", "XDG_STATE_HOME": str(tmp_path / "state")},
    )
    os.close(theirs)
    seen = b""
    until = time.monotonic() + 300.0
    while b"Reading" not in seen and time.monotonic() < until:
        seen += os.read(ours, 4096)  # the bar stands once the file is being read
    os.killpg(process.pid, signal.SIGINT)
    out, _ = process.communicate(timeout=300)
    try:
        while chunk := os.read(ours, 4096):
            seen += chunk
    except OSError:
        pass  # how a terminal says that its other end is closed
    os.close(ours)
    told = seen.decode("utf-8", "replace")
    assert process.returncode == 130
    assert out == b""
    assert told.count("takeoff: stopped before it was done; no file was left half written.") == 1
    assert "Traceback" not in told
    assert sorted(p.name for p in tmp_path.iterdir()) == ["large.dxf"]
