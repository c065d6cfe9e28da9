"""The guided first pass in a real window on a virtual screen, at the usual and at a fractional scale."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]


@pytest.mark.skipif(shutil.which("xvfb-run") is None, reason="no virtual screen is installed")
@pytest.mark.parametrize("scale", ["1", "1.5"])
def test_two_drawings_to_a_scope_on_a_real_screen(scale: str) -> None:
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
        env={**os.environ, "QT_QPA_PLATFORM": "xcb", "QT_SCALE_FACTOR": scale},
    )
    assert done.returncode == 0, done.stdout[-3000:]
    assert "1 passed" in done.stdout
