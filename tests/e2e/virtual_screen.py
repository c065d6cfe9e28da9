"""A program with a real window, on a virtual screen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

needs_a_screen = pytest.mark.skipif(shutil.which("xvfb-run") is None, reason="no virtual screen is installed")


def on_screen(
    *arguments: object, size: str = "2560x1440", in_folder: Path | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """What Python with these arguments ended with, where ``size`` px are the whole screen."""
    xvfb = ["xvfb-run", "-a", "-s", f"-screen 0 {size}x24"]
    return subprocess.run(
        [*xvfb, sys.executable, *map(str, arguments)],
        cwd=in_folder,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env={**os.environ, "QT_QPA_PLATFORM": "xcb", **environment},
    )


def written_script(folder: Path, text: str) -> Path:
    """A script of these lines. What it starts may import it again: then it does nothing."""
    script = folder / "user.py"
    script.write_text("if __name__ == '__main__':\n" + "\n".join(f"    {line}" for line in text.splitlines()))
    return script
