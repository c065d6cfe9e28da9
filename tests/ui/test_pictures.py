"""The pictures of the README are made by a kept script."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from conftest import CHECKOUT
from PIL import Image


def test_pictures_are_made_from_the_samples(tmp_path: Path) -> None:
    """By the kept script, with no screen: as large as those that are kept, and not blank."""
    script = CHECKOUT / "sample_plans" / "pictures.py"
    done = subprocess.run(
        [sys.executable, str(script), str(tmp_path)],
        capture_output=True,
        text=True,
        timeout=600,
        env=os.environ | {"PYTHONPATH": str(CHECKOUT), "QT_QPA_PLATFORM": "offscreen"},
    )
    assert done.returncode == 0, done.stderr
    for kept in (CHECKOUT / "sample_plans" / "pictures").iterdir():
        with Image.open(kept) as before, Image.open(tmp_path / kept.name) as made:
            assert made.size == before.size
            assert len(made.convert("RGB").getcolors(1 << 24) or ()) > 30
