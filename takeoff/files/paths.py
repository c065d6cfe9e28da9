"""Where the program's own data lies, inside the installed package or beside it in a checkout; the user's state."""

from __future__ import annotations

import os
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path, PurePosixPath

import platformdirs

from takeoff.errors import InputError


def resource(relative: str) -> Traversable:
    """The file or folder ``relative`` ("conventions/net.json") of the program's data.

    Raises InputError when there is none, or when the name would lead out of the data folder.
    """
    parts = PurePosixPath(relative).parts
    if not parts or ".." in parts or parts[0] == "/" or "\\" in relative or "\0" in relative:
        raise InputError(f"“{relative}” names no file of the program's data: leave out .. and leading /.")
    for root in _roots():
        found = root.joinpath(*parts)
        if found.is_file() or found.is_dir():
            return found
    raise InputError(f"The program's own file “{relative}” is missing: check the name, or install again.")


def resource_names(folder: str, suffix: str) -> tuple[str, ...]:
    """Names, without ``suffix``, of the files of a data folder that end in it, sorted."""
    names = (entry.name for entry in resource(folder).iterdir() if entry.is_file())
    return tuple(sorted(name.removesuffix(suffix) for name in names if name.endswith(suffix)))


def _roots() -> tuple[Traversable, Traversable]:
    """The data in the wheel (takeoff/resources) first, then the checkout's."""
    installed = resources.files("takeoff").joinpath("resources")
    return installed, Path(__file__).resolve().parents[2] / "resources"


NAME = "takeoff"


def state_folder() -> Path:
    """Where the program keeps what is of this user on this computer: recovery copies, layers remembered.

    The folder need not exist yet: it lies under ``XDG_STATE_HOME`` where that is an absolute path, on any
    system, else where the system keeps such things.
    """
    named = os.environ.get("XDG_STATE_HOME", "")
    return Path(named) / NAME if Path(named).is_absolute() else platformdirs.user_state_path(NAME, appauthor=False)


def own_data_folder() -> Path:
    """Where files that are this user's own lie, for every job: his coating systems.

    The folder need not exist yet: it lies under ``XDG_DATA_HOME`` where that is an absolute path, on any
    system, else where the system keeps such things.
    """
    named = os.environ.get("XDG_DATA_HOME", "")
    return Path(named) / NAME if Path(named).is_absolute() else platformdirs.user_data_path(NAME, appauthor=False)
