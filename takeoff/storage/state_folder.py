"""Where the program keeps what is of this user on this computer: recovery copies, layers remembered."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

NAME = "takeoff"


def state_folder() -> Path:
    """The folder, which need not exist yet: under ``XDG_STATE_HOME`` where that is an absolute path, on any
    system, else where the system keeps such things."""
    named = os.environ.get("XDG_STATE_HOME", "")
    return Path(named) / NAME if Path(named).is_absolute() else platformdirs.user_state_path(NAME, appauthor=False)
