"""What the window remembers between two starts: theme, recent files, size. A small JSON file."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import msgspec
from PySide6.QtCore import QStandardPaths

from takeoff.errors import OutputError
from takeoff.files.atomic import make_folder, write_bytes

ThemeName = Literal["light", "dark"]

MOST_RECENT = 10
"""Recent files that are kept."""


class Preferences(msgspec.Struct, frozen=True, omit_defaults=True):
    """What is remembered. Unknown fields of other versions are passed over."""

    theme: ThemeName = "light"
    recent: tuple[str, ...] = ()
    width: int = 0
    height: int = 0
    maximised: bool = False
    strip: int = -1
    """Height of the strip of walls, px; −1: nobody has set it."""
    pages: int = 0
    """Width of the pages at the right, px; 0: nobody has set it."""
    tour_seen: bool = False
    language: str = ""
    """Its code; "": as the system speaks."""
    region: str = ""
    """By whose customs numbers, dates and money are written; "": the system's."""


class Settings:
    """The preferences and the file that keeps them. A file that cannot be read counts as none."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.value = _read(path)

    def change(self, **fields: object) -> None:
        """Set fields and write the file; the window goes on where it cannot be written."""
        self.value = msgspec.structs.replace(self.value, **fields)
        try:
            make_folder(self.path.parent)
            write_bytes(self.path, msgspec.json.encode(self.value))
        except OutputError as error:
            self.last_failure = str(error)

    last_failure = ""
    """Why the last write failed, "" when it did not; shown in the window's own information."""

    def opened(self, path: Path) -> None:
        """Put a file first among the recent ones."""
        name = str(path.resolve())
        rest = [known for known in self.value.recent if known != name]
        self.change(recent=(name, *rest[: MOST_RECENT - 1]))


def usual_path() -> Path:
    """Where the platform keeps such a file."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppConfigLocation)
    return Path(folder) / "window.json"


def _read(path: Path) -> Preferences:
    try:
        return msgspec.json.decode(path.read_bytes(), type=Preferences)
    except (OSError, msgspec.DecodeError):
        return Preferences()
