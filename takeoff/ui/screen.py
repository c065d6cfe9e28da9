"""Whether the window can open here: what it lacks is said before Qt would end the process."""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path

from takeoff.errors import InputError
from takeoff.files.installing import install_command
from takeoff.language import tr

SCREEN_VARIABLES = ("DISPLAY", "WAYLAND_DISPLAY")


def lacks() -> str:
    """What keeps the window from opening here, as a sentence; "" where nothing does."""
    if importlib.util.find_spec("PySide6") is None:
        return tr(
            "The window is not installed. In the folder of the program run: {command}",
            command=install_command("window"),
        )
    chosen = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform.startswith("linux") and not chosen and not any(os.environ.get(name) for name in SCREEN_VARIABLES):
        return tr("There is no screen for the window. Use takeoff measure FILE here.")
    try:
        import PySide6.QtWidgets  # noqa: F401 (a missing system library shows here)
    except ImportError as error:
        return tr(
            "The window needs a library of the system that is missing ({error}). Install it and start again.",
            error=error,
        )
    return ""


def start(file: Path | None) -> int:
    """Open the window and give its exit code. Raises InputError where it cannot be opened."""
    lack = lacks()
    if lack:
        raise InputError(lack)
    if file is not None and not os.path.exists(file):
        raise InputError(tr("{file} does not exist: check its name and folder.", file=file))
    from takeoff.ui.app import run

    return run(file)
