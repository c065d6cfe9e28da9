"""Nothing that a test does reaches what the user of this computer keeps, or depends on how busy it is."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")

# How wide the terminal is that the tests are run from changes nothing that is printed.
os.environ.pop("COLUMNS", None)

# What a test starts as a process of its own need not compile the program anew: half of its time goes there.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")


@pytest.fixture
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What the user keeps (firm, systems, layers, copies) goes into a folder of the test's; where it is."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "data" / "takeoff"
