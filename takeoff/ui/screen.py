"""Whether the window can open here: what it lacks is said before Qt would end the process."""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path

from takeoff.errors import InputError

SCREEN_VARIABLES = ("DISPLAY", "WAYLAND_DISPLAY")


def lacks() -> str:
    """What keeps the window from opening here, as a sentence; "" where nothing does."""
    if importlib.util.find_spec("PySide6") is None:
        return "the window is not installed: install it with pip install 'takeoff[window]'"
    chosen = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform.startswith("linux") and not chosen and not any(os.environ.get(name) for name in SCREEN_VARIABLES):
        return "there is no screen for the window: use takeoff measure FILE here"
    try:
        import PySide6.QtWidgets  # noqa: F401 (a missing system library shows here)
    except ImportError as error:
        return f"a library of the system is missing for the window ({error}): install it and start again"
    return ""


def start(file: Path | None) -> int:
    """Open the window and give its exit code. Raises InputError where it cannot be opened."""
    lack = lacks()
    if lack:
        raise InputError(lack[0].upper() + lack[1:] + ".")
    if file is not None and not file.exists():
        raise InputError(f"{file} does not exist: check its name and folder.")
    from takeoff.ui.app import run

    return run(file)
