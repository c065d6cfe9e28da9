"""Where the program keeps what is of this user on this computer: recovery copies."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

NAME = "takeoff"


def state_folder(environment: Mapping[str, str] | None = None, system: str = sys.platform) -> Path:
    """The folder, which need not exist yet.

    ``XDG_STATE_HOME`` where it is set to an absolute path, on any system; else what is usual there
    (the XDG base directory specification for Linux; Windows and macOS from memory).
    """
    given = os.environ if environment is None else environment
    if (named := given.get("XDG_STATE_HOME", "")) and Path(named).is_absolute():
        return Path(named) / NAME
    home = Path(given.get("HOME") or given.get("USERPROFILE") or Path.home())
    if system == "win32":
        return Path(given.get("LOCALAPPDATA") or home / "AppData" / "Local") / NAME
    if system == "darwin":
        return home / "Library" / "Application Support" / NAME
    return home / ".local" / "state" / NAME
