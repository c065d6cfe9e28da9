"""The guided first pass in a real window on a virtual screen at a fractional scale; the usual one is a newcomer's."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]


@pytest.mark.skipif(shutil.which("xvfb-run") is None, reason="no virtual screen is installed")
def test_two_drawings_to_a_scope_on_a_real_screen() -> None:
    done = subprocess.run(
        [
            "xvfb-run",
            "-a",
            "-s",
            "-screen 0 2560x1440x24",
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-p",
            "no:cacheprovider",
            "-p",
            "no:xdist",
            "tests/ui/test_guided_pass.py",
            "-k",
            "terrace_of_two_drawings",
        ],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env={**os.environ, "QT_QPA_PLATFORM": "xcb", "QT_SCALE_FACTOR": "1.5"},
    )
    assert done.returncode == 0, done.stdout[-3000:]
    assert "1 passed" in done.stdout
